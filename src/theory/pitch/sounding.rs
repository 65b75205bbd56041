//! A spelled note in its octave.

use super::name::{NoteName, PitchError};
use super::units::NoteNumber;
use crate::theory::interval::Interval;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

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
    ///
    /// ```
    /// use leadbar::theory::{NoteNumber, Pitch};
    /// assert_eq!("G#4".parse::<Pitch>()?.number(), Some(NoteNumber(68)));
    /// assert_eq!("B#3".parse::<Pitch>()?.number(), Some(NoteNumber(60)));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn number(self) -> Option<NoteNumber> {
        let n = (i16::from(self.octave) + 1) * 12 + self.name.letter.natural().0 + i16::from(self.name.accidental.0);
        u8::try_from(n).ok().filter(|n| *n <= 127).map(NoteNumber)
    }

    /// The note `number` under the name `name`, in the octave of its letter, or nothing when the name does not
    /// sound it.
    ///
    /// ```
    /// use leadbar::theory::{NoteNumber, Pitch};
    /// let pitch = Pitch::named("Cb".parse()?, NoteNumber(71));
    /// assert_eq!(pitch.map(|p| p.to_string()).as_deref(), Some("Cb5"));
    /// assert_eq!(Pitch::named("C".parse()?, NoteNumber(71)), None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn named(name: NoteName, number: NoteNumber) -> Option<Self> {
        let of_letter = i16::from(number.0) - name.letter.natural().0 - i16::from(name.accidental.0);
        let octave = i8::try_from(of_letter / 12 - 1).ok()?;
        (of_letter % 12 == 0).then_some(Self { name, octave })
    }

    /// The note `interval` above this one, spelled by its letter.
    ///
    /// ```
    /// use leadbar::theory::Pitch;
    /// assert_eq!("A3".parse::<Pitch>()?.up("M3".parse()?).to_string(), "C#4");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn up(self, interval: Interval) -> Self {
        let octaves = (self.name.letter.index() + interval.steps()).div_euclid(7);
        Self {
            name: interval.above(self.name),
            octave: self.octave.saturating_add(octaves as i8),
        }
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
        let (name, rest) = NoteName::split(text).ok_or_else(|| PitchError::Name(text.to_owned()))?;
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
