//! Where the bar is and what is pressed.

use super::instrument::ChangeId;
use super::slant::Slant;
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

/// Which changes are held, each fully or half: what feet and knees do at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Stance {
    full: u16,
    half: u16,
}

/// The change's bit; none for an id no instrument has.
fn bit(change: ChangeId) -> u16 {
    1_u16.checked_shl(u32::from(change.0)).unwrap_or(0)
}

impl Stance {
    /// Nothing pressed.
    pub const OPEN: Self = Self { full: 0, half: 0 };

    /// This stance with `change` fully pressed.
    #[must_use]
    pub fn with(self, change: ChangeId) -> Self {
        let bit = bit(change);
        Self {
            full: self.full | bit,
            half: self.half & !bit,
        }
    }

    /// This stance with `change` half pressed.
    #[must_use]
    pub fn with_half(self, change: ChangeId) -> Self {
        let bit = bit(change);
        Self {
            full: self.full & !bit,
            half: self.half | bit,
        }
    }

    /// This stance with `change` released.
    #[must_use]
    pub fn without(self, change: ChangeId) -> Self {
        let bit = bit(change);
        Self {
            full: self.full & !bit,
            half: self.half & !bit,
        }
    }

    /// How far `change` is pressed.
    #[must_use]
    pub fn travel(self, change: ChangeId) -> Travel {
        if self.full & bit(change) != 0 {
            Travel::DOWN
        } else if self.half & bit(change) != 0 {
            Travel::HALF
        } else {
            Travel::UP
        }
    }

    /// Whether nothing is pressed.
    #[must_use]
    pub fn is_open(self) -> bool {
        self.full | self.half == 0
    }

    /// The changes that are pressed, fully or half.
    pub fn pressed(self) -> impl Iterator<Item = ChangeId> + Clone {
        (0..16_u8)
            .map(ChangeId)
            .filter(move |c| (self.full | self.half) & bit(*c) != 0)
    }

    /// How many changes differ between two stances.
    #[must_use]
    pub fn changes_to(self, other: Self) -> usize {
        ((self.full ^ other.full) | (self.half ^ other.half)).count_ones() as usize
    }
}

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
