//! The notes that should come, in the recording's time.

use crate::solo::Performance;
use crate::solo::notes::{End, Note, notes};
use crate::solo::performance::Pluck;
use crate::steel::{Fret, Instrument, StringNumber, StringSet};
use crate::theory::{Beats, Height, Seconds, Tempo};

/// Time between two known heights of a note.
pub(super) const STEP: Seconds = Seconds(0.01);

/// A finger that misses its string finds one at most so many away.
const MISSES: usize = 2;
/// What is plucked within this is one stroke.
const TOGETHER: Seconds = Seconds(0.05);

/// A note that should come.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// The string.
    pub string: StringNumber,
    /// Where the bar is when it is plucked.
    pub fret: Fret,
    /// When it should be plucked.
    pub at: Seconds,
    /// When it should have stopped, or is plucked again.
    pub end: Seconds,
    /// Whether a hand stops it.
    pub stopped: bool,
    /// How high the strings beside it would be that are not picked with it: what a finger finds that misses.
    pub beside: Vec<Height>,
    /// The lowest that any string would sound where the bar is: what is lower is not this instrument's.
    pub lowest: Height,
    /// How high it should be, every ten milliseconds from `at` to `end`; at least one.
    pub heights: Vec<Height>,
}

impl Expected {
    /// How high it should be at a time; before and after the note as at its ends.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn height(&self, at: Seconds) -> Height {
        let index = ((at.0 - self.at.0) / STEP.0).round().max(0.0) as usize;
        let last = self.heights.last().copied().unwrap_or(Height(60.0));
        self.heights.get(index).copied().unwrap_or(last)
    }

    /// Whether it should sound at a time.
    #[must_use]
    pub fn sounds(&self, at: Seconds) -> bool {
        at.0 >= self.at.0 && at.0 < self.end.0
    }
}

/// The notes of a performance whose first beat is at `start` of the recording.
#[must_use]
pub fn expected(performance: &Performance, instrument: &Instrument, tempo: Tempo, start: Seconds) -> Vec<Expected> {
    let time = |at: Beats| start + at.at(tempo);
    let beside = |note: &Note| -> Vec<Height> {
        let together = |pluck: &&Pluck| (pluck.at - note.start()).at(tempo).0.abs() < TOGETHER.0;
        let picked: StringSet = performance.plucks.iter().filter(together).map(|p| p.string).collect();
        let near = |string: &StringNumber| string.index().abs_diff(note.string().index()) <= MISSES;
        let free = instrument.string_numbers().filter(|s| near(s) && !picked.contains(*s));
        free.filter_map(|string| performance.height(instrument, string, note.start(), tempo))
            .collect()
    };
    let lowest = |note: &Note| -> Height {
        let strings = instrument.string_numbers();
        let heights = strings.filter_map(|s| performance.height(instrument, s, note.start(), tempo));
        heights.fold(Height(f64::INFINITY), |low, one| if one.0 < low.0 { one } else { low })
    };
    notes(performance, instrument, tempo)
        .iter()
        .map(|note| {
            let (at, end) = (time(note.start()), time(note.end));
            let heights = std::iter::successors(Some(at), |t| Some(*t + STEP))
                .take_while(|t| t.0 < end.0.max(at.0 + STEP.0))
                .filter_map(|t| performance.height(instrument, note.string(), (t - start).at(tempo), tempo));
            Expected {
                string: note.string(),
                fret: performance.bar_at(note.start()),
                at,
                end,
                stopped: matches!(note.ended_by, End::Block(_)),
                beside: beside(note),
                lowest: lowest(note),
                heights: heights.collect(),
            }
        })
        .collect()
}
