//! Just intonation: intervals as whole-number ratios, and the ratio each tone of a chord asks for.
//!
//! *Invariant:* a ratio is in lowest terms; equal temperament never enters here.

use super::interval::Interval;
use super::pitch::{Cents, Hertz};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A frequency ratio in lowest terms, such as 5/4 for the pure major third.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Ratio {
    over: u32,
    under: u32,
}

impl Ratio {
    /// The unison.
    pub const UNISON: Self = Self { over: 1, under: 1 };

    /// `over`/`under`, brought to lowest terms; nothing where one of them is zero.
    ///
    /// ```
    /// use leadbar::theory::Ratio;
    /// assert_eq!(Ratio::new(10, 8), Ratio::new(5, 4));
    /// assert_eq!(Ratio::new(1, 0), None);
    /// ```
    #[must_use]
    pub fn new(over: u32, under: u32) -> Option<Self> {
        (over > 0 && under > 0).then(|| Self::reduced(u64::from(over), u64::from(under)))
    }

    /// In lowest terms. Every caller keeps both parts positive and small.
    #[allow(clippy::cast_possible_truncation)]
    fn reduced(over: u64, under: u64) -> Self {
        let shared = divisor(over, under).max(1);
        Self {
            over: (over / shared) as u32,
            under: (under / shared) as u32,
        }
    }

    /// The upper part of the ratio: this many vibrations ...
    #[must_use]
    pub fn over(self) -> u32 {
        self.over
    }

    /// ... while the lower note makes this many.
    #[must_use]
    pub fn under(self) -> u32 {
        self.under
    }

    /// Its size: 1200 log2(over / under).
    ///
    /// ```
    /// use leadbar::theory::Ratio;
    /// let third = Ratio::new(5, 4).unwrap();
    /// assert!((third.cents().0 - 386.314).abs() < 0.001);
    /// ```
    #[must_use]
    pub fn cents(self) -> Cents {
        Cents(1200.0 * (f64::from(self.over) / f64::from(self.under)).log2())
    }

    /// The ratio from `low`'s note up to this one's, both counted from one root, moved by whole octaves to lie
    /// nearest to `size`.
    ///
    /// ```
    /// use leadbar::theory::{Cents, Ratio};
    /// let (third, fifth) = (Ratio::new(5, 4).unwrap(), Ratio::new(3, 2).unwrap());
    /// // The fifth over the third is a minor third; with the third on top, a major sixth.
    /// assert_eq!(fifth.over_by(third, Cents(300.0)), Ratio::new(6, 5));
    /// assert_eq!(third.over_by(fifth, Cents(900.0)), Ratio::new(5, 3));
    /// ```
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn over_by(self, low: Self, size: Cents) -> Option<Self> {
        let plain = self.cents().0 - low.cents().0;
        let octaves = ((size.0 - plain) / 1200.0).round() as i32;
        let lift = 1_u64
            .checked_shl(octaves.unsigned_abs())
            .filter(|_| octaves.abs() < 8)?;
        let over = u64::from(self.over) * u64::from(low.under);
        let under = u64::from(self.under) * u64::from(low.over);
        Some(if octaves < 0 {
            Self::reduced(over, under * lift)
        } else {
            Self::reduced(over * lift, under)
        })
    }

    /// How fast two notes beat that should stand in this ratio: the lowest partials they share, the `over`th of
    /// the low note and the `under`th of the high one, differ by |over f_low - under f_high|.
    ///
    /// Source: the beats of coinciding partials, any textbook of acoustics; checked against table 1 of
    /// J. Neurosci. 32(35), 12251 (2012) in `tests/steel/temper.rs`.
    #[must_use]
    pub fn beats(self, low: Hertz, high: Hertz) -> Hertz {
        Hertz((f64::from(self.over) * low.0 - f64::from(self.under) * high.0).abs())
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.over, self.under)
    }
}

fn divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { divisor(b, a % b) }
}

/// Which primes a just interval may be made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// 2, 3 and 5: pure thirds and fifths.
    #[default]
    Five,
    /// 7 as well: the low seventh of a dominant chord, 7/4.
    Seven,
}

/// The ratio a chord's tone asks for over the root, within an octave. Nothing for an interval no chord has.
///
/// Source: the just scale of five-limit intonation, as in any textbook (5/4, 3/2, 9/5 ...); with `Limit::Seven`
/// the minor seventh is the seventh partial and the flat fifth the 7/5 above the root. `minor_third` says that
/// the chord has one: over it the minor seventh is always 9/5, a pure fifth above the third.
///
/// ```
/// use leadbar::theory::{Limit, Ratio, just_tone};
/// let seventh = "m7".parse().unwrap();
/// assert_eq!(just_tone(seventh, false, Limit::Five), Ratio::new(9, 5));
/// assert_eq!(just_tone(seventh, false, Limit::Seven), Ratio::new(7, 4));
/// assert_eq!(just_tone(seventh, true, Limit::Seven), Ratio::new(9, 5));
/// ```
#[must_use]
pub fn just_tone(tone: Interval, minor_third: bool, limit: Limit) -> Option<Ratio> {
    let (over, under) = match (tone.steps().rem_euclid(7), tone.size().0.rem_euclid(12)) {
        (0, 0) => (1, 1),
        (1, 1) => (16, 15),
        (1, 2) => (9, 8),
        (1 | 2, 3) => (6, 5),
        (2, 4) => (5, 4),
        (3, 4) => (32, 25),
        (3, 5) => (4, 3),
        (3, 6) => (45, 32),
        (4, 6) => match limit {
            Limit::Five => (36, 25),
            Limit::Seven => (7, 5),
        },
        (4, 7) => (3, 2),
        (4, 8) => (25, 16),
        (5, 8) => (8, 5),
        (5, 9) => (5, 3),
        (6, 9) => (128, 75),
        (6, 10) => match limit {
            Limit::Seven if !minor_third => (7, 4),
            _ => (9, 5),
        },
        (6, 11) => (15, 8),
        _ => return None,
    };
    Ratio::new(over, under)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Quality;

    #[test]
    fn every_tone_of_every_chord_has_a_ratio_within_a_third_of_a_semitone_of_its_size() {
        for quality in Quality::ALL {
            for tone in quality.intervals() {
                for limit in [Limit::Five, Limit::Seven] {
                    let ratio = just_tone(*tone, false, limit).unwrap_or_else(|| panic!("{quality:?} {tone}"));
                    let size = f64::from(tone.size().0.rem_euclid(12)) * 100.0;
                    assert!((ratio.cents().0 - size).abs() < 35.0, "{quality:?} {tone}: {ratio}");
                }
            }
        }
    }

    #[test]
    fn a_ratio_far_out_of_reach_is_none_and_no_panic() {
        assert_eq!(Ratio::UNISON.over_by(Ratio::UNISON, Cents(1e9)), None);
        assert_eq!(
            Ratio::UNISON.over_by(Ratio::UNISON, Cents(f64::NAN)),
            Some(Ratio::UNISON)
        );
    }
}
