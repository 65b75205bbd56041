//! What can be wrong with a row of a phrase, in words.

use super::MOST_ROWS;
use crate::words::Said;
use thiserror::Error;

/// A row that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("row {row}: {trouble}")]
pub struct RowError {
    /// The row, counted from 1; empty rows count.
    pub row: usize,
    /// What is wrong with it.
    pub trouble: RowTrouble,
}

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum RowTrouble {
    /// Something is missing at its end.
    Short(&'static str),
    /// No moment.
    Moment(String),
    /// No strings.
    Strings(String),
    /// No fret.
    Fret(String),
    /// No change.
    Changes(String),
    /// No slant.
    Slant(String),
    /// No length.
    Length(String),
    /// No word known.
    Word(String),
    /// Rows out of order.
    Order,
    /// Nothing rings that could be carried.
    NothingRings,
    /// More than is read.
    TooMany,
}

impl RowTrouble {
    /// What is wrong, and what to write.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Short(what) => said!(
                "{what} is missing: write bar.beat, strings, fret, what is pressed, as in 1.1 3-4-5 3 A+B",
                what = Said::of(what)
            ),
            Self::Moment(word) => said!(
                "\"{word}\" is no moment of this song: write bar.beat, as in 2.1 or 2.3.5",
                word
            ),
            Self::Strings(word) => said!(
                "\"{word}\" names no strings of this instrument: write them as in 3-4-5",
                word
            ),
            Self::Fret(word) => said!(
                "\"{word}\" is no fret of this neck: write a whole number, 0 for open strings",
                word
            ),
            Self::Changes(word) => said!(
                "\"{word}\" is nothing this instrument has: write - for nothing, or names as in A+B; A/2 is a half",
                word
            ),
            Self::Slant(word) => said!(
                "\"{word}\" is no slant here: write 4>3+1 for a bar on string 4 at the row's fret and on string 3 a fret farther up",
                word
            ),
            Self::Length(word) => said!("\"{word}\" is no length: write beats, as in 0.5", word),
            Self::Word(word) => said!(
                "\"{word}\" is not known: write slide, squeeze, lean, carry, slant, over, until, soft, loud, vibrato, swell, rake, harmonic or fade-in",
                word
            ),
            Self::Order => said!("this comes before the row above: write the rows in the order they are played"),
            Self::NothingRings => said!("nothing rings that could be carried: pluck something first"),
            Self::TooMany => said!("more than {most} rows are not read: make it shorter", most = MOST_ROWS),
        }
    }
}
