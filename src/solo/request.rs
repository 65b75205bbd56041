//! What the player asks of a solo.

use super::limits::Level;
use super::melody::Melody;
use super::motif::Motif;
use crate::steel::{ChangeId, Instrument, Stance, StringSet};
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// How the first phrase comes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entry {
    /// The planner chooses.
    #[default]
    Any,
    /// A slide into the first chord.
    Slide,
    /// Struck dead on the chord.
    Struck,
    /// Struck low in the pedals' travel and squeezed into the chord.
    Squeeze,
    /// A run up to the first chord tone.
    Run,
}

/// How the solo ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    /// The planner chooses.
    #[default]
    Any,
    /// The last chord rings out.
    RingOut,
    /// One note repeated on two strings, then let ring.
    Unison,
    /// A short stop.
    Stop,
    /// The bar slides away down the neck.
    FallOff,
}

/// Whether the bar may be slanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Slants {
    /// On an instrument without pedals and levers.
    #[default]
    WithoutPedals,
    /// Never.
    Never,
    /// Wherever it helps, pedals or not.
    Always,
}

impl Slants {
    /// Whether slants are planned for on an instrument.
    #[must_use]
    pub fn on(self, instrument: &Instrument) -> bool {
        match self {
            Self::WithoutPedals => instrument.changes.is_empty(),
            Self::Never => false,
            Self::Always => true,
        }
    }

    fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

/// Another attitude mixed into the first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blend {
    /// Id of the other attitude.
    pub with: String,
    /// How much of it, 0..=1.
    pub part: f64,
}

/// A wish for a solo. Frets are wishes, not walls: the planner comes as near as the music lets it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// Id of the attitude (a feel file), such as "driven", "country", "ballad", "blues".
    pub feel: String,
    /// Another attitude mixed into it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blend: Option<Blend>,
    /// For whose hands it is.
    #[serde(default, skip_serializing_if = "Level::is_usual")]
    pub level: Level,
    /// Bars of the timeline to fill; all when absent.
    pub bars: Option<Range<usize>>,
    /// Fret to begin near, 0..=24.
    pub start_fret: u8,
    /// Fret of the high point, 0..=24.
    pub high_fret: u8,
    /// Fret to end near, 0..=24.
    pub end_fret: u8,
    /// 0 sparse .. 1 busy.
    pub density: f64,
    /// How it comes in.
    pub entry: Entry,
    /// How it ends.
    pub ending: Ending,
    /// Changes the player does not want (or has not got).
    pub avoided: Vec<ChangeId>,
    /// Whether the bar may be slanted.
    #[serde(default, skip_serializing_if = "Slants::is_usual")]
    pub slants: Slants,
    /// Strings the player would rather have it on; none for no wish.
    #[serde(default)]
    pub favoured: StringSet,
    /// The figure, where the player has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub motif: Option<Motif>,
    /// The melody to shadow, from the first of the solo's bars on, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub melody: Option<Melody>,
    /// Same seed, same solo.
    pub seed: u64,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            feel: "driven".to_owned(),
            blend: None,
            level: Level::default(),
            bars: None,
            start_fret: 5,
            high_fret: 15,
            end_fret: 8,
            density: 0.5,
            entry: Entry::Any,
            ending: Ending::Any,
            slants: Slants::default(),
            avoided: Vec::new(),
            favoured: StringSet::EMPTY,
            motif: None,
            melody: None,
            seed: 1,
        }
    }
}

impl Request {
    /// Whether a stance uses only changes the player allows.
    #[must_use]
    pub fn allows(&self, stance: Stance) -> bool {
        stance.pressed().all(|c| !self.avoided.contains(&c))
    }

    /// How many of some strings are not among the favoured ones; none where no string is favoured.
    #[must_use]
    pub fn unfavoured(&self, strings: StringSet) -> usize {
        if self.favoured.is_empty() {
            0
        } else {
            strings.minus(self.favoured).len()
        }
    }
}
