//! Answers, as they are given on the neck, in the chart, by ear or as a phrase.
//!
//! *Invariant:* an answer says only what the student did; whether it is right is computed from it each time.

use super::setting::Setting;
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::hold::Inversion;
use crate::teach::rows::{self, RowError};
use crate::theory::Cents;
use serde::{Deserialize, Serialize};

/// What the student answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// A chord in letters, as written.
    Chord(String),
    /// A number, as written.
    Number(String),
    /// A bar, counted from 1.
    Bar(u16),
    /// Numbers for some bars, as written.
    Chart(String),
    /// Places held on the neck, in order.
    Places(Vec<Grip>),
    /// A pedal or lever, by name.
    Change(String),
    /// Which tone lies lowest.
    Inversion(Inversion),
    /// Strokes, as [`rows`] writes them.
    Phrase(String),
    /// How far a string was turned.
    Cents(Cents),
}

impl Answer {
    /// A phrase of these strokes.
    #[must_use]
    pub fn phrase(strokes: &[Stroke], setting: &Setting) -> Self {
        Self::Phrase(rows::print(strokes, &setting.instrument, &setting.timeline))
    }

    /// The strokes of a phrase; nothing for other answers.
    ///
    /// # Errors
    /// Every row that cannot be read.
    pub fn strokes(&self, setting: &Setting) -> Option<Result<Vec<Stroke>, Vec<RowError>>> {
        match self {
            Self::Phrase(text) => Some(rows::parse(text, &setting.instrument, &setting.timeline)),
            _ => None,
        }
    }
}
