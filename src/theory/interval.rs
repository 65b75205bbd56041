//! Spelled intervals.
//!
//! *Invariant:* an interval counts letters and semitones separately, so that a note it reaches is always spelled
//! by its letter: a minor third above A is C, never B#.

use super::pitch::{Accidental, Letter, NoteName, Semitones};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// Semitones of the perfect or major interval on each of the seven steps.
const MAJOR_SIZES: [i16; 7] = [0, 2, 4, 5, 7, 9, 11];

/// Names of the simple intervals by letters away.
const STEP_NAMES: [&str; 15] = [
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
];

/// A spelled interval upwards: how many letters, how many semitones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Interval {
    /// Letters away: a unison is 0, a third 2, a ninth 8.
    steps: i16,
    /// Its size.
    size: Semitones,
}

impl Interval {
    /// The perfect unison.
    pub const UNISON: Self = Self::new(0, Semitones(0));

    /// An interval from letters (0 = unison) and semitones.
    ///
    /// ```
    /// use leadbar::theory::{Interval, Semitones};
    /// assert_eq!(Interval::new(2, Semitones(3)).to_string(), "m3");
    /// ```
    #[must_use]
    pub const fn new(steps: i16, size: Semitones) -> Self {
        Self { steps, size }
    }

    /// The interval from `low` up to the next `high`, less than an octave by letters.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// let fourth = Interval::between("A".parse()?, "D#".parse()?);
    /// assert_eq!(fourth.name(), "augmented fourth");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn between(low: NoteName, high: NoteName) -> Self {
        let steps = (high.letter.index() - low.letter.index()).rem_euclid(7);
        let natural = (high.letter.natural().0 - low.letter.natural().0).rem_euclid(12);
        let bend = i16::from(high.accidental.0) - i16::from(low.accidental.0);
        Self::new(steps, Semitones(natural + bend))
    }

    /// Letters away; a third is 2.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// assert_eq!("M9".parse::<Interval>()?.steps(), 8);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn steps(self) -> i16 {
        self.steps
    }

    /// Size in semitones.
    ///
    /// ```
    /// use leadbar::theory::{Interval, Semitones};
    /// assert_eq!("P5".parse::<Interval>()?.size(), Semitones(7));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn size(self) -> Semitones {
        self.size
    }

    /// How far it is from the major or perfect interval of the same letters: -1 for a minor third or a diminished
    /// fifth, 1 for an augmented one. It is the sign a player puts before the figure, as in b3 and #5.
    ///
    /// ```
    /// use leadbar::theory::{Accidental, Interval};
    /// assert_eq!("m7".parse::<Interval>()?.alteration(), Accidental::FLAT);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn alteration(self) -> Accidental {
        Accidental((self.size.0 - major_size(self.steps)).clamp(-12, 12) as i8)
    }

    /// The note this interval above `root`, spelled by its letter.
    ///
    /// ```
    /// use leadbar::theory::{Interval, NoteName};
    /// let third: Interval = "M3".parse()?;
    /// assert_eq!(third.above("F#".parse()?), "A#".parse::<NoteName>()?);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn above(self, root: NoteName) -> NoteName {
        let letter: Letter = root.letter.plus(self.steps);
        let wanted = i16::from(root.class().number()) + self.size.0;
        let off = (wanted - letter.natural().0).rem_euclid(12);
        let signed = if off > 6 { off - 12 } else { off };
        NoteName::new(letter, Accidental(signed as i8))
    }

    /// The interval that completes this one to an octave; compound intervals are folded first.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// assert_eq!("m3".parse::<Interval>()?.inverted().to_string(), "M6");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn inverted(self) -> Self {
        let simple = self.simple();
        Self::new(7 - simple.steps, Semitones(12 - simple.size.0))
    }

    /// This interval within one octave: a ninth becomes a second.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// assert_eq!("m9".parse::<Interval>()?.simple().to_string(), "m2");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn simple(self) -> Self {
        let octaves = self.steps.div_euclid(7);
        Self::new(self.steps - 7 * octaves, Semitones(self.size.0 - 12 * octaves))
    }

    /// One interval on top of another.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// let fifth = "M3".parse::<Interval>()?.plus("m3".parse()?);
    /// assert_eq!(fifth.to_string(), "P5");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self::new(self.steps + other.steps, self.size + other.size)
    }

    /// Its name in words, such as "minor third"; beyond two octaves the steps are given as a figure.
    ///
    /// ```
    /// use leadbar::theory::Interval;
    /// assert_eq!("d7".parse::<Interval>()?.name(), "diminished seventh");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn name(self) -> String {
        let kind = match (self.is_perfect_kind(), i16::from(self.alteration().0)) {
            (true, 0) => "perfect".to_owned(),
            (false, 0) => "major".to_owned(),
            (false, -1) => "minor".to_owned(),
            (true, -1) | (false, -2) => "diminished".to_owned(),
            (_, 1) => "augmented".to_owned(),
            (_, 2) => "doubly augmented".to_owned(),
            (true, -2) | (false, -3) => "doubly diminished".to_owned(),
            (_, off) => format!("{off:+} semitones"),
        };
        let step = usize::try_from(self.steps).ok().and_then(|i| STEP_NAMES.get(i));
        step.map_or_else(
            || format!("{kind} {}", i32::from(self.steps) + 1),
            |s| format!("{kind} {s}"),
        )
    }

    /// Whether its step has a perfect form (unison, fourth, fifth, octave).
    fn is_perfect_kind(self) -> bool {
        is_perfect_step(self.steps)
    }
}

fn is_perfect_step(steps: i16) -> bool {
    matches!(steps.rem_euclid(7), 0 | 3 | 4)
}

/// Size in semitones of the major or perfect interval `steps` letters up.
fn major_size(steps: i16) -> i16 {
    let within = usize::try_from(steps.rem_euclid(7)).unwrap_or(0);
    MAJOR_SIZES[within] + 12 * steps.div_euclid(7)
}

/// Short names as in scholarly use: P5, m3, M6, A4, d7.
impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let off = self.size.0 - major_size(self.steps);
        let repeat = |letter: &str, times: i16| letter.repeat(usize::from(times.unsigned_abs()));
        let kind = match (self.is_perfect_kind(), off) {
            (true, 0) => "P".to_owned(),
            (false, 0) => "M".to_owned(),
            (false, -1) => "m".to_owned(),
            (_, up) if up > 0 => repeat("A", up),
            (true, down) => repeat("d", down),
            (false, down) => repeat("d", down + 1),
        };
        write!(f, "{kind}{}", i32::from(self.steps) + 1)
    }
}

/// Why a text is not an interval.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("\"{0}\" is not an interval: write P, M, m, A or d and a number from 1 to 15, as in M3 or P5")]
pub struct IntervalError(pub String);

impl FromStr for Interval {
    type Err = IntervalError;

    fn from_str(text: &str) -> Result<Self, IntervalError> {
        let wrong = || IntervalError(text.to_owned());
        let at = text.find(|c: char| c.is_ascii_digit()).ok_or_else(wrong)?;
        let (kind, figure) = text.split_at(at);
        let number: i16 = figure.parse().map_err(|_| wrong())?;
        if !(1..=15).contains(&number) {
            return Err(wrong());
        }
        let steps = number - 1;
        let perfect = is_perfect_step(steps);
        let times = i16::try_from(kind.len()).map_err(|_| wrong())?;
        let off = match kind {
            "P" if perfect => 0,
            "M" if !perfect => 0,
            "m" if !perfect => -1,
            "A" | "AA" | "AAA" => times,
            "d" | "dd" | "ddd" if perfect => -times,
            "d" | "dd" | "ddd" => -times - 1,
            _ => return Err(wrong()),
        };
        Ok(Self::new(steps, Semitones(major_size(steps) + off)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_print_as_they_are_read() {
        for name in [
            "P1", "A1", "d2", "m2", "M2", "A2", "d3", "m3", "M3", "A3", "d4", "P4", "A4", "d5", "P5", "A5", "d6", "m6",
            "M6", "A6", "d7", "m7", "M7", "A7", "d8", "P8", "A8", "m9", "M9", "A9", "P11", "A11", "m13", "M13", "dd5",
            "AA4", "dd7",
        ] {
            assert_eq!(name.parse::<Interval>().unwrap().to_string(), name);
        }
    }

    #[test]
    fn a_wrong_name_is_refused_with_what_to_write() {
        for wrong in ["", "P3", "M5", "m4", "X2", "M0", "M16", "3", "M", "AAAA1", "M3x", "M-3"] {
            let error = wrong.parse::<Interval>().unwrap_err();
            assert!(error.to_string().contains("as in M3 or P5"), "{wrong}");
        }
    }

    #[test]
    fn an_interval_and_its_inversion_make_an_octave() {
        for name in ["m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7"] {
            let interval: Interval = name.parse().unwrap();
            assert_eq!(interval.plus(interval.inverted()).to_string(), "P8");
        }
    }

    #[test]
    fn the_interval_between_two_names_leads_from_one_to_the_other() {
        for low in NoteName::all_within(1) {
            for high in NoteName::all_within(1) {
                assert_eq!(Interval::between(low, high).above(low), high, "{low} {high}");
            }
        }
    }
}
