//! A chart unrolled in time: repeats and endings played out, every chord with its moment.
//!
//! Everything above this layer works on the timeline, never on chart text.

use crate::theory::chord::Chord;
use crate::theory::key::Key;
use crate::theory::numeral::Numeral;
use crate::theory::time::{Beats, Metre, Swing, Tempo};
use serde::{Deserialize, Serialize};

/// How a chord is played by the band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hit {
    /// In the groove.
    #[default]
    Played,
    /// Struck once and left to ring (a diamond).
    Held,
    /// Struck and stopped at once.
    Choked,
    /// Nobody plays.
    Rest,
}

/// One chord from its moment to the next one's.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ChordSpan {
    /// When it sounds. A pushed chord already starts an eighth early here.
    pub start: Beats,
    /// How long it lasts.
    pub length: Beats,
    /// Index of the bar it is written in.
    pub bar: usize,
    /// The key in force.
    pub key: Key,
    /// The number as written.
    pub numeral: Numeral,
    /// The chord it names in that key.
    pub chord: Chord,
    /// How the band plays it.
    pub hit: Hit,
    /// Whether it comes an eighth before its written place.
    pub pushed: bool,
}

impl ChordSpan {
    /// When the chord ends.
    #[must_use]
    pub fn end(&self) -> Beats {
        self.start + self.length
    }
}

/// One bar as it is played.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TimelineBar {
    /// Its first moment.
    pub start: Beats,
    /// Its time signature.
    pub metre: Metre,
    /// The section's name, on the first bar of a section.
    pub section: Option<String>,
    /// Index of the written bar this one plays (repeats play one several times).
    pub written: usize,
}

/// A whole song in time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Timeline {
    /// The key of the heading.
    pub key: Key,
    /// Quarter notes per minute.
    pub tempo: Tempo,
    /// How the eighths fall.
    pub swing: Swing,
    /// The style word of the heading, if any ("rock", "ballad" ...).
    pub style: Option<String>,
    /// The bars in playing order.
    pub bars: Vec<TimelineBar>,
    /// The chords in playing order, without gaps; a rest is a span whose hit is [`Hit::Rest`].
    pub spans: Vec<ChordSpan>,
}

impl Timeline {
    /// The length of the song.
    #[must_use]
    pub fn length(&self) -> Beats {
        self.bars.last().map_or(Beats::ZERO, |b| b.start + b.metre.bar())
    }

    /// Index of the chord in force at `at` (the last one after the end), or nothing in an empty song.
    #[must_use]
    pub fn span_index_at(&self, at: Beats) -> Option<usize> {
        self.spans
            .partition_point(|s| s.start <= at)
            .checked_sub(1)
            .or((!self.spans.is_empty()).then_some(0))
    }

    /// The chord in force at `at`.
    #[must_use]
    pub fn span_at(&self, at: Beats) -> Option<&ChordSpan> {
        self.span_index_at(at).and_then(|i| self.spans.get(i))
    }

    /// Index of the bar that holds `at` (the last one after the end), or nothing in an empty song.
    #[must_use]
    pub fn bar_index_at(&self, at: Beats) -> Option<usize> {
        self.bars
            .partition_point(|b| b.start <= at)
            .checked_sub(1)
            .or((!self.bars.is_empty()).then_some(0))
    }
}
