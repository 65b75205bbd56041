//! Lead sheets of other programs, MusicXML or MIDI with chord names, made into chart text.
//!
//! *Invariant:* reading never panics and never holds more than its source does; what it answers is a chart that
//! reads back, and every chord that was not understood is told with its bar.

mod bars;
mod midi;
mod score;
#[cfg(test)]
mod tests;

use crate::theory::{Chord, Key, Metre, Tempo};
use crate::words::Said;
use bars::Bars;
use thiserror::Error;

/// The largest file that is read, in bytes.
pub const MOST_BYTES: usize = 8 << 20;

/// A lead sheet as far as it was understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lead {
    /// The chart's text.
    pub chart: String,
    /// What was not understood, each as a sentence.
    pub notes: Vec<Said>,
}

/// Why a file gives no chart.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum LeadError {
    /// It is larger than [`MOST_BYTES`].
    TooLarge,
    /// It is not of the form it claims to be.
    Damaged(Said),
    /// A bar names more chords than any song has.
    TooManyChords {
        /// The bar, counted from 1.
        bar: usize,
        /// The most that are read.
        most: usize,
    },
    /// There is no chord in it.
    NoChords,
}

impl LeadError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLarge => said!("this file is larger than any lead sheet"),
            Self::Damaged(what) => said!("this file is damaged: {what}", what),
            Self::TooManyChords { bar, most } => said!(
                "its bar {bar} names more than {most} chords: a chart takes a handful",
                bar,
                most
            ),
            Self::NoChords => said!("there are no chord names in this file: a chart needs them"),
        }
    }
}

/// The chart of a Standard MIDI File, its chords named by markers, lyrics or texts.
///
/// # Errors
/// When the file is damaged, too large, or names no chord.
pub fn of_midi(bytes: &[u8]) -> Result<Lead, LeadError> {
    if bytes.len() > MOST_BYTES {
        return Err(LeadError::TooLarge);
    }
    midi::read(bytes)?.into_lead()
}

/// The chart of a MusicXML score by parts.
///
/// # Errors
/// When the file is damaged, too large, or names no chord.
pub fn of_score(text: &str) -> Result<Lead, LeadError> {
    if text.len() > MOST_BYTES {
        return Err(LeadError::TooLarge);
    }
    score::read(text)?.into_lead()
}

/// What a reader gathers of a song.
#[derive(Debug, Default)]
struct Song {
    title: Option<String>,
    key: Option<Key>,
    tempo: Option<Tempo>,
    bars: Bars,
    notes: Vec<Said>,
}

/// A chord that begins somewhere in a bar, `part` of the bar's length after its start.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Begun {
    part: f64,
    chord: Chord,
}

/// One bar as read.
#[derive(Debug, Clone, PartialEq)]
struct LeadBar {
    metre: Metre,
    section: Option<String>,
    chords: Vec<Begun>,
}
