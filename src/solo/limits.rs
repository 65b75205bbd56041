//! How fast hands, feet and knees may go: data, one file a level.
//!
//! *Invariant:* planner and playability report read the same limits.

use crate::steel::Degrees;
use crate::steel::Millimetres;
use crate::theory::{Beats, Seconds, Tempo};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// For whose hands a solo is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Someone who begins.
    Beginner,
    /// An able player.
    #[default]
    Steady,
    /// Someone who lives on it.
    Pro,
}

impl Level {
    /// Every level, the easiest first.
    pub const ALL: [Self; 3] = [Self::Beginner, Self::Steady, Self::Pro];

    /// Whether it is what is planned for when nothing else is asked.
    #[must_use]
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }

    fn file(self) -> &'static str {
        match self {
            Self::Beginner => include_str!("../../static/limits/beginner.toml"),
            Self::Steady => include_str!("../../static/limits/steady.toml"),
            Self::Pro => include_str!("../../static/limits/pro.toml"),
        }
    }
}

/// What a player of one level can do. The shipped figures are common practice, no source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Short name: "beginner", "steady", "pro".
    pub id: String,
    /// What a player calls it.
    pub name: String,
    /// Fastest travel of the bar along the strings, in millimetres a second.
    pub bar_speed: f64,
    /// Time to lift off and land on top of the travel itself when the bar jumps between notes.
    pub bar_landing: Seconds,
    /// Shortest time for a pedal or lever over its whole travel.
    pub full_travel: Seconds,
    /// Shortest time from one pluck to the next by another finger.
    pub between_plucks: Seconds,
    /// Shortest time from one pluck to the next by the same finger.
    pub same_finger: Seconds,
    /// Shortest time from one string to the next when the thumb is drawn over them.
    #[serde(default = "sweep")]
    pub sweep: Seconds,
    /// Plucks at one instant: one for each pick.
    pub picks: usize,
    /// How far the bar can be turned from straight across and still be held in tune.
    #[serde(default = "slant")]
    pub slant: Degrees,
    /// How fast it is turned, in degrees a second.
    #[serde(default = "turn_speed")]
    pub turn_speed: f64,
}

/// The steepest slant of a limits file that does not say: about 60 to 65 degrees, from memory.
fn slant() -> Degrees {
    Degrees(60.0)
}

/// The turning of a limits file that does not say. Common practice, no source.
fn turn_speed() -> f64 {
    400.0
}

/// The sweep of a limits file that does not say. Common practice, no source.
fn sweep() -> Seconds {
    Seconds(0.025)
}

/// Why a limits file can't be read.
#[derive(Debug, Error)]
#[error("the limits file can't be read: {0}. Compare it with a file in static/limits")]
pub struct LimitsError(#[from] toml::de::Error);

impl Limits {
    /// Reads a limits file.
    ///
    /// # Errors
    /// When a field is missing, unknown or of the wrong kind; the message names line and field.
    pub fn parse(text: &str) -> Result<Self, LimitsError> {
        Ok(toml::from_str(text)?)
    }

    /// The shipped levels, easiest first: beginner, steady, pro.
    ///
    /// # Errors
    /// When a shipped file is broken, which a test rules out.
    pub fn shipped() -> Result<Vec<Self>, LimitsError> {
        Level::ALL.into_iter().map(Self::of).collect()
    }

    /// What a player of a level can do.
    ///
    /// # Errors
    /// When the shipped file is broken, which a test rules out.
    pub fn of(level: Level) -> Result<Self, LimitsError> {
        Self::parse(level.file())
    }

    /// The level planned for when nothing else is asked.
    ///
    /// # Errors
    /// When the shipped file is broken, which a test rules out.
    pub fn steady() -> Result<Self, LimitsError> {
        Self::of(Level::default())
    }

    /// How long the bar needs to jump so far, and turn so far, without sounding: landing, and the longer of the two.
    #[must_use]
    pub fn bar_jump(&self, distance: Millimetres, turn: Degrees) -> Seconds {
        let moving = self.bar_glide(distance, turn).0;
        let landing = if moving > 0.0 { self.bar_landing.0 } else { 0.0 };
        Seconds(landing + moving)
    }

    /// How long the bar needs at least to glide so far, and turn so far on the way, while strings sound.
    #[must_use]
    pub fn bar_glide(&self, distance: Millimetres, turn: Degrees) -> Seconds {
        Seconds((distance.0 / self.bar_speed).max(turn.0 / self.turn_speed))
    }

    /// Whether `beats` at `tempo` is long enough for `needed`, with a thousandth's grace for rounding.
    #[must_use]
    pub fn fits(needed: Seconds, beats: Beats, tempo: Tempo) -> bool {
        beats.at(tempo).0 * 1.001 + 1e-9 >= needed.0
    }
}
