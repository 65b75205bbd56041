//! Pitch: spelled names, note numbers and continuous height.
//!
//! *Invariant:* a spelled note keeps its spelling; only [`PitchClass`], [`NoteNumber`] and [`Height`] forget it.

use derive_more::{Add, AddAssign, Display, Neg, Sub, SubAssign, Sum};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

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
    #[must_use]
    pub fn shifted(self, cents: Cents) -> Self {
        Self(self.0 + cents.0 / 100.0)
    }

    /// How far this height lies above `other`.
    #[must_use]
    pub fn above(self, other: Self) -> Cents {
        Cents((self.0 - other.0) * 100.0)
    }

    /// The nearest equal-tempered note; heights outside 0..=127 are clamped.
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
    #[must_use]
    pub fn class(self) -> PitchClass {
        PitchClass(self.0 % 12)
    }

    /// This note as a continuous height.
    #[must_use]
    pub fn height(self) -> Height {
        Height(f64::from(self.0))
    }

    /// This note moved by whole semitones, or nothing when that leaves 0..=127.
    #[must_use]
    pub fn checked_add(self, by: Semitones) -> Option<Self> {
        let sum = i16::from(self.0) + by.0;
        u8::try_from(sum).ok().filter(|n| *n <= 127).map(Self)
    }

    /// How many semitones this note lies above `other`.
    #[must_use]
    pub fn above(self, other: Self) -> Semitones {
        Semitones(i16::from(self.0) - i16::from(other.0))
    }
}

/// A pitch class: 0 is C, 11 is B.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PitchClass(u8);

impl PitchClass {
    /// The class of any integer, taken modulo 12.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn new(number: i16) -> Self {
        Self(number.rem_euclid(12) as u8)
    }

    /// 0..=11, C is 0.
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }

    /// The semitones from `root` up to this class, 0..=11.
    #[must_use]
    pub fn above(self, root: Self) -> Semitones {
        Semitones((i16::from(self.0) - i16::from(root.0)).rem_euclid(12))
    }

    /// This class moved by semitones.
    #[must_use]
    pub fn plus(self, by: Semitones) -> Self {
        Self::new(i16::from(self.0) + by.0)
    }
}

/// A note letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// The seven letters from C.
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// Place in the row of letters, C = 0 .. B = 6.
    #[must_use]
    pub fn index(self) -> i16 {
        self as i16
    }

    /// The letter `steps` scale steps away, wrapping round.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn plus(self, steps: i16) -> Self {
        Self::ALL[(self.index() + steps).rem_euclid(7) as usize]
    }

    /// Semitones of the natural note above C.
    #[must_use]
    pub fn natural(self) -> Semitones {
        Semitones([0, 2, 4, 5, 7, 9, 11][self as usize])
    }
}

/// An alteration of a letter in semitones: 1 is a sharp, -1 a flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Accidental(pub i8);

impl Accidental {
    /// No alteration.
    pub const NATURAL: Self = Self(0);
    /// One semitone up.
    pub const SHARP: Self = Self(1);
    /// One semitone down.
    pub const FLAT: Self = Self(-1);
}

impl fmt::Display for Accidental {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "b" } else { "#" };
        f.write_str(&sign.repeat(usize::from(self.0.unsigned_abs())))
    }
}

/// A spelled note without octave, such as F# or Bb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct NoteName {
    /// The letter.
    pub letter: Letter,
    /// Its alteration.
    pub accidental: Accidental,
}

impl NoteName {
    /// A name from its parts.
    #[must_use]
    pub const fn new(letter: Letter, accidental: Accidental) -> Self {
        Self { letter, accidental }
    }

    /// The pitch class this name sounds.
    #[must_use]
    pub fn class(self) -> PitchClass {
        PitchClass::new(self.letter.natural().0 + i16::from(self.accidental.0))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}{}", self.letter, self.accidental)
    }
}

/// Why a text is not a note.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PitchError {
    /// The text is no note name.
    #[error("\"{0}\" is not a note name: write a letter A to G, then # or b if needed, as in F# or Bb")]
    Name(String),
    /// The octave is missing or out of reach.
    #[error("\"{0}\" needs an octave from -1 to 9 after the name, as in E4")]
    Octave(String),
}

fn split_name(text: &str) -> Option<(NoteName, &str)> {
    let mut chars = text.chars();
    let first = chars.next()?.to_ascii_uppercase();
    let letter = *Letter::ALL.iter().find(|l| format!("{l:?}").starts_with(first))?;
    let mut rest = chars.as_str();
    let mut alteration = 0_i8;
    loop {
        let step = match rest.chars().next() {
            Some('#' | '♯') => 1,
            Some('b' | '♭') => -1,
            _ => break,
        };
        alteration += step;
        if alteration.abs() > 3 {
            return None;
        }
        rest = rest.get(rest.chars().next().map_or(0, char::len_utf8)..)?;
    }
    Some((NoteName::new(letter, Accidental(alteration)), rest))
}

impl FromStr for NoteName {
    type Err = PitchError;

    fn from_str(text: &str) -> Result<Self, PitchError> {
        match split_name(text) {
            Some((name, "")) => Ok(name),
            _ => Err(PitchError::Name(text.to_owned())),
        }
    }
}

impl From<NoteName> for String {
    fn from(name: NoteName) -> Self {
        name.to_string()
    }
}

impl TryFrom<String> for NoteName {
    type Error = PitchError;

    fn try_from(text: String) -> Result<Self, PitchError> {
        text.parse()
    }
}

/// A spelled note with its octave in scientific pitch notation (C4 is middle C).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Pitch {
    /// The spelled name.
    pub name: NoteName,
    /// The octave the letter belongs to, -1..=9.
    pub octave: i8,
}

impl Pitch {
    /// The note number, or nothing when it lies outside 0..=127.
    #[must_use]
    pub fn number(self) -> Option<NoteNumber> {
        let n = (i16::from(self.octave) + 1) * 12 + self.name.letter.natural().0 + i16::from(self.name.accidental.0);
        u8::try_from(n).ok().filter(|n| *n <= 127).map(NoteNumber)
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

impl FromStr for Pitch {
    type Err = PitchError;

    fn from_str(text: &str) -> Result<Self, PitchError> {
        let (name, rest) = split_name(text).ok_or_else(|| PitchError::Name(text.to_owned()))?;
        let octave = rest.parse().map_err(|_| PitchError::Octave(text.to_owned()))?;
        let pitch = Self { name, octave };
        pitch.number().ok_or_else(|| PitchError::Octave(text.to_owned()))?;
        Ok(pitch)
    }
}

impl From<Pitch> for String {
    fn from(pitch: Pitch) -> Self {
        pitch.to_string()
    }
}

impl TryFrom<String> for Pitch {
    type Error = PitchError;

    fn try_from(text: String) -> Result<Self, PitchError> {
        text.parse()
    }
}
