//! Strokes: what moves are made of, one action of the right hand (or one carried change) at a time.
//!
//! *Invariant:* a stroke says what is meant; [`super::weave`] alone turns it into lanes.

use super::performance::Shape;
use crate::steel::{Fret, Place, Stance, StringSet};
use crate::theory::{Beats, Cents, Hertz};
use serde::{Deserialize, Serialize};

/// Strings taken together at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Grip {
    /// Bar and changes.
    pub place: Place,
    /// The strings.
    pub strings: StringSet,
}

/// How a stroke gets to its place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Arrival {
    /// Everything is in place before the pluck.
    Struck,
    /// Plucked with the bar at `from`, which then glides in over `time`.
    Slid {
        /// Where the bar stands at the pluck.
        from: Fret,
        /// How long the glide takes.
        time: Beats,
    },
    /// Plucked with the changes as in `from`, which are then pressed or released over `time`.
    Squeezed {
        /// What is pressed at the pluck.
        from: Stance,
        /// How long the squeeze takes.
        time: Beats,
    },
    /// Plucked in place, leaned to `through` and back, `time` each way.
    Leaned {
        /// What is pressed at the far end of the lean.
        through: Stance,
        /// How long each way takes.
        time: Beats,
    },
    /// Not plucked: the ringing strings are carried here by bar and changes over `time`.
    Carried {
        /// How long it takes.
        time: Beats,
    },
}

impl Arrival {
    /// How long after the stroke's moment the pitches stand still.
    #[must_use]
    pub fn settles_after(self) -> Beats {
        match self {
            Self::Struck => Beats::ZERO,
            Self::Slid { time, .. } | Self::Squeezed { time, .. } | Self::Carried { time } => time,
            Self::Leaned { time, .. } => time.scaled(3.0),
        }
    }

    /// The same arrival taking `time` (a lean, each way); one that takes no time stays as it is.
    #[must_use]
    pub fn lasting(self, time: Beats) -> Self {
        match self {
            Self::Struck => Self::Struck,
            Self::Slid { from, .. } => Self::Slid { from, time },
            Self::Squeezed { from, .. } => Self::Squeezed { from, time },
            Self::Leaned { through, .. } => Self::Leaned { through, time },
            Self::Carried { .. } => Self::Carried { time },
        }
    }

    /// How long it takes (a lean, each way); nothing for one that takes no time.
    #[must_use]
    pub fn time(self) -> Option<Beats> {
        match self {
            Self::Struck => None,
            Self::Slid { time, .. }
            | Self::Squeezed { time, .. }
            | Self::Leaned { time, .. }
            | Self::Carried { time } => Some(time),
        }
    }

    /// Whether the right hand plucks.
    #[must_use]
    pub fn plucks(self) -> bool {
        !matches!(self, Self::Carried { .. })
    }
}

/// How right hand and volume pedal begin a stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Attack {
    /// All strings at once, the volume pedal where it is.
    #[default]
    Plain,
    /// The thumb drawn over neighbouring strings, from the lowest up.
    Raked,
    /// The strings touched this many frets above the bar while they are plucked: 12, 7 or 5.
    Harmonic(u8),
    /// Plucked with the volume pedal up, which then opens: no pick is heard.
    Swelled,
}

impl Attack {
    fn is_plain(&self) -> bool {
        *self == Self::Plain
    }
}

/// A wish for vibrato on a held stroke.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Wave {
    /// Swings a second.
    pub rate: Hertz,
    /// How far to each side.
    pub depth: Cents,
    /// Time before it starts, and time over which it grows.
    pub onset: Beats,
}

/// One stroke. Its times count from the start of the move it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stroke {
    /// When.
    pub at: Beats,
    /// Where it arrives and which strings sound.
    pub grip: Grip,
    /// How it arrives.
    pub arrival: Arrival,
    /// How a slide, squeeze, lean or carry is shaped.
    #[serde(default)]
    pub shape: Shape,
    /// When its strings are blocked, unless plucked again before.
    pub until: Beats,
    /// How hard, 0..=1.
    pub strength: f64,
    /// Vibrato while it is held.
    pub wave: Option<Wave>,
    /// Whether the volume pedal opens as the sound fades.
    pub swell: bool,
    /// How right hand and volume pedal begin it.
    #[serde(default, skip_serializing_if = "Attack::is_plain")]
    pub attack: Attack,
}

impl Stroke {
    /// A plain stroke, struck and held from `at` to `until`.
    #[must_use]
    pub fn struck(grip: Grip, at: Beats, until: Beats) -> Self {
        Self {
            at,
            grip,
            arrival: Arrival::Struck,
            shape: Shape::default(),
            until,
            strength: 0.7,
            wave: None,
            swell: false,
            attack: Attack::Plain,
        }
    }

    /// This stroke, begun otherwise.
    #[must_use]
    pub fn begun(self, attack: Attack) -> Self {
        Self { attack, ..self }
    }

    /// This stroke, arriving otherwise.
    #[must_use]
    pub fn arriving(self, arrival: Arrival) -> Self {
        Self { arrival, ..self }
    }
}
