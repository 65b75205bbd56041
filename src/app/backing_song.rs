//! The player's own recording of the song: where its bars are, so that solo and song play together.
//!
//! *Invariant:* the recording is never bent to the chart; the song follows the recording.

use super::looped::LoopBars;
use crate::theory::clock::{ClockError, going_on};
use crate::theory::{Anchor, Beats, Seconds, SongClock, Tempo, Timeline};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The longest recording that is taken: it is held unpacked, and a song is not longer.
pub const LONGEST: Seconds = Seconds(15.0 * 60.0);
/// The largest file that is opened when its length can't be told beforehand, in bytes.
pub const LARGEST: f64 = 200e6;
/// One step of moving a mark.
pub const NUDGE: Seconds = Seconds(0.01);
/// Taps further apart than this begin a new row.
pub const TAPS_APART: Seconds = Seconds(2.5);
/// Taps from which a tempo is told.
const FEWEST_TAPS: usize = 4;

/// A bar whose first beat has been marked in the recording.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// The bar, counted from 0 in playing order.
    pub bar: usize,
    /// When it begins, from the start of the recording.
    pub time: Seconds,
}

/// A recording of the song.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BackingSong {
    /// The file's name.
    pub name: String,
    /// What the recording itself is kept under on the device.
    pub key: String,
    /// How long it is.
    pub length: Seconds,
    /// The marked bars, in order.
    #[serde(default)]
    pub marks: Vec<Mark>,
    /// Its tempo as tapped or typed; the chart's when absent.
    #[serde(default)]
    pub tempo: Option<Tempo>,
    /// The bars that the recording leaves for the solo.
    #[serde(default)]
    pub hole: Option<LoopBars>,
}

/// Why a recording can't be played with the song yet.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MarkError {
    /// No bar is marked.
    Unmarked,
    /// Two marks do not go together.
    Unplayable {
        /// The earlier bar, counted from 1.
        before: usize,
        /// The later bar, counted from 1.
        bar: usize,
        /// The tempo that would make, in whole quarter notes a minute.
        tempo: i32,
    },
}

impl MarkError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Unmarked => said!("Mark where bar 1 begins: until then the recording is not heard with the solo."),
            Self::Unplayable { before, bar, tempo } => said!(
                "Bar {bar} comes too early or too late: from bar {before} on that would be {tempo} beats a minute. Mark one of the two again.",
                bar,
                before,
                tempo
            ),
        }
    }
}

impl BackingSong {
    /// A recording without marks.
    #[must_use]
    pub fn new(name: String, key: String, length: Seconds) -> Self {
        Self {
            name,
            key,
            length,
            marks: Vec::new(),
            tempo: None,
            hole: None,
        }
    }

    /// Marks the beginning of `bar`; a bar has one mark.
    pub fn mark(&mut self, bar: usize, time: Seconds) {
        self.marks.retain(|mark| mark.bar != bar);
        let at = self.marks.partition_point(|mark| mark.bar < bar);
        let time = Seconds(time.0.clamp(0.0, self.length.0));
        self.marks.insert(at, Mark { bar, time });
    }

    /// Takes the mark of `bar` away.
    pub fn unmark(&mut self, bar: usize) {
        self.marks.retain(|mark| mark.bar != bar);
    }

    /// Moves the mark of `bar`.
    pub fn nudge(&mut self, bar: usize, by: Seconds) {
        if let Some(mark) = self.marks.iter().find(|mark| mark.bar == bar).copied() {
            self.mark(bar, mark.time + by);
        }
    }

    /// The same marks in another copy of the recording, where it is as long to a tenth of a second.
    #[must_use]
    pub fn moved_to(&self, other: Self) -> Self {
        if (self.length - other.length).0.abs() > 0.1 {
            return other;
        }
        Self {
            name: other.name,
            key: other.key,
            length: other.length,
            ..self.clone()
        }
    }

    /// When the recording has each beat of the song. After the last mark it goes on in the tempo of the last two; with
    /// one mark alone, in the tapped or typed tempo or the chart's.
    ///
    /// # Errors
    /// When no bar of the song is marked, or two marks do not go together.
    pub fn clock(&self, song: &Timeline) -> Result<SongClock, MarkError> {
        let known: Vec<(Mark, Anchor)> = self
            .marks
            .iter()
            .filter_map(|mark| {
                let at = song.bars.get(mark.bar)?.start;
                Some((*mark, Anchor { at, time: mark.time }))
            })
            .collect();
        let mut anchors: Vec<Anchor> = known.iter().map(|(_, anchor)| *anchor).collect();
        if let [only] = *anchors {
            anchors.push(going_on(only, self.tempo.unwrap_or(song.tempo)));
        }
        SongClock::through(anchors).map_err(|error| match error {
            ClockError::TooFew => MarkError::Unmarked,
            ClockError::Unplayable { later, tempo } => {
                let bar = |index: usize| known.get(index).map_or(1, |(mark, _)| mark.bar + 1);
                MarkError::Unplayable {
                    before: bar(later - 1),
                    bar: bar(later),
                    #[allow(
                        clippy::cast_possible_truncation,
                        reason = "a cast of a float stays within the whole numbers"
                    )]
                    tempo: tempo.round() as i32,
                }
            }
        })
    }
}

/// The tempo of a row of taps, one on each felt beat of length `pulse`: the straight line nearest to all of them, so
/// that one late tap counts for little. Nothing from fewer than four taps.
#[must_use]
pub fn tapped(taps: &[Seconds], pulse: Beats) -> Option<Tempo> {
    if taps.len() < FEWEST_TAPS {
        return None;
    }
    #[allow(clippy::cast_precision_loss, reason = "nobody taps that often")]
    let count = taps.len() as f64;
    let (middle, mean) = ((count - 1.0) / 2.0, taps.iter().map(|t| t.0).sum::<f64>() / count);
    let (mut over, mut under, mut index) = (0.0, 0.0, 0.0);
    for tap in taps {
        over += (index - middle) * (tap.0 - mean);
        under += (index - middle) * (index - middle);
        index += 1.0;
    }
    let tempo = 60.0 * pulse.0 / (over / under);
    (20.0..=400.0).contains(&tempo).then_some(Tempo(tempo))
}

/// A moment of a recording as a player reads it: "1:07.25".
#[must_use]
pub fn moment(time: Seconds) -> String {
    let hundredths = (time.0.max(0.0) * 100.0).round();
    let minutes = (hundredths / 6000.0).floor();
    format!("{minutes}:{:05.2}", (hundredths - 6000.0 * minutes) / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::reading::Reading;

    fn song() -> std::sync::Arc<Timeline> {
        Reading::of("key Bb, 120; 1 4 5 1 1 4 5 1").song.unwrap()
    }

    fn recording() -> BackingSong {
        BackingSong::new("take.wav".to_owned(), "take".to_owned(), Seconds(100.0))
    }

    #[test]
    fn one_mark_and_the_charts_or_the_tapped_tempo_make_a_clock() {
        let mut take = recording();
        assert_eq!(take.clock(&song()), Err(MarkError::Unmarked));
        take.mark(0, Seconds(1.5));
        let time = |take: &BackingSong| take.clock(&song()).unwrap().time(Beats(8.0)).0;
        assert!((time(&take) - 5.5).abs() < 1e-9);
        take.tempo = Some(Tempo(60.0));
        assert!((time(&take) - 9.5).abs() < 1e-9);
    }

    #[test]
    fn every_mark_is_met_and_a_bar_marked_again_moves() {
        let mut take = recording();
        for (bar, time) in [(4, 9.9), (0, 1.5), (2, 5.4), (4, 9.7)] {
            take.mark(bar, Seconds(time));
        }
        take.nudge(2, NUDGE);
        let clock = take.clock(&song()).unwrap();
        for (bar, time) in [(0, 1.5), (2, 5.41), (4, 9.7)] {
            let at = Beats(4.0 * f64::from(bar));
            assert!((clock.time(at).0 - time).abs() < 1e-9, "bar {bar}");
        }
    }

    #[test]
    fn marks_that_do_not_go_together_are_told_by_their_bars() {
        let mut take = recording();
        take.mark(0, Seconds(5.0));
        take.mark(4, Seconds(2.0));
        let Err(MarkError::Unplayable { before, bar, .. }) = take.clock(&song()) else {
            panic!("refused");
        };
        assert_eq!((before, bar), (1, 5));
    }

    #[test]
    fn a_mark_beyond_the_song_waits_until_the_song_is_that_long() {
        let mut take = recording();
        take.mark(0, Seconds(1.0));
        take.mark(400, Seconds(2.0));
        assert!(take.clock(&song()).is_ok());
    }

    #[test]
    fn taps_give_the_tempo_of_their_row_and_a_late_one_counts_for_little() {
        let taps = |late: f64| -> Vec<Seconds> {
            (0..16)
                .map(|i| Seconds(3.0 + 0.5 * f64::from(i) + if i == 9 { late } else { 0.0 }))
                .collect()
        };
        assert!((tapped(&taps(0.0), Beats(1.0)).unwrap().0 - 120.0).abs() < 1e-9);
        assert!((tapped(&taps(0.08), Beats(1.0)).unwrap().0 - 120.0).abs() < 0.2);
        assert!((tapped(&taps(0.0), Beats(1.5)).unwrap().0 - 180.0).abs() < 1e-9);
        assert_eq!(tapped(&taps(0.0)[..3], Beats(1.0)), None);
        assert_eq!(tapped(&[Seconds(1.0); 8], Beats(1.0)), None);
    }

    #[test]
    fn another_copy_of_the_same_length_keeps_the_marks() {
        let mut take = recording();
        take.mark(0, Seconds(1.5));
        let copy = |length| BackingSong::new("copy.wav".to_owned(), "copy".to_owned(), Seconds(length));
        assert_eq!(take.moved_to(copy(100.02)).marks, take.marks);
        assert!(take.moved_to(copy(180.0)).marks.is_empty());
    }

    #[test]
    fn moments_are_read_in_minutes_and_hundredths() {
        let read = [0.0, 7.256, 59.999, 67.25].map(|t| moment(Seconds(t)));
        assert_eq!(read, ["0:00.00", "0:07.26", "1:00.00", "1:07.25"]);
    }
}
