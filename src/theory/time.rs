//! Musical and clock time.
//!
//! *Invariant:* a beat is always a quarter note, whatever the metre; only [`Metre`] knows what a bar is.

use derive_more::{Add, AddAssign, Display, Neg, Sub, SubAssign, Sum};
use serde::{Deserialize, Serialize};

/// Musical time in quarter notes, as a moment (from the start of the song) or as a length.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    PartialOrd,
    Default,
    Serialize,
    Deserialize,
    Add,
    Sub,
    Neg,
    AddAssign,
    SubAssign,
    Sum,
    Display,
)]
#[serde(transparent)]
pub struct Beats(pub f64);

impl Beats {
    /// The start of the song, or no length.
    pub const ZERO: Self = Self(0.0);

    /// This many times longer.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self(self.0 * by)
    }

    /// The later moment (or longer length) of two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The earlier moment (or shorter length) of two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// How long this lasts at `tempo`.
    #[must_use]
    pub fn at(self, tempo: Tempo) -> Seconds {
        Seconds(self.0 * 60.0 / tempo.0)
    }
}

/// Clock time in seconds.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    PartialOrd,
    Default,
    Serialize,
    Deserialize,
    Add,
    Sub,
    Neg,
    AddAssign,
    SubAssign,
    Sum,
    Display,
)]
#[serde(transparent)]
pub struct Seconds(pub f64);

impl Seconds {
    /// How many beats pass in this time at `tempo`.
    #[must_use]
    pub fn at(self, tempo: Tempo) -> Beats {
        Beats(self.0 * tempo.0 / 60.0)
    }
}

/// Quarter notes per minute; 20..=400 in a chart.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, Display)]
#[serde(transparent)]
pub struct Tempo(pub f64);

/// A time signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Metre {
    /// Upper figure, 1..=16.
    pub count: u8,
    /// Lower figure: 2, 4, 8 or 16.
    pub unit: u8,
}

impl Metre {
    /// Four quarters, assumed where a chart is silent.
    pub const COMMON: Self = Self { count: 4, unit: 4 };

    /// The length of one bar.
    #[must_use]
    pub fn bar(self) -> Beats {
        Beats(f64::from(self.count) * 4.0 / f64::from(self.unit))
    }

    /// The felt beat: a dotted quarter in 6/8, 9/8 and 12/8, else the lower figure's note.
    #[must_use]
    pub fn pulse(self) -> Beats {
        if self.unit == 8 && self.count > 3 && self.count.is_multiple_of(3) {
            Beats(1.5)
        } else {
            Beats(4.0 / f64::from(self.unit))
        }
    }
}

/// How the eighths fall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Swing {
    /// Even eighths.
    #[default]
    Straight,
    /// The second eighth of each beat falls on the last third of the beat.
    Swung,
}
