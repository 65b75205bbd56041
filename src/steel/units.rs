//! The measures of a neck: frets, lengths, angles, and how far a pedal or lever is pressed.

use serde::{Deserialize, Serialize};

/// Bar position in frets; 0 is no bar (open strings), fractions lie between frets.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Fret(pub f64);

/// How far a pedal or lever is pressed: 0 released, 1 at its stop.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Travel(pub f64);

impl Travel {
    /// Released.
    pub const UP: Self = Self(0.0);
    /// Half way.
    pub const HALF: Self = Self(0.5);
    /// At its stop.
    pub const DOWN: Self = Self(1.0);

    /// Which part of the way `from`..`to` is done, 0..=1.
    #[must_use]
    pub fn part_between(self, from: Self, to: Self) -> f64 {
        if to.0 <= from.0 {
            return if self.0 >= to.0 { 1.0 } else { 0.0 };
        }
        ((self.0 - from.0) / (to.0 - from.0)).clamp(0.0, 1.0)
    }
}

/// A length in millimetres.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    PartialOrd,
    Default,
    Serialize,
    Deserialize,
    derive_more::Add,
    derive_more::Sub,
    derive_more::Display,
)]
#[serde(transparent)]
pub struct Millimetres(pub f64);

/// An angle in degrees.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Degrees(pub f64);
