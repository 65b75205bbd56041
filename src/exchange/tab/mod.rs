//! Tablature in the trade's form: one row for each string, string 1 at the top, time from left to right.
//!
//! [`Tab::of`] reads a performance into bars and columns; [`layout`] breaks them into systems; the plain text
//! ([`Tab::text`]) and the tab on the screen are both made from those.
//!
//! [`read`] makes moves of such text again.
//!
//! *Invariant:* every pluck of the performance stands in exactly one cell.
//!
//! Source of the signs: common practice, no source.

mod columns;
mod count;
pub mod layout;
mod marks;
mod rakes;
mod reading;
mod text;
pub(crate) use count::counted;
pub(crate) use marks::{RAKE, control_words, fret_text};
#[cfg(test)]
mod tests;

pub use layout::{Characters, Piece, System};
pub use marks::{Lean, Mark, Signs, Step, Way};
pub use reading::{MOST_TEXT, ReadTab, TabProblem, read};

use crate::solo::Performance;
use crate::steel::{Instrument, StringNumber};
use crate::theory::{Beats, Timeline};
use crate::words::Said;

/// A performance as tablature.
#[derive(Debug, Clone, PartialEq)]
pub struct Tab {
    /// The strings from 1 (top) downwards.
    pub rows: Vec<Row>,
    /// The bars from the first that holds a sign to the last.
    pub bars: Vec<Bar>,
    /// The signs that are used, each with its meaning.
    pub legend: Vec<Explained>,
}

/// One row: a string.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// The string.
    pub string: StringNumber,
    /// Its open note, such as "F#".
    pub name: String,
}

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Counted from 1 at the start of the song.
    pub number: usize,
    /// Its first moment.
    pub start: Beats,
    /// Its length.
    pub length: Beats,
    /// What is counted above it, column by column; nothing where a column stands right against the one before.
    pub counts: Vec<Option<String>>,
    /// What happens in it, in order of time.
    pub columns: Vec<Column>,
}

/// What happens at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// When.
    pub at: Beats,
    /// The chord's number, where one begins.
    pub chord: Option<String>,
    /// The signs of each row, in the order they are played; most rows have none.
    pub cells: Vec<Vec<Mark>>,
    /// How long until the next column or the end of the bar.
    pub lasts: Beats,
}

impl Column {
    /// Whether any string is plucked here.
    #[must_use]
    pub fn is_plucked(&self) -> bool {
        self.cells.iter().flatten().any(|m| matches!(m, Mark::Pick { .. }))
    }
}

/// A sign and what it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explained {
    /// The sign as written.
    pub sign: String,
    /// Its meaning in a few words.
    pub meaning: Said,
}

impl Tab {
    /// The tablature of `performance`, its bars and chord numbers from `timeline`.
    #[must_use]
    pub fn of(performance: &Performance, instrument: &Instrument, timeline: &Timeline, signs: Signs) -> Self {
        let events = marks::events(performance, instrument, timeline.tempo, signs);
        let rows = instrument
            .string_numbers()
            .zip(&instrument.strings)
            .map(|(string, spec)| Row {
                string,
                name: spec.pitch.name.to_string(),
            })
            .collect::<Vec<_>>();
        let bars = columns::bars(&events, timeline, rows.len());
        let legend = marks::legend(&events, instrument, signs);
        Self { rows, bars, legend }
    }

    /// The column in force at `at`: the last one that has begun.
    #[must_use]
    pub fn column_at(&self, at: Beats) -> Option<(usize, usize)> {
        let bar = self.bars.partition_point(|b| b.start <= at).checked_sub(1)?;
        for (index, found) in self.bars.get(..=bar)?.iter().enumerate().rev() {
            if let Some(column) = found.columns.partition_point(|c| c.at <= at).checked_sub(1) {
                return Some((index, column));
            }
        }
        None
    }
}
