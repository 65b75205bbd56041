//! Degrees of a key: the tonic's major scale, numbered.

use super::interval::Interval;
use super::pitch::{Accidental, Semitones};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A degree of the tonic's major scale, perhaps altered: 1..=7 with a flat or sharp.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct ScaleDegree {
    /// The alteration before the number.
    pub accidental: Accidental,
    /// The number, 1..=7.
    number: u8,
}

impl ScaleDegree {
    /// The tonic.
    pub const ONE: Self = Self::from_parts(1, Accidental::NATURAL);

    /// The degree `number`, 1..=7, moved by `accidental`.
    ///
    /// ```
    /// use leadbar::theory::{Accidental, ScaleDegree};
    /// assert_eq!(ScaleDegree::new(7, Accidental::FLAT).map(|d| d.to_string()).as_deref(), Some("b7"));
    /// assert_eq!(ScaleDegree::new(8, Accidental::NATURAL), None);
    /// ```
    #[must_use]
    pub fn new(number: u8, accidental: Accidental) -> Option<Self> {
        (1..=7).contains(&number).then_some(Self { accidental, number })
    }

    /// A degree whose number is known to be 1..=7.
    pub(super) const fn from_parts(number: u8, accidental: Accidental) -> Self {
        Self { accidental, number }
    }

    /// The number, 1..=7.
    ///
    /// ```
    /// assert_eq!("b7".parse::<leadbar::theory::ScaleDegree>()?.number(), 7);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn number(self) -> u8 {
        self.number
    }

    /// How far it lies above the tonic.
    ///
    /// ```
    /// use leadbar::theory::ScaleDegree;
    /// assert_eq!("#4".parse::<ScaleDegree>()?.interval().name(), "augmented fourth");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn interval(self) -> Interval {
        let steps = i16::from(self.number) - 1;
        let natural = [0, 2, 4, 5, 7, 9, 11][usize::from(self.number - 1) % 7];
        Interval::new(steps, Semitones(natural + i16::from(self.accidental.0)))
    }

    /// The degree at the beginning of `text`, with at most one sharp or flat before it, and what follows.
    pub(super) fn split(text: &str) -> Option<(Self, &str)> {
        let (accidental, rest) = Accidental::split_one(text).unwrap_or((0, text));
        let digit = rest.chars().next()?.to_digit(10)?;
        let number = u8::try_from(digit).ok()?;
        Some((Self::new(number, Accidental(accidental))?, rest.get(1..)?))
    }
}

impl fmt::Display for ScaleDegree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.accidental, self.number)
    }
}

impl FromStr for ScaleDegree {
    type Err = DegreeError;

    fn from_str(text: &str) -> Result<Self, DegreeError> {
        match Self::split(text) {
            Some((degree, "")) => Ok(degree),
            _ => Err(DegreeError(text.to_owned())),
        }
    }
}

impl From<ScaleDegree> for String {
    fn from(degree: ScaleDegree) -> Self {
        degree.to_string()
    }
}

impl TryFrom<String> for ScaleDegree {
    type Error = DegreeError;

    fn try_from(text: String) -> Result<Self, DegreeError> {
        text.parse()
    }
}

/// A text that is not a degree.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub struct DegreeError(pub(super) String);

impl DegreeError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        said!(
            "\"{text}\" is not a number from 1 to 7: write one, with b or # before it if needed, as in 4 or b7",
            text = &self.0
        )
    }
}
