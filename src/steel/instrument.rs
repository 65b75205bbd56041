//! Instruments: strings, and the changes that pedals and knee levers make to them.

use super::neck::{Fret, Travel};
use crate::theory::{Cents, Height, Pitch};
use serde::{Deserialize, Serialize};

/// A string by the trade's count: 1 is the far one at the top of the tab.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct StringNumber(u8);

impl StringNumber {
    /// The most strings an instrument may have.
    pub const MOST: usize = 14;

    /// String `number`, 1..=14.
    #[must_use]
    pub fn new(number: u8) -> Option<Self> {
        (1..=14).contains(&number).then_some(Self(number))
    }

    /// The string at `index` in [`Instrument::strings`], 0..=13.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn from_index(index: usize) -> Option<Self> {
        (index < Self::MOST).then_some(Self(index as u8 + 1))
    }

    /// Its place in [`Instrument::strings`].
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0) - 1
    }

    /// The number a player says.
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }
}

/// A set of strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct StringSet(u16);

impl StringSet {
    /// No string.
    pub const EMPTY: Self = Self(0);

    /// This set and `string`.
    #[must_use]
    pub fn with(self, string: StringNumber) -> Self {
        Self(self.0 | 1 << string.index())
    }

    /// This set without `string`.
    #[must_use]
    pub fn without(self, string: StringNumber) -> Self {
        Self(self.0 & !(1 << string.index()))
    }

    /// Whether `string` is in the set.
    #[must_use]
    pub fn contains(self, string: StringNumber) -> bool {
        self.0 >> string.index() & 1 == 1
    }

    /// Strings in both sets.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// Strings in either set.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Strings in this set and not in `other`.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// How many strings.
    #[must_use]
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The strings from 1 (far) downwards.
    pub fn iter(self) -> impl DoubleEndedIterator<Item = StringNumber> + Clone {
        (0..StringNumber::MOST)
            .filter_map(StringNumber::from_index)
            .filter(move |s| self.contains(*s))
    }
}

impl FromIterator<StringNumber> for StringSet {
    fn from_iter<I: IntoIterator<Item = StringNumber>>(strings: I) -> Self {
        strings.into_iter().fold(Self::EMPTY, Self::with)
    }
}

/// One string as strung.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StringSpec {
    /// Its open pitch.
    pub pitch: Pitch,
    /// Diameter in thousandths of an inch, as strings are sold.
    pub gauge: f64,
    /// Wound, or plain steel.
    pub wound: bool,
    /// How far the player tunes it off equal temperament.
    pub offset: Cents,
}

/// Which part of the body works a change, and by which movement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Control {
    /// A floor pedal, counted from the left, 1..
    Pedal(u8),
    /// Left knee moving left.
    LeftKneeLeft,
    /// Left knee moving right.
    LeftKneeRight,
    /// Left knee moving up.
    LeftKneeVertical,
    /// Right knee moving left.
    RightKneeLeft,
    /// Right knee moving right.
    RightKneeRight,
    /// Right knee moving up.
    RightKneeVertical,
}

/// A change by its place in [`Instrument::changes`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ChangeId(pub u8);

impl ChangeId {
    /// Its place in [`Instrument::changes`].
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// What one change does to one string.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pull {
    /// The string.
    pub string: StringNumber,
    /// How far at full travel; a raise is positive, a lower negative.
    pub by: Cents,
    /// Travel at which the string begins to move.
    pub from: Travel,
    /// Travel at which it has arrived.
    pub to: Travel,
}

/// A pedal's or lever's work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What players call it: "A", "B", "E-lower" ...
    pub name: String,
    /// What works it.
    pub control: Control,
    /// What it pulls.
    pub pulls: Vec<Pull>,
    /// Where it has a stop to feel on the way, if anywhere.
    pub half_stop: Option<Travel>,
}

/// An instrument: strings, changes and size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Short name in files and links, such as "e9".
    pub id: String,
    /// What a player calls it.
    pub name: String,
    /// Speaking length from nut to bridge, in millimetres.
    pub scale_length: f64,
    /// Frets painted on the neck.
    pub frets: u8,
    /// Strings from 1 (far) downwards.
    pub strings: Vec<StringSpec>,
    /// Its changes in the order pedals then levers; at most 16.
    pub changes: Vec<Change>,
}

impl Instrument {
    /// The strings by number.
    pub fn string_numbers(&self) -> impl DoubleEndedIterator<Item = StringNumber> + Clone {
        (0..self.strings.len()).filter_map(StringNumber::from_index)
    }

    /// The changes by id.
    #[allow(clippy::cast_possible_truncation)]
    pub fn change_ids(&self) -> impl Iterator<Item = ChangeId> + Clone {
        (0..self.changes.len()).map(|i| ChangeId(i as u8))
    }

    /// How far the changes move `string` with the given travels (missing ones count as released).
    ///
    /// Two raises do not add, the longer wins; likewise two lowers; a raise and a lower both act.
    /// Common practice, no source.
    #[must_use]
    pub fn pulled(&self, string: StringNumber, travel: impl Fn(ChangeId) -> Travel) -> Cents {
        let (mut up, mut down) = (0.0_f64, 0.0_f64);
        for (id, change) in self.change_ids().zip(&self.changes) {
            for pull in change.pulls.iter().filter(|p| p.string == string) {
                let done = travel(id).part_between(pull.from, pull.to) * pull.by.0;
                up = up.max(done);
                down = down.min(done);
            }
        }
        Cents(up + down)
    }

    /// The sounding height of `string` with the bar at `fret`, or nothing for a string it has not.
    #[must_use]
    pub fn height(&self, string: StringNumber, fret: Fret, travel: impl Fn(ChangeId) -> Travel) -> Option<Height> {
        let spec = self.strings.get(string.index())?;
        let open = spec.pitch.number()?.height();
        let cents = Cents(fret.0 * 100.0) + self.pulled(string, travel) + spec.offset;
        Some(open.shifted(cents))
    }
}
