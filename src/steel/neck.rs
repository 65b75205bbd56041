//! Where the bar is, how it is turned, and what is pressed.

use super::instrument::{Instrument, Stance, StringNumber};
use super::units::Fret;
use serde::{Deserialize, Serialize};

/// A whole-fret bar position, straight or slanted, with a stance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Place {
    /// The fret, 0..=24; of a slanted bar, at the string it is held by.
    pub fret: u8,
    /// What is pressed.
    pub stance: Stance,
    /// How the bar is turned, unless it lies straight across.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slant: Option<Slant>,
}

impl Place {
    /// The bar straight across at a fret.
    #[must_use]
    pub const fn straight(fret: u8, stance: Stance) -> Self {
        Self {
            fret,
            stance,
            slant: None,
        }
    }

    /// The bar's position; of a slanted bar, at the string it is held by.
    #[must_use]
    pub fn bar(self) -> Fret {
        Fret(f64::from(self.fret))
    }
}

/// The most frets between the two strings a bar is slanted over.
pub const MOST_FRETS: i8 = 4;

/// How a bar is turned: it stops `hold` at the place's fret and `turn` so many frets farther up (or down).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Slant {
    /// The string at the place's own fret.
    pub hold: StringNumber,
    /// The string that is stopped elsewhere.
    pub turn: StringNumber,
    /// How many frets farther from the nut `turn` is stopped; negative is nearer to it, 0 is not slanted.
    pub frets: i8,
}

/// Which way a bar is turned. Common practice, no source: the names are those of the bar's far end, the nose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Way {
    /// The nose points to the bridge: far strings are stopped higher.
    Forward,
    /// The nose points to the nut: far strings are stopped lower.
    Reverse,
}

impl Way {
    /// As players say it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Forward => key!("forward"),
            Self::Reverse => key!("reverse"),
        }
    }
}

impl Slant {
    /// Which way; a slant of no frets counts as forward.
    #[must_use]
    pub fn way(self) -> Way {
        if (self.frets >= 0) == (self.turn < self.hold) {
            Way::Forward
        } else {
            Way::Reverse
        }
    }

    /// Whether the instrument has both strings, which are two, and the turn is within [`MOST_FRETS`].
    #[must_use]
    pub fn is_of(self, instrument: &Instrument) -> bool {
        let has = |s: StringNumber| s.index() < instrument.strings.len();
        self.hold != self.turn && has(self.hold) && has(self.turn) && self.is_sound()
    }

    /// Whether the turn itself is one that is meant: some frets, and no more than [`MOST_FRETS`].
    #[must_use]
    pub fn is_sound(self) -> bool {
        self.hold != self.turn && self.frets != 0 && self.frets.unsigned_abs() <= MOST_FRETS.unsigned_abs()
    }
}
