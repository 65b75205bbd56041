//! Spelled note names: a letter and its alteration.

use super::units::{PitchClass, Semitones};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

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
    ///
    /// ```
    /// use leadbar::theory::Letter;
    /// assert_eq!(Letter::ALL.map(|l| l.to_string()).concat(), "CDEFGAB");
    /// ```
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// Place in the row of letters, C = 0 .. B = 6.
    ///
    /// ```
    /// assert_eq!(leadbar::theory::Letter::A.index(), 5);
    /// ```
    #[must_use]
    pub fn index(self) -> i16 {
        self as i16
    }

    /// The letter written `c`, in either case.
    ///
    /// ```
    /// use leadbar::theory::Letter;
    /// assert_eq!(Letter::from_char('g'), Some(Letter::G));
    /// assert_eq!(Letter::from_char('h'), None);
    /// ```
    #[must_use]
    pub fn from_char(c: char) -> Option<Self> {
        Some(match c.to_ascii_uppercase() {
            'C' => Self::C,
            'D' => Self::D,
            'E' => Self::E,
            'F' => Self::F,
            'G' => Self::G,
            'A' => Self::A,
            'B' => Self::B,
            _ => return None,
        })
    }

    /// The letter `steps` scale steps away, wrapping round.
    ///
    /// ```
    /// use leadbar::theory::Letter;
    /// assert_eq!(Letter::A.plus(2), Letter::C);
    /// assert_eq!(Letter::C.plus(-1), Letter::B);
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn plus(self, steps: i16) -> Self {
        Self::ALL[(self.index() + steps).rem_euclid(7) as usize]
    }

    /// Semitones of the natural note above C.
    ///
    /// ```
    /// use leadbar::theory::{Letter, Semitones};
    /// assert_eq!(Letter::F.natural(), Semitones(5));
    /// ```
    #[must_use]
    pub fn natural(self) -> Semitones {
        Semitones([0, 2, 4, 5, 7, 9, 11][self as usize])
    }
}

impl fmt::Display for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
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

    /// One sharp (1) or flat (-1) at the beginning of `text`, and what follows it.
    pub(crate) fn split_one(text: &str) -> Option<(i8, &str)> {
        let sign = text.chars().next()?;
        let step = match sign {
            '#' | '♯' => 1,
            'b' | '♭' => -1,
            _ => return None,
        };
        Some((step, text.get(sign.len_utf8()..)?))
    }
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
    ///
    /// ```
    /// use leadbar::theory::{Accidental, Letter, NoteName};
    /// assert_eq!(NoteName::new(Letter::B, Accidental::FLAT).to_string(), "Bb");
    /// ```
    #[must_use]
    pub const fn new(letter: Letter, accidental: Accidental) -> Self {
        Self { letter, accidental }
    }

    /// The pitch class this name sounds.
    ///
    /// ```
    /// use leadbar::theory::NoteName;
    /// assert_eq!("B#".parse::<NoteName>()?.class(), "C".parse::<NoteName>()?.class());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn class(self) -> PitchClass {
        PitchClass::new(self.letter.natural().0 + i16::from(self.accidental.0))
    }

    /// The name at the beginning of `text`, with up to three sharps or flats, and what follows it.
    ///
    /// ```
    /// use leadbar::theory::NoteName;
    /// let (name, rest) = NoteName::split("Bbm7").ok_or("no note")?;
    /// assert_eq!((name.to_string().as_str(), rest), ("Bb", "m7"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn split(text: &str) -> Option<(Self, &str)> {
        let letter = Letter::from_char(text.chars().next()?)?;
        let mut rest = text.get(1..)?;
        let mut alteration = 0_i8;
        while let Some((step, after)) = Accidental::split_one(rest) {
            alteration += step;
            if alteration.abs() > 3 {
                return None;
            }
            rest = after;
        }
        Some((Self::new(letter, Accidental(alteration)), rest))
    }

    /// Every name with at most `most` sharps or flats, from C upwards by letters, flats first.
    ///
    /// ```
    /// use leadbar::theory::NoteName;
    /// assert_eq!(NoteName::all_within(1).count(), 21);
    /// ```
    pub fn all_within(most: u8) -> impl Iterator<Item = Self> {
        let most = i8::try_from(most).unwrap_or(i8::MAX);
        Letter::ALL
            .into_iter()
            .flat_map(move |letter| (-most..=most).map(move |by| Self::new(letter, Accidental(by))))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}{}", self.letter, self.accidental)
    }
}

/// Why a text is not a note.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum PitchError {
    /// The text is no note name.
    Name(String),
    /// The octave is missing or out of reach.
    Octave(String),
}

impl PitchError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Name(what) => said!(
                "\"{what}\" is not a note name: write a letter A to G, then # or b if needed, as in F# or Bb",
                what
            ),
            Self::Octave(what) => said!("\"{what}\" needs an octave from -1 to 9 after the name, as in E4", what),
        }
    }
}

impl FromStr for NoteName {
    type Err = PitchError;

    fn from_str(text: &str) -> Result<Self, PitchError> {
        match Self::split(text) {
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
