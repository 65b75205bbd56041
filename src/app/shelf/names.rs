//! What a copy of a song is called, so that a person can tell it from the one it was made of.
//!
//! *Invariant:* nothing of the chart but its title changes.

use super::name_of;
use crate::app::work::Work;
use crate::theory::Chart;
use crate::theory::chart::parse;

/// The work under a name that is not among `taken`: the number behind its title is raised. Where the chart can't bear
/// another title it stays as it is.
#[must_use]
pub fn renamed(work: &Work, taken: &[String]) -> Work {
    let name = free_name(&name_of(work), taken);
    Work {
        chart: titled(&work.chart, &name).map_or_else(|| work.chart.clone(), Into::into),
        ..work.clone()
    }
}

/// `Mill Song` beside `Mill Song` is `Mill Song 2`.
fn free_name(name: &str, taken: &[String]) -> String {
    let numbered = name.rsplit_once(' ').and_then(|(stem, number)| {
        let number: u32 = number.parse().ok()?;
        (2..1000).contains(&number).then_some((stem, number))
    });
    let (stem, mut number) = numbered.unwrap_or((name, 1));
    loop {
        number += 1;
        let name = format!("{stem} {number}");
        if !taken.contains(&name) {
            return name;
        }
    }
}

/// The chart's text under another title; nothing where it does not read as just that.
fn titled(text: &str, title: &str) -> Option<String> {
    let before = parse(text).chart;
    let wanted = Chart {
        title: Some(title.to_owned()),
        ..before.clone()
    };
    let ways = match before.title {
        // Where a figure in it would be taken for a bar, it says itself what it is.
        Some(old) => vec![
            text.replacen(&old, title, 1),
            text.replacen(&old, &format!("title \"{title}\""), 1),
        ],
        None => [", ", "; ", "\n"]
            .map(|between| format!("{title}{between}{text}"))
            .to_vec(),
    };
    ways.into_iter().find(|text| parse(text).chart == wanted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::DEMO_SONGS;

    fn chart_of(chart: &str, taken: &[&str]) -> String {
        let taken: Vec<String> = taken.iter().map(|name| (*name).to_owned()).collect();
        renamed(&Work::on(chart), &taken).chart.to_string()
    }

    #[test]
    fn a_copy_has_the_next_free_number_behind_its_name() {
        let song = "Mill Song, key Eb; 1 4 5 1";
        assert_eq!(chart_of(song, &["Mill Song"]), "Mill Song 2, key Eb; 1 4 5 1");
        assert_eq!(
            chart_of(song, &["Mill Song", "Mill Song 2", "Mill Song 3"]),
            "Mill Song 4, key Eb; 1 4 5 1"
        );
        assert_eq!(
            chart_of("Mill Song 2, key Eb\n1 4", &["Mill Song 2"]),
            "Mill Song 3, key Eb\n1 4"
        );
        assert_eq!(
            chart_of("Mill Song\nkey Eb\n1 4", &["Mill Song"]),
            "title \"Mill Song 2\"\nkey Eb\n1 4"
        );
    }

    #[test]
    fn a_song_without_a_title_gets_one_and_its_bars_stay() {
        assert_eq!(chart_of("key A, 96; 1 4", &[]), "Untitled song 2, key A, 96; 1 4");
        assert_eq!(chart_of("1 4 5 1", &[]), "Untitled song 2; 1 4 5 1");
    }

    #[test]
    fn the_copy_of_each_demo_song_differs_in_its_title_alone() {
        for demo in &DEMO_SONGS {
            let copy = renamed(&Work::on(demo.chart), &[]);
            let (was, is) = (parse(demo.chart).chart, parse(&copy.chart).chart);
            assert_ne!(was.title, is.title, "{}", demo.chart);
            assert_eq!(Chart { title: None, ..was }, Chart { title: None, ..is });
        }
    }

    #[test]
    fn a_chart_that_cannot_bear_another_title_stays_as_it_is() {
        for chart in ["", "\"1\", key A; 1", ";;;", "1, 2, 3; 4"] {
            let copy = chart_of(chart, &[]);
            let (was, is) = (parse(chart).chart, parse(&copy).chart);
            assert_eq!(Chart { title: None, ..was }, Chart { title: None, ..is }, "{chart}");
        }
    }
}
