//! What feet and knees hold.

use super::super::units::Travel;
use super::change::ChangeId;
use serde::{Deserialize, Serialize};

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
