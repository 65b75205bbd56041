//! The partials of one string that no other sounding string has.

use crate::listen::pitch::partials::{Partial, fit, partial};
use crate::sound::SampleRate;
use crate::theory::{Cents, Height, Hertz, Seconds};

/// How long is looked at: two partials 25 Hz apart are told apart.
pub(super) const WINDOW: Seconds = Seconds(0.08);

/// Partials nearer than this to another string's are not looked at.
const APART: Hertz = Hertz(27.0);

/// Most partials that are looked at.
const PARTIALS: u32 = 6;

/// A pitch farther off than this is another note.
const ANOTHER: Cents = Cents(60.0);

/// A recording of playing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heard<'a> {
    pub(super) samples: &'a [f32],
    pub(super) rate: SampleRate,
}

/// How one string's partials look at one time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strength {
    /// Their power together, in decibels.
    pub(super) level: f64,
    /// Each one's power, in decibels.
    each: Vec<f64>,
    /// How far they stand out of what lies between them, in decibels.
    pub(super) stands_out: f64,
}

impl Strength {
    /// How much it has grown since `before`: all together, or the partial a quarter from the top, which in a string
    /// that rings already has died away further; whichever is more.
    pub(super) fn grown_since(&self, before: &Self) -> f64 {
        let mut each: Vec<f64> = self
            .each
            .iter()
            .zip(&before.each)
            .map(|(now, then)| now - then)
            .collect();
        each.sort_by(f64::total_cmp);
        let upper = each.get(each.len() * 3 / 4).copied().unwrap_or(0.0);
        upper.max(self.level - before.level)
    }
}

impl Heard<'_> {
    /// The samples looked at around a time; nothing beyond the ends.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn around(&self, at: Seconds) -> Option<&[f32]> {
        let length = self.rate.samples(WINDOW) as usize;
        let begin = self.rate.samples(at) - length as f64 / 2.0;
        if begin < 0.0 {
            return None;
        }
        self.samples.get(begin as usize..begin as usize + length)
    }

    /// How strong the partials `numbers` of a note at `height` are.
    pub(super) fn strength(&self, numbers: &[u32], at: Seconds, height: Height) -> Option<Strength> {
        let samples = self.around(at)?;
        let frequency = height.hertz().0 / self.rate.0;
        let power = |number: f64| partial(samples, number, frequency).power() + 1e-12;
        let mut sum = 0.0;
        let (mut out, mut each) = (Vec::with_capacity(numbers.len()), Vec::with_capacity(numbers.len()));
        for number in numbers.iter().copied().map(f64::from) {
            let here = power(number);
            let beside = power(number - 0.5).min(power(number + 0.5));
            sum += here;
            each.push(10.0 * here.log10());
            out.push(10.0 * (here / beside).log10());
        }
        out.sort_by(f64::total_cmp);
        Some(Strength {
            level: 10.0 * sum.max(1e-12).log10(),
            each,
            stands_out: out.get(out.len() / 2).copied().unwrap_or(0.0),
        })
    }

    /// How far a note is above its height; nothing when it can't be told.
    pub(super) fn off(&self, numbers: &[u32], at: Seconds, height: Height) -> Option<Cents> {
        let samples = self.around(at)?;
        let frequency = height.hertz().0 / self.rate.0;
        let partials: Vec<Partial> = numbers
            .iter()
            .map(|n| partial(samples, f64::from(*n), frequency))
            .collect();
        let heard = fit(partials)?;
        let off = Height::of(Hertz(heard.frequency * self.rate.0))?.above(height);
        (off.0.abs() < ANOTHER.0).then_some(off)
    }
}

/// Which partials of a note at `height` none of `others` has; all of them, and false, when it has none of its own.
pub(super) fn own(height: Height, others: &[Height]) -> (Vec<u32>, bool) {
    let frequency = height.hertz().0;
    let free = |number: &u32| {
        let place = f64::from(*number) * frequency;
        place < 5_000.0
            && others.iter().all(|other| {
                let other = other.hertz().0;
                let nearest = (place / other).round().max(1.0) * other;
                (nearest - place).abs() > APART.0
            })
    };
    let own: Vec<u32> = (1..=PARTIALS).filter(free).collect();
    if own.is_empty() {
        ((1..=PARTIALS).collect(), false)
    } else {
        (own, true)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_octave_above_another_string_has_no_partial_of_its_own() {
        let (low, high) = (Height(52.0), Height(64.0));
        assert_eq!(own(high, &[low]), ((1..=6).collect(), false));
        assert_eq!(own(low, &[high]), (vec![1, 3, 5], true));
    }

    #[test]
    fn a_major_third_shares_the_fifth_partial() {
        let (numbers, own) = own(Height(52.0), &[Height(55.863)]);
        assert!(own && !numbers.contains(&5) && numbers.contains(&1), "{numbers:?}");
    }
}
