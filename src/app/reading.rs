//! A chart as it is understood: the song in time, and what the reader has to say about the text.

use crate::theory::chart::{self, Problem};
use crate::theory::{Key, Metre, Swing, Tempo, Timeline};
use crate::words::Said;
use std::sync::Arc;

/// A change of the text that mends something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What it does, as a button says it.
    pub label: Said,
    /// The whole text after it.
    pub text: String,
}

/// Something to be said about a place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// Line, counted from 1.
    pub line: usize,
    /// Column, counted from 1.
    pub column: usize,
    /// What is wrong or worth a second look, and what to do.
    pub words: Said,
    /// Ways to mend it at one tap.
    pub fixes: Vec<Fix>,
}

/// What stands over the bars. What a chart does not say is as its song has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Heading {
    /// The key.
    pub key: Key,
    /// Quarters a minute.
    pub tempo: Tempo,
    /// The metre the bars begin in.
    pub metre: Metre,
    /// The style, where one is named.
    pub style: Option<String>,
    /// How eighths are played.
    pub swing: Swing,
}

/// What was understood of a chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reading {
    /// The song's name, where the chart gives one.
    pub title: Option<String>,
    /// What stands over the bars, whether or not any were read; nothing while nothing is written.
    pub heading: Option<Heading>,
    /// The song in time; nothing while there is no bar to play.
    pub song: Option<Arc<Timeline>>,
    /// What could not be understood.
    pub problems: Vec<Note>,
    /// What was understood but may not be meant.
    pub remarks: Vec<Note>,
}

impl Reading {
    /// Reads a chart, in the notation of [`chart`].
    #[must_use]
    pub fn of(text: &str) -> Self {
        let parsed = chart::parse(text);
        let song = parsed.chart.timeline();
        let written = !text.trim().is_empty();
        let heading = written.then(|| Heading {
            key: song.key,
            tempo: song.tempo,
            metre: song.bars.first().map_or(parsed.chart.metre, |bar| bar.metre),
            style: song.style.clone(),
            swing: song.swing,
        });
        // An empty page is no mistake; what to write is said where the bars will stand.
        let problems = if written { parsed.problems } else { Vec::new() };
        let notes = |said: Vec<Problem>| said.into_iter().map(|problem| note(text, problem)).collect();
        Self {
            title: parsed.chart.title,
            heading,
            song: (!song.bars.is_empty()).then(|| Arc::new(song)),
            problems: notes(problems),
            remarks: notes(parsed.remarks),
        }
    }
}

fn note(text: &str, problem: Problem) -> Note {
    let fix = |fix: &chart::Fix| Fix {
        text: fix.apply(text),
        label: fix.label.clone(),
    };
    Note {
        line: problem.place.line,
        column: problem.place.column,
        fixes: problem.fixes.iter().map(fix).collect(),
        words: problem.words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Swing;

    #[test]
    fn a_heading_is_read_before_any_bar_stands() {
        let read = |text: &str| Reading::of(text).heading;
        assert_eq!(read(" \n"), None);
        let heading = read("Mill Song, key Eb, 96, 3/4, waltz, swung").unwrap();
        assert_eq!(
            (heading.key, heading.tempo, heading.metre),
            ("Eb".parse().unwrap(), Tempo(96.0), Metre { count: 3, unit: 4 })
        );
        assert_eq!((heading.style.as_deref(), heading.swing), (Some("waltz"), Swing::Swung));
        assert_eq!(
            read("Mill Song, key Eb, 96, 3/4, waltz, swung; 1 4"),
            Some(heading),
            "bars change nothing in it"
        );
    }

    #[test]
    fn an_empty_chart_is_no_mistake_and_one_without_bars_is() {
        for empty in ["", " \n "] {
            let reading = Reading::of(empty);
            assert!(reading.song.is_none() && reading.problems.is_empty(), "{empty:?}");
        }
        assert_eq!(Reading::of("key G").problems.len(), 1);
    }

    #[test]
    fn a_plain_chart_is_read() {
        let reading = Reading::of("key A, 132, rock; 1 1 4 1 / b7 4 1 5");
        let song = reading.song.unwrap();
        assert_eq!(song.bars.len(), 8);
        assert_eq!(song.spans[4].chord.root.to_string(), "G");
        assert!(reading.problems.is_empty());
    }

    #[test]
    fn sections_shared_bars_and_the_metre_are_read() {
        let reading = Reading::of("Mill Song, key F, 120, 3/4, waltz, swung; Verse: 1 (4 5) 1 Chorus: 6-");
        let song = reading.song.unwrap();
        assert_eq!(reading.title.as_deref(), Some("Mill Song"));
        assert_eq!((song.bars.len(), song.spans.len()), (4, 5));
        assert_eq!(song.length().0, 12.0);
        assert_eq!(song.spans[2].start.0, 4.5);
        assert_eq!(song.bars[3].section.as_deref(), Some("Chorus"));
        assert_eq!((song.style.as_deref(), song.swing), (Some("waltz"), Swing::Swung));
    }

    #[test]
    fn a_plain_seven_is_pointed_out_and_mended_at_one_tap_but_not_changed() {
        let reading = Reading::of("key A; 1 (7 4) 1");
        let remark = &reading.remarks[0];
        assert_eq!((remark.line, remark.column), (1, 11));
        assert_eq!(remark.fixes[0].text, "key A; 1 (b7 4) 1");
        assert_eq!(reading.song.unwrap().spans[1].chord.root.to_string(), "G#");
        assert!(Reading::of("key A; 1 b7 47").remarks.is_empty());
    }

    #[test]
    fn odd_text_is_read_without_a_panic() {
        for text in ["", ";", "(((", ")", "1 (4", "key ;", "é: 1", "0/0, 1/0; 1", ":"] {
            let _ = Reading::of(text);
        }
    }

    #[test]
    fn what_is_not_understood_is_pointed_at() {
        let reading = Reading::of("key A; 1 4\n5 what 1");
        assert_eq!((reading.problems[0].line, reading.problems[0].column), (2, 3));
        assert_eq!(reading.song.unwrap().bars.len(), 4);
    }
}
