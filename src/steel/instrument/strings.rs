//! Strings: their numbers, sets of them, and how each is strung.

use crate::steel::units::Millimetres;
use crate::theory::{Cents, Pitch};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A string by the trade's count: 1 is the far one at the top of the tab.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, derive_more::Display)]
#[serde(try_from = "u8", into = "u8")]
pub struct StringNumber(u8);

impl StringNumber {
    /// The most strings an instrument may have.
    pub const MOST: usize = 14;

    /// The far string.
    pub const FIRST: Self = Self(1);

    /// String `number`, 1..=14.
    #[must_use]
    pub fn new(number: u8) -> Option<Self> {
        (1..=14).contains(&number).then_some(Self(number))
    }

    /// The string at `index` in [`Instrument::strings`](super::Instrument::strings), 0..=13.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn from_index(index: usize) -> Option<Self> {
        (index < Self::MOST).then_some(Self(index as u8 + 1))
    }

    /// Its place in [`Instrument::strings`](super::Instrument::strings).
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

    /// Whether its strings lie side by side, none left out.
    ///
    /// ```
    /// use leadbar::steel::{StringNumber, StringSet};
    /// let set = |numbers: [u8; 3]| numbers.into_iter().filter_map(StringNumber::new).collect::<StringSet>();
    /// assert!(set([4, 5, 6]).is_unbroken() && !set([5, 6, 8]).is_unbroken());
    /// ```
    #[must_use]
    pub fn is_unbroken(self) -> bool {
        let shifted = self.0 >> self.0.trailing_zeros().min(15);
        shifted & shifted.wrapping_add(1) == 0
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

    /// The strings of this set nearer than `string`, that is, with a higher number.
    #[must_use]
    pub fn beyond(self, string: StringNumber) -> Self {
        Self(self.0 & (u16::MAX << string.index() << 1))
    }

    /// The strings of this set among the `reach` strings from `first` on.
    #[must_use]
    pub fn over(self, first: StringNumber, reach: usize) -> Self {
        let past = first.index().saturating_add(reach).min(16);
        let below = u16::MAX.checked_shr(u32::from(16 - past as u16)).unwrap_or(0);
        Self(self.0 & below & (u16::MAX << first.index()))
    }

    /// The strings from 1 (far) downwards.
    pub fn iter(self) -> impl DoubleEndedIterator<Item = StringNumber> + Clone {
        // A set read from a file may have bits for strings there can't be.
        Strings(self.0 & (u16::MAX >> (16 - StringNumber::MOST)))
    }
}

/// The strings of a set that are still to come, one bit each.
#[derive(Clone)]
struct Strings(u16);

impl Strings {
    /// Takes the string of a bit out of the set.
    fn take(&mut self, index: u32) -> Option<StringNumber> {
        let string = StringNumber::from_index(index as usize)?;
        self.0 &= !(1 << index);
        Some(string)
    }
}

impl Iterator for Strings {
    type Item = StringNumber;

    fn next(&mut self) -> Option<StringNumber> {
        self.take(self.0.trailing_zeros())
    }
}

impl DoubleEndedIterator for Strings {
    fn next_back(&mut self) -> Option<StringNumber> {
        self.take(15_u32.checked_sub(self.0.leading_zeros())?)
    }
}

/// As grips are written: "3-4-5".
impl fmt::Display for StringSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, string) in self.iter().enumerate() {
            let dash = if index == 0 { "" } else { "-" };
            write!(f, "{dash}{string}")?;
        }
        Ok(())
    }
}

impl TryFrom<u8> for StringNumber {
    type Error = String;

    fn try_from(number: u8) -> Result<Self, String> {
        Self::new(number).ok_or_else(|| format!("there is no string {number}: strings are counted from 1 to 14"))
    }
}

impl From<StringNumber> for u8 {
    fn from(string: StringNumber) -> Self {
        string.0
    }
}

impl FromIterator<StringNumber> for StringSet {
    fn from_iter<I: IntoIterator<Item = StringNumber>>(strings: I) -> Self {
        strings.into_iter().fold(Self::EMPTY, Self::with)
    }
}

/// A string's diameter in thousandths of an inch, as strings are sold: 12 is a ".012".
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Gauge(pub f64);

impl Gauge {
    /// The diameter in millimetres; an inch is 25.4 mm by definition.
    #[must_use]
    pub fn millimetres(self) -> Millimetres {
        Millimetres(self.0 * 0.0254)
    }
}

/// One string as strung.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StringSpec {
    /// Its open pitch, C0 to C7.
    pub pitch: Pitch,
    /// Its diameter.
    pub gauge: Gauge,
    /// Wound, or plain steel.
    pub wound: bool,
    /// How far the player tunes it off equal temperament.
    pub offset: Cents,
}
