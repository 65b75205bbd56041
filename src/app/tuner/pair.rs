//! Two strings at once: how fast they beat, and how fast this tuning means them to.

use super::target::Target;
use crate::listen::pitch::beating::Beat;
use crate::listen::pitch::{Beating, Coincidence};
use crate::sound::SampleRate;
use crate::theory::{Hertz, Seconds};

/// Quieter than this, root mean square, there is nothing to count: 60 dB under full scale.
const QUIET: f64 = 1e-3;

/// How much is listened to at a time for whether it still sounds.
const LOOK: Seconds = Seconds(0.1);

/// What is heard of two strings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairShown {
    /// How fast they beat; nothing until three seconds of them were heard.
    pub heard: Option<Beat>,
    /// Whether they sound now.
    pub sounds: bool,
}

/// Counts the beats of two strings.
#[derive(Debug)]
pub struct Pair {
    rate: SampleRate,
    shared: Coincidence,
    meant: Hertz,
    beating: Beating,
    /// Sum of squares, and of how many samples.
    power: (f64, usize),
    sounds: bool,
    heard: Option<Beat>,
}

impl Pair {
    /// Counts between two targets in samples that come at `rate`; nothing when they share no partial and so never
    /// beat.
    #[must_use]
    pub fn new(rate: SampleRate, one: &Target, other: &Target) -> Option<Self> {
        let pitches = [one.height.hertz(), other.height.hertz()];
        let (lower, upper) = if pitches[0].0 <= pitches[1].0 {
            (pitches[0], pitches[1])
        } else {
            (pitches[1], pitches[0])
        };
        let shared = Coincidence::of(lower, upper)?;
        let meant = f64::from(shared.of_lower) * lower.0 - f64::from(shared.of_upper) * upper.0;
        Some(Self {
            rate,
            meant: Hertz(meant.abs()),
            beating: Beating::new(rate, &shared),
            shared,
            power: (0.0, 0),
            sounds: false,
            heard: None,
        })
    }

    /// How fast they beat when both are on their targets.
    #[must_use]
    pub fn meant(&self) -> Hertz {
        self.meant
    }

    /// Hears more samples.
    #[allow(clippy::cast_precision_loss)]
    pub fn hear(&mut self, samples: &[f32]) {
        self.power.0 += samples.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>();
        self.power.1 += samples.len();
        self.beating.hear(samples);
        if (self.power.1 as f64) < self.rate.samples(LOOK) {
            return;
        }
        let (sum, count) = std::mem::take(&mut self.power);
        self.sounds = (sum / count as f64).sqrt() >= QUIET;
        if self.sounds {
            self.heard = self.beating.beat().or(self.heard);
        } else {
            // What is struck next is counted afresh; the last count stays to be read.
            self.beating = Beating::new(self.rate, &self.shared);
        }
    }

    /// What is heard.
    #[must_use]
    pub fn shown(&self) -> PairShown {
        PairShown {
            heard: self.heard,
            sounds: self.sounds,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::tuner::targets;
    use crate::app::tuning::Tuning;
    use crate::steel::Instrument;
    use crate::theory::Cents;
    use std::f64::consts::TAU;

    const RATE: SampleRate = SampleRate(48_000.0);

    fn strings(one: u8, other: u8) -> [Target; 2] {
        let e9 = Instrument::shipped("e9").unwrap();
        let all = targets(&e9, &Tuning::equal(&e9), None);
        [one, other].map(|n| all[usize::from(n) - 1].clone())
    }

    fn both(pitches: [f64; 2], seconds: f64) -> Vec<f32> {
        let at = |n: usize| {
            let t = n as f64 / RATE.0;
            let voice = |f: f64| (1..=6).map(f64::from).map(|k| (TAU * k * f * t).sin() / k).sum::<f64>();
            (0.1 * (voice(pitches[0]) + voice(pitches[1])) * (-0.3 * t).exp()) as f32
        };
        (0..RATE.samples(Seconds(seconds)) as usize).map(at).collect()
    }

    /// Table 1 of J. Neurosci. 32(35) 12251, 2012, has equal-tempered E3-G#3's neighbours; by its formula
    /// |5 f1 - 4 f2| E3-G#3 is 6.54 a second.
    #[test]
    fn an_equal_third_beats_as_it_is_said_to_and_a_pure_one_stands() {
        let [low, high] = strings(8, 6);
        let mut pair = Pair::new(RATE, &high, &low).expect("a third");
        assert!((pair.meant().0 - 6.54).abs() < 0.01, "{}", pair.meant().0);
        assert_eq!(pair.shown().heard, None);
        pair.hear(&both([low.height.hertz().0, high.height.hertz().0], 4.0));
        let heard = pair.shown().heard.expect("it sounds");
        assert!((heard.rate.0 - 6.54).abs() < 0.1, "{}", heard.rate.0);
        let pure = high.height.shifted(Cents(-13.686)).hertz().0;
        let mut still = Pair::new(RATE, &low, &high).expect("a third");
        still.hear(&both([low.height.hertz().0, pure], 4.0));
        assert!(still.shown().heard.expect("it sounds").rate.0 < 0.4);
    }

    #[test]
    fn the_count_stays_when_the_sound_goes_and_starts_afresh_with_the_next() {
        let [low, high] = strings(8, 6);
        let mut pair = Pair::new(RATE, &low, &high).expect("a third");
        pair.hear(&both([low.height.hertz().0, high.height.hertz().0], 4.0));
        let counted = pair.shown().heard;
        pair.hear(&vec![0.0; 48_000]);
        assert_eq!((pair.shown().heard, pair.shown().sounds), (counted, false));
    }

    #[test]
    fn strings_that_share_no_partial_are_no_pair() {
        let [second, seventh] = strings(2, 1);
        // D# and F#: a minor third, 6:5, shares the fifth and the sixth partial.
        assert!(Pair::new(RATE, &second, &seventh).is_some());
        let [ninth, second] = strings(9, 2);
        assert!(Pair::new(RATE, &ninth, &second).is_none());
    }
}
