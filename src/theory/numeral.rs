//! Chords as numbers in a key, as the trade writes them.
//!
//! *Invariant:* the bass of a number is a degree of the **key**, never of the chord: 5/7 in C is G over B.

use super::chord::{Chord, Quality};
use super::degree::{DegreeError, ScaleDegree};
use super::interval::Interval;
use super::key::Key;
use super::pitch::Semitones;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

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

impl Numeral {
    /// The tonic's major triad.
    pub const ONE: Self = Self::new(ScaleDegree::ONE, Quality::Major);

    /// A number without another bass.
    ///
    /// ```
    /// use leadbar::theory::{Numeral, Quality};
    /// assert_eq!(Numeral::new("6".parse()?, Quality::Minor).to_string(), "6-");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn new(degree: ScaleDegree, quality: Quality) -> Self {
        Self {
            degree,
            quality,
            bass: None,
        }
    }

    /// This number over a bass degree of the key; over its own root it is the plain number.
    ///
    /// ```
    /// use leadbar::theory::{Numeral, Quality};
    /// let five = Numeral::new("5".parse()?, Quality::Major);
    /// assert_eq!(five.over("7".parse()?).to_string(), "5/7");
    /// assert_eq!(five.over("5".parse()?), five);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn over(self, bass: ScaleDegree) -> Self {
        Self {
            bass: (bass != self.degree).then_some(bass),
            ..self
        }
    }

    /// The chord it names in `key`.
    ///
    /// ```
    /// use leadbar::theory::Numeral;
    /// let chord = "5/7".parse::<Numeral>()?.chord("C".parse()?);
    /// assert_eq!(chord.symbol(), "G/B");
    /// assert_eq!("b7".parse::<Numeral>()?.chord("F#".parse()?).symbol(), "E");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn chord(self, key: Key) -> Chord {
        let chord = Chord::new(key.note(self.degree), self.quality);
        match self.bass {
            Some(bass) => chord.over(key.note(bass)),
            None => chord,
        }
    }

    /// The number a chord has in `key`.
    ///
    /// ```
    /// use leadbar::theory::Numeral;
    /// assert_eq!(Numeral::of("D/F#".parse()?, "A".parse()?).to_string(), "4/6");
    /// assert_eq!(Numeral::of("A#".parse()?, "F".parse()?).to_string(), "4");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn of(chord: Chord, key: Key) -> Self {
        let number = Self::new(key.degree_named(chord.root), chord.quality);
        match chord.bass {
            Some(bass) => number.over(key.degree_named(bass)),
            None => number,
        }
    }

    /// The same sound counted from another key's tonic: 6- in C is 1- in A minor.
    ///
    /// ```
    /// use leadbar::theory::{Key, Numeral};
    /// let tonic: Numeral = "6-".parse()?;
    /// assert_eq!(tonic.recounted("C".parse()?, "Am".parse()?).to_string(), "1-");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn recounted(self, from: Key, to: Key) -> Self {
        Self::of(self.chord(from), to)
    }
}

impl fmt::Display for Numeral {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.degree, self.quality.number_suffix())?;
        match self.bass.filter(|b| *b != self.degree) {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}

/// Why a text is not a number chord.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum NumeralError {
    /// It does not begin with a degree.
    Degree(DegreeError),
    /// What follows the number is no known kind of chord.
    Quality(String),
    /// The bass is no degree of the key.
    Bass(String),
    /// The bass is the chord's own root, which may mean two things.
    OwnBass(ScaleDegree),
}

impl NumeralError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Degree(error) => error.said(),
            Self::Quality(text) => said!(
                "\"{text}\" is not a kind of chord known here: write one such as -, 7, maj7, -7, sus4, dim or add9",
                text
            ),
            Self::Bass(text) => said!(
                "the bass \"{text}\" is not a number from 1 to 7: write a degree of the key after the slash, as in 5/7",
                text
            ),
            Self::OwnBass(number) => said!(
                "\"{number}/{number}\" can mean two things: write {number} for the plain chord, or {applied} for the 5 of {number}",
                number,
                applied = five_of(*number)
            ),
        }
    }
}

/// The major chord a fifth above a degree, as Roman analysis means by V/x.
///
/// ```
/// use leadbar::theory::numeral::five_of;
/// assert_eq!(five_of("5".parse()?).to_string(), "2");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn five_of(degree: ScaleDegree) -> ScaleDegree {
    let c = Key::C;
    let fifth = Interval::new(4, Semitones(7));
    c.degree_named(fifth.above(c.note(degree)))
}

impl FromStr for Numeral {
    type Err = NumeralError;

    fn from_str(text: &str) -> Result<Self, NumeralError> {
        let (head, bass) = match text.split_once('/') {
            Some((head, bass)) => (head, Some(bass)),
            None => (text, None),
        };
        let (degree, rest) =
            ScaleDegree::split(head).ok_or_else(|| NumeralError::Degree(DegreeError(head.to_owned())))?;
        let quality = Quality::from_suffix(rest).ok_or_else(|| NumeralError::Quality(rest.to_owned()))?;
        let number = Self::new(degree, quality);
        let Some(bass) = bass else { return Ok(number) };
        match bass.parse() {
            Ok(bass) if bass == degree => Err(NumeralError::OwnBass(degree)),
            Ok(bass) => Ok(number.over(bass)),
            Err(_) => Err(NumeralError::Bass(bass.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Accidental, Mode};

    /// Every degree with at most one sharp or flat.
    fn degrees() -> impl Iterator<Item = ScaleDegree> {
        (1..=7).flat_map(|n| (-1..=1).filter_map(move |a| ScaleDegree::new(n, Accidental(a))))
    }

    #[test]
    fn every_number_reads_back_as_it_prints() {
        for degree in degrees() {
            for quality in Quality::ALL {
                for bass in degrees() {
                    let numeral = Numeral::new(degree, quality).over(bass);
                    assert_eq!(numeral.to_string().parse(), Ok(numeral), "{numeral}");
                }
            }
        }
    }

    #[test]
    fn every_usual_number_comes_back_from_its_chord_in_every_key() {
        for key in Key::all(Mode::Major).chain(Key::all(Mode::Minor)) {
            for class in crate::theory::PitchClass::all() {
                let numeral = Numeral::new(key.degree_of(class), Quality::Seven).over(ScaleDegree::ONE);
                assert_eq!(Numeral::of(numeral.chord(key), key), numeral, "{key} {numeral}");
            }
        }
    }

    #[test]
    fn a_number_over_its_own_root_is_asked_about() {
        let error = "5/5".parse::<Numeral>().unwrap_err();
        assert_eq!(
            error.to_string(),
            "\"5/5\" can mean two things: write 5 for the plain chord, or 2 for the 5 of 5"
        );
    }

    #[test]
    fn numbers_print_as_the_trade_writes_them() {
        for text in [
            "6-", "b7", "5/7", "4maj7", "2-7", "57", "7dim", "1add9", "5sus4", "#4-7b5", "6-/5", "1+",
        ] {
            assert_eq!(text.parse::<Numeral>().unwrap().to_string(), text);
        }
    }
}
