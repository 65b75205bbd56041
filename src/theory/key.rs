//! Keys: what the numbers count from, and how every note is spelled in them.
//!
//! *Invariant:* numbers count from the tonic's **major** scale in both modes, so a degree names the same letter in
//! A and in A minor.

use super::degree::ScaleDegree;
use super::interval::Interval;
use super::pitch::{Accidental, Letter, NoteName, PitchClass, Semitones};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// The degree usually written for each number of semitones above the tonic: flats for 2, 3, 6 and 7, a sharp for 4.
///
/// Common practice, no source.
const USUAL_DEGREES: [(u8, Accidental); 12] = [
    (1, Accidental::NATURAL),
    (2, Accidental::FLAT),
    (2, Accidental::NATURAL),
    (3, Accidental::FLAT),
    (3, Accidental::NATURAL),
    (4, Accidental::NATURAL),
    (4, Accidental::SHARP),
    (5, Accidental::NATURAL),
    (6, Accidental::FLAT),
    (6, Accidental::NATURAL),
    (7, Accidental::FLAT),
    (7, Accidental::NATURAL),
];

/// The most sharps or flats a key signature can hold.
const FULL_SIGNATURE: i8 = 7;

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mode {
    /// Numbers count from the tonic's major scale.
    #[default]
    Major,
    /// The tonic is minor.
    Minor,
}

/// The key of a song: what the numbers count from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Key {
    /// The note called 1.
    pub tonic: NoteName,
    /// Its mode. Numbers count from the tonic's **major** scale in both.
    pub mode: Mode,
}

/// A key signature: sharps when positive, flats when negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Signature(pub i8);

impl Signature {
    /// How many sharps or flats it has.
    #[must_use]
    pub fn said(self) -> Said {
        match (self.0.unsigned_abs(), self.0.is_positive()) {
            (0, _) => said!("no sharps or flats"),
            (n, true) => said!(n => "{n} sharp", "{n} sharps"),
            (n, false) => said!(n => "{n} flat", "{n} flats"),
        }
    }
}

impl fmt::Display for Signature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said().english())
    }
}

impl Key {
    /// C major, assumed where a chart is silent.
    pub const C: Self = Self::new(NoteName::new(Letter::C, Accidental::NATURAL), Mode::Major);

    /// A key from its tonic and mode.
    ///
    /// ```
    /// use leadbar::theory::{Key, Mode};
    /// assert_eq!(Key::new("F#".parse()?, Mode::Minor).to_string(), "F#m");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn new(tonic: NoteName, mode: Mode) -> Self {
        Self { tonic, mode }
    }

    /// The keys whose signature can be written, in `mode`, from seven flats to seven sharps.
    ///
    /// ```
    /// use leadbar::theory::{Key, Mode};
    /// let names: Vec<String> = Key::all(Mode::Major).map(|k| k.to_string()).collect();
    /// assert_eq!(names.join(" "), "Cb Gb Db Ab Eb Bb F C G D A E B F# C#");
    /// ```
    pub fn all(mode: Mode) -> impl Iterator<Item = Self> {
        (-FULL_SIGNATURE..=FULL_SIGNATURE).map(move |fifths| Self::from_signature(Signature(fifths), mode))
    }

    /// The key with this signature.
    ///
    /// ```
    /// use leadbar::theory::{Key, Mode, Signature};
    /// assert_eq!(Key::from_signature(Signature(-2), Mode::Minor).to_string(), "Gm");
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn from_signature(signature: Signature, mode: Mode) -> Self {
        let fifths = i16::from(signature.0) + if mode == Mode::Minor { 3 } else { 0 };
        // A fifth up is four letters up; F lies one fifth below C, and each full round of letters adds a sharp.
        let letter = Letter::C.plus(4 * fifths);
        let accidental = (fifths + 1).div_euclid(7);
        Self::new(NoteName::new(letter, Accidental(accidental as i8)), mode)
    }

    /// Its signature; beyond seven sharps or flats it cannot be written, only counted.
    ///
    /// ```
    /// use leadbar::theory::{Key, Signature};
    /// assert_eq!("A".parse::<Key>()?.signature(), Signature(3));
    /// assert_eq!("Cm".parse::<Key>()?.signature().to_string(), "3 flats");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn signature(self) -> Signature {
        // Fifths of the naturals C D E F G A B from C.
        let natural = [0_i8, 2, 4, -1, 1, 3, 5][self.tonic.letter as usize];
        let minor = if self.mode == Mode::Minor { 3 } else { 0 };
        Signature(natural + self.tonic.accidental.0.saturating_mul(7) - minor)
    }

    /// The note a degree names in this key.
    ///
    /// ```
    /// use leadbar::theory::Key;
    /// assert_eq!("A".parse::<Key>()?.note("b7".parse()?).to_string(), "G");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn note(self, degree: ScaleDegree) -> NoteName {
        degree.interval().above(self.tonic)
    }

    /// The degree usually written for a pitch class: b2, b3, #4, b6 and b7 for those outside the major scale.
    ///
    /// ```
    /// use leadbar::theory::{Key, NoteName};
    /// let key: Key = "F".parse()?;
    /// assert_eq!(key.degree_of("A#".parse::<NoteName>()?.class()).to_string(), "4");
    /// assert_eq!(key.degree_of("B".parse::<NoteName>()?.class()).to_string(), "#4");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn degree_of(self, class: PitchClass) -> ScaleDegree {
        let up = usize::try_from(class.above(self.tonic.class()).0).unwrap_or(0);
        let (number, accidental) = USUAL_DEGREES[up % 12];
        ScaleDegree::from_parts(number, accidental)
    }

    /// The degree a spelled note names: its letter counts, where that gives a degree the trade writes; an unusual
    /// spelling falls back on [`Self::degree_of`].
    ///
    /// ```
    /// use leadbar::theory::Key;
    /// let c: Key = "C".parse()?;
    /// assert_eq!(c.degree_named("Gb".parse()?).to_string(), "b5");
    /// assert_eq!(c.degree_named("F#".parse()?).to_string(), "#4");
    /// assert_eq!(c.degree_named("E#".parse()?).to_string(), "4");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn degree_named(self, name: NoteName) -> ScaleDegree {
        let interval = Interval::between(self.tonic, name);
        let number = u8::try_from(interval.steps() + 1).unwrap_or(1);
        let accidental = interval.alteration();
        let usual = match (accidental.0, number) {
            (0, _) => true,
            (1, n) => n != 3 && n != 7,
            (-1, n) => n != 4 && n != 1,
            _ => false,
        };
        if usual {
            ScaleDegree::from_parts(number, accidental)
        } else {
            self.degree_of(name.class())
        }
    }

    /// The right name of any pitch class in this key: its own notes by their letters, chromatic ones as the usual
    /// degree names them (b2, b3, #4, b6, b7).
    ///
    /// ```
    /// use leadbar::theory::{Key, NoteName};
    /// let class = "A#".parse::<NoteName>()?.class();
    /// assert_eq!("F".parse::<Key>()?.spell(class).to_string(), "Bb");
    /// assert_eq!("F#".parse::<Key>()?.spell(class).to_string(), "A#");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn spell(self, class: PitchClass) -> NoteName {
        self.note(self.degree_of(class))
    }

    /// The key `by` semitones away in the same mode, under the name with the lighter signature (flats where both
    /// weigh the same).
    ///
    /// ```
    /// use leadbar::theory::{Key, Semitones};
    /// assert_eq!("A".parse::<Key>()?.transposed(Semitones(2)).to_string(), "B");
    /// assert_eq!("A".parse::<Key>()?.transposed(Semitones(1)).to_string(), "Bb");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn transposed(self, by: Semitones) -> Self {
        if by.0.rem_euclid(12) == 0 {
            return self;
        }
        let class = self.tonic.class().plus(by);
        Self::lightest(class, self.mode)
    }

    /// The key on `class` with the fewest sharps or flats.
    fn lightest(class: PitchClass, mode: Mode) -> Self {
        Self::all(mode)
            .filter(|k| k.tonic.class() == class)
            .min_by_key(|k| k.signature().0.unsigned_abs())
            .unwrap_or(Self::C)
    }

    /// The key of the other mode with the same notes: A minor for C, C for A minor.
    ///
    /// ```
    /// use leadbar::theory::Key;
    /// assert_eq!("Em".parse::<Key>()?.relative().to_string(), "G");
    /// assert_eq!("G".parse::<Key>()?.relative().to_string(), "Em");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn relative(self) -> Self {
        let (up, mode) = match self.mode {
            Mode::Major => (Interval::new(5, Semitones(9)), Mode::Minor),
            Mode::Minor => (Interval::new(2, Semitones(3)), Mode::Major),
        };
        Self::new(up.above(self.tonic), mode)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mode = if self.mode == Mode::Minor { "m" } else { "" };
        write!(f, "{}{mode}", self.tonic)
    }
}

/// Why a text is not a key.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum KeyError {
    /// It is no key name.
    Name(String),
    /// Its signature would hold more than seven sharps or flats.
    Heavy {
        /// The key as written.
        key: Key,
        /// What it would need.
        signature: Signature,
        /// The same sound under a usual name.
        instead: Key,
    },
}

impl KeyError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Name(what) => said!(
                "\"{what}\" is not a key: write a note A to G, then m if it is minor, as in A, F#m or Bb",
                what
            ),
            Self::Heavy {
                key,
                signature,
                instead,
            } => said!(
                "the key of {key} would need {signature}: write {instead}, which sounds the same",
                key,
                signature = signature.said(),
                instead
            ),
        }
    }
}

impl FromStr for Key {
    type Err = KeyError;

    fn from_str(text: &str) -> Result<Self, KeyError> {
        let wrong = || KeyError::Name(text.to_owned());
        let (tonic, rest) = NoteName::split(text.trim()).ok_or_else(wrong)?;
        let mode = match rest.trim() {
            "" | "maj" | "major" => Mode::Major,
            "m" | "-" | "min" | "minor" => Mode::Minor,
            _ => return Err(wrong()),
        };
        let key = Self::new(tonic, mode);
        let signature = key.signature();
        if signature.0.unsigned_abs() > FULL_SIGNATURE.unsigned_abs() {
            let instead = Self::lightest(tonic.class(), mode);
            return Err(KeyError::Heavy {
                key,
                signature,
                instead,
            });
        }
        Ok(key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_spells_its_scale_with_seven_letters_and_its_signature() {
        for mode in [Mode::Major, Mode::Minor] {
            for key in Key::all(mode) {
                let notes: Vec<NoteName> = key.scale().notes().collect();
                let mut letters: Vec<Letter> = notes.iter().map(|n| n.letter).collect();
                letters.sort_unstable();
                assert_eq!(letters, Letter::ALL, "{key}");
                let signs: i8 = notes.iter().map(|n| n.accidental.0).sum();
                assert_eq!(Signature(signs), key.signature(), "{key}");
            }
        }
    }

    #[test]
    fn every_key_reads_back_as_it_prints() {
        for key in Key::all(Mode::Major).chain(Key::all(Mode::Minor)) {
            assert_eq!(key.to_string().parse(), Ok(key));
            assert_eq!(key.relative().relative(), key);
            assert_eq!(key.relative().signature(), key.signature());
        }
    }

    #[test]
    fn a_key_too_heavy_to_write_offers_its_light_name() {
        for (heavy, light) in [
            ("G#", "Ab"),
            ("D#", "Eb"),
            ("A#", "Bb"),
            ("Fb", "E"),
            ("Gbm", "F#m"),
            ("E#", "F"),
        ] {
            let error = heavy.parse::<Key>().unwrap_err();
            assert!(
                matches!(error, KeyError::Heavy { instead, .. } if instead.to_string() == light),
                "{error}"
            );
        }
        assert!(matches!("H".parse::<Key>(), Err(KeyError::Name(_))));
    }

    #[test]
    fn in_flat_keys_no_sharp_and_in_sharp_keys_no_flat_spells_the_scale() {
        for key in Key::all(Mode::Major).chain(Key::all(Mode::Minor)) {
            for note in key.scale().notes() {
                assert_eq!(key.spell(note.class()), note, "{key}");
            }
        }
    }

    #[test]
    fn every_class_is_spelled_as_itself_in_every_key() {
        for key in Key::all(Mode::Major).chain(Key::all(Mode::Minor)) {
            for class in PitchClass::all() {
                assert_eq!(key.spell(class).class(), class);
            }
        }
    }
}
