//! The sections of a song, in playing order, and which of them is left for the solo.
//!
//! *Invariant:* ranges of bars count from 0, in playing order, and none is empty.

use super::LoopBars;
use crate::theory::Timeline;
use std::ops::Range;

/// What the section is called that is left for a solo (common practice, no source).
const HOLES: [&str; 6] = ["hole", "solo", "instrumental", "interlude", "break", "ride"];

/// A section as it is played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Its name; where one comes more than once, with its number.
    pub name: String,
    /// Its bars.
    pub bars: Range<usize>,
}

/// The named sections. Bars before the first name belong to none.
#[must_use]
pub fn sections(song: &Timeline) -> Vec<Section> {
    let names = || song.bars.iter().filter_map(|b| b.section.as_deref());
    let starts = song.bars.iter().enumerate().filter(|(_, b)| b.section.is_some());
    let starts: Vec<usize> = starts.map(|(index, _)| index).collect();
    let ends = starts.iter().copied().skip(1).chain([song.bars.len()]);
    let named = names().enumerate().map(|(at, name)| {
        let times = names().filter(|n| *n == name).count();
        let time = names().take(at + 1).filter(|n| *n == name).count();
        if times > 1 {
            format!("{name} {time}")
        } else {
            name.to_owned()
        }
    });
    let with_bars = named.zip(starts.iter().copied().zip(ends));
    with_bars
        .map(|(name, (from, to))| Section { name, bars: from..to })
        .collect()
}

/// The bars a solo is likely wanted in: the section that is called so, or else the song's first half, as a beginning.
#[must_use]
pub fn hole(song: &Timeline) -> Range<usize> {
    let is_hole = |s: &Section| {
        let name = s.name.to_lowercase();
        name.split(|c: char| !c.is_alphabetic())
            .any(|word| HOLES.contains(&word))
    };
    let named = sections(song).into_iter().find(is_hole);
    named.map_or(0..song.bars.len().div_ceil(2), |s| s.bars)
}

/// What is played over and over when nothing else was chosen: the bars that were asked for, or the whole song.
#[must_use]
pub fn looped_at_first(asked: Option<&Range<usize>>, bars: usize) -> Option<LoopBars> {
    let last = bars.checked_sub(1)?;
    let asked = asked.and_then(|a| {
        let to = a.end.checked_sub(1)?;
        LoopBars { from: a.start, to }.within(bars)
    });
    Some(asked.unwrap_or(LoopBars { from: 0, to: last }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::chart;

    fn song(text: &str) -> Timeline {
        chart::parse(text).chart.timeline()
    }

    #[test]
    fn sections_are_counted_as_they_are_played_and_told_apart_by_number() {
        let song = song("key Bb; 1 1\nVerse: |: 1 4 :|\nHole: 5 5 5\nVerse: 1");
        let found: Vec<(String, Range<usize>)> = sections(&song).into_iter().map(|s| (s.name, s.bars)).collect();
        let last = found.last().unwrap();
        assert_eq!(last.1.end, song.bars.len());
        assert!(found.windows(2).all(|w| w[0].1.end == w[1].1.start), "{found:?}");
        assert!(found.iter().all(|(_, bars)| !bars.is_empty()));
        assert!(found.contains(&("Hole".to_owned(), 6..9)), "{found:?}");
        assert!(found[0].0.starts_with("Verse 1"), "{found:?}");
    }

    #[test]
    fn the_hole_is_the_section_of_that_name_and_else_the_first_half() {
        assert_eq!(hole(&song("key G; Verse: 1 4 5 1\nHole: 4 4\nVerse: 1")), 4..6);
        assert_eq!(hole(&song("key G; Verse: 1 4 5 1\nSteel solo: 4 4 4")), 4..7);
        assert_eq!(hole(&song("key G; Verse: 1 4 5\nSolomon: 1")), 0..2);
        assert_eq!(hole(&song("key G; 1 4 5")), 0..2);
    }

    #[test]
    fn a_loop_begins_with_what_was_asked_for() {
        let bars = |from, to| Some(LoopBars { from, to });
        assert_eq!(looped_at_first(None, 8), bars(0, 7));
        assert_eq!(looped_at_first(Some(&(2..5)), 8), bars(2, 4));
        assert_eq!(looped_at_first(Some(&(9..12)), 8), bars(0, 7));
        assert_eq!(looped_at_first(Some(&(2..5)), 0), None);
    }
}
