//! What everything in a task counts from.

use crate::solo::stroke::Stroke;
use crate::solo::weave::weave;
use crate::solo::{Limits, Performance};
use crate::steel::Instrument;
use crate::theory::{Key, Timeline};

/// What everything in a task counts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// The key.
    pub key: Key,
    /// The instrument.
    pub instrument: Instrument,
    /// The chart as text.
    pub chart: String,
    /// The chart in time.
    pub timeline: Timeline,
    /// What the player's body can do.
    pub limits: Limits,
}

impl Setting {
    /// What hands and feet do to play these strokes.
    #[must_use]
    pub fn performance(&self, strokes: &[Stroke]) -> Performance {
        let song = &self.timeline;
        weave(strokes, &self.instrument, &self.limits, song.tempo, song.length())
    }
}
