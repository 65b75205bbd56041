//! Semitones, cents, note numbers, pitch classes and continuous height: pitch without a name.

use derive_more::{Add, AddAssign, Display, Neg, Sub, SubAssign, Sum};
use serde::{Deserialize, Serialize};

/// A whole number of semitones (equal temperament); positive is up.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
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
pub struct Semitones(pub i16);

/// A pitch difference in cents: a hundredth of an equal-tempered semitone.
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
pub struct Cents(pub f64);

/// A frequency, or a rate, in hertz.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, Display)]
#[serde(transparent)]
pub struct Hertz(pub f64);

/// Continuous pitch on the MIDI scale: 69 is A4, one unit is a semitone, fractions are allowed.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, Display)]
#[serde(transparent)]
pub struct Height(pub f64);

impl Height {
    /// Frequency with A4 = 440 Hz: f = 440 * 2^((n - 69) / 12).
    ///
    /// Source: ISO 16:1975 for A4; the MIDI note-number formula.
    ///
    /// ```
    /// use leadbar::theory::Height;
    /// assert!((Height(69.0).hertz().0 - 440.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn hertz(self) -> Hertz {
        Hertz(440.0 * ((self.0 - 69.0) / 12.0).exp2())
    }

    /// This height moved by `cents`.
    ///
    /// ```
    /// use leadbar::theory::{Cents, Height};
    /// assert_eq!(Height(69.0).shifted(Cents(-50.0)), Height(68.5));
    /// ```
    #[must_use]
    pub fn shifted(self, cents: Cents) -> Self {
        Self(self.0 + cents.0 / 100.0)
    }

    /// How far this height lies above `other`.
    ///
    /// ```
    /// use leadbar::theory::{Cents, Height};
    /// assert_eq!(Height(64.0).above(Height(60.0)), Cents(400.0));
    /// ```
    #[must_use]
    pub fn above(self, other: Self) -> Cents {
        Cents((self.0 - other.0) * 100.0)
    }

    /// The height of a frequency, the inverse of [`Self::hertz`]; a frequency of zero or less has none.
    ///
    /// ```
    /// use leadbar::theory::{Height, Hertz};
    /// assert_eq!(Height::of(Hertz(880.0)), Some(Height(81.0)));
    /// assert_eq!(Height::of(Hertz(0.0)), None);
    /// ```
    #[must_use]
    pub fn of(frequency: Hertz) -> Option<Self> {
        (frequency.0 > 0.0).then(|| Self(69.0 + 12.0 * (frequency.0 / 440.0).log2()))
    }

    /// The nearest equal-tempered note; heights outside 0..=127 are clamped.
    ///
    /// ```
    /// use leadbar::theory::{Height, NoteNumber};
    /// assert_eq!(Height(68.6).nearest(), NoteNumber(69));
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn nearest(self) -> NoteNumber {
        NoteNumber(self.0.round().clamp(0.0, 127.0) as u8)
    }
}

/// A MIDI note number, 0..=127; 60 is middle C (C4).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Display)]
#[serde(transparent)]
pub struct NoteNumber(pub u8);

impl NoteNumber {
    /// The pitch class of this note.
    ///
    /// ```
    /// use leadbar::theory::{NoteNumber, PitchClass};
    /// assert_eq!(NoteNumber(69).class(), PitchClass::new(9));
    /// ```
    #[must_use]
    pub fn class(self) -> PitchClass {
        PitchClass(self.0 % 12)
    }

    /// This note as a continuous height.
    ///
    /// ```
    /// use leadbar::theory::{Height, NoteNumber};
    /// assert_eq!(NoteNumber(69).height(), Height(69.0));
    /// ```
    #[must_use]
    pub fn height(self) -> Height {
        Height(f64::from(self.0))
    }

    /// This note moved by whole semitones, or nothing when that leaves 0..=127.
    ///
    /// ```
    /// use leadbar::theory::{NoteNumber, Semitones};
    /// assert_eq!(NoteNumber(69).checked_add(Semitones(3)), Some(NoteNumber(72)));
    /// assert_eq!(NoteNumber(127).checked_add(Semitones(1)), None);
    /// ```
    #[must_use]
    pub fn checked_add(self, by: Semitones) -> Option<Self> {
        let sum = i16::from(self.0).saturating_add(by.0);
        u8::try_from(sum).ok().filter(|n| *n <= 127).map(Self)
    }

    /// How many semitones this note lies above `other`.
    ///
    /// ```
    /// use leadbar::theory::{NoteNumber, Semitones};
    /// assert_eq!(NoteNumber(60).above(NoteNumber(64)), Semitones(-4));
    /// ```
    #[must_use]
    pub fn above(self, other: Self) -> Semitones {
        Semitones(i16::from(self.0) - i16::from(other.0))
    }
}

/// A pitch class: 0 is C, 11 is B.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(from = "i16", into = "u8")]
pub struct PitchClass(u8);

impl PitchClass {
    /// The twelve classes from C.
    ///
    /// ```
    /// assert_eq!(leadbar::theory::PitchClass::all().count(), 12);
    /// ```
    pub fn all() -> impl DoubleEndedIterator<Item = Self> + Clone {
        (0..12_u8).map(Self)
    }

    /// The class of any integer, taken modulo 12.
    ///
    /// ```
    /// use leadbar::theory::PitchClass;
    /// assert_eq!(PitchClass::new(-1), PitchClass::new(11));
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn new(number: i16) -> Self {
        Self(number.rem_euclid(12) as u8)
    }

    /// 0..=11, C is 0.
    ///
    /// ```
    /// assert_eq!(leadbar::theory::PitchClass::new(14).number(), 2);
    /// ```
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }

    /// The semitones from `root` up to this class, 0..=11.
    ///
    /// ```
    /// use leadbar::theory::{PitchClass, Semitones};
    /// assert_eq!(PitchClass::new(0).above(PitchClass::new(9)), Semitones(3));
    /// ```
    #[must_use]
    pub fn above(self, root: Self) -> Semitones {
        Semitones((i16::from(self.0) - i16::from(root.0)).rem_euclid(12))
    }

    /// This class moved by semitones.
    ///
    /// ```
    /// use leadbar::theory::{PitchClass, Semitones};
    /// assert_eq!(PitchClass::new(11).plus(Semitones(2)), PitchClass::new(1));
    /// ```
    #[must_use]
    pub fn plus(self, by: Semitones) -> Self {
        Self::new(i16::from(self.0) + by.0.rem_euclid(12))
    }
}

impl From<i16> for PitchClass {
    fn from(number: i16) -> Self {
        Self::new(number)
    }
}

impl From<PitchClass> for u8 {
    fn from(class: PitchClass) -> Self {
        class.0
    }
}
