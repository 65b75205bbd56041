//! Chords as numbers in a key, as the trade writes them.

use super::chord::Quality;
use super::pitch::Accidental;
use serde::{Deserialize, Serialize};

/// A degree of the tonic's major scale, perhaps altered: 1..=7 with a flat or sharp.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct ScaleDegree {
    /// The alteration before the number.
    pub accidental: Accidental,
    /// The number, 1..=7.
    number: u8,
}

/// A chord written as a number: degree, quality, perhaps a bass degree (of the key, not of the chord).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Numeral {
    /// The root.
    pub degree: ScaleDegree,
    /// The chord's kind.
    pub quality: Quality,
    /// Bass as a scale degree of the key, where it is not the root.
    pub bass: Option<ScaleDegree>,
}

impl ScaleDegree {
    /// A degree from its number, 1..=7, and its sign.
    #[must_use]
    pub fn new(number: u8, accidental: Accidental) -> Option<Self> {
        (1..=7).contains(&number).then_some(Self { accidental, number })
    }
}

impl std::fmt::Display for ScaleDegree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.accidental, self.number)
    }
}

impl std::fmt::Display for Numeral {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.degree)?;
        if self.quality == Quality::Minor {
            f.write_str("-")?;
        }
        self.bass.map_or(Ok(()), |bass| write!(f, "/{bass}"))
    }
}
