//! One string against its target: which one sounds, how far off it is, and which way to turn.

use super::target::Target;
use crate::listen::pitch::{Compass, Frame, Needle, Reading, Tracker};
use crate::sound::SampleRate;
use crate::steel::StringNumber;
use crate::theory::{Cents, Hertz};

/// A string this near its target is in tune: at A4 a cent is a beat in four seconds.
pub const IN_TUNE: Cents = Cents(1.0);

/// A frame less sure than this does not say which string sounds.
const SURE: f64 = 0.85;

/// How many frames must agree before another string is pointed at: a twelfth of a second.
const AGREE: u32 = 8;

/// How far beyond the lowest and the highest target an untuned string may lie: a fifth.
const BEYOND: f64 = 1.5;

/// What to do about a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Too low.
    Flat,
    /// Within [`IN_TUNE`].
    InTune,
    /// Too high.
    Sharp,
}

impl Verdict {
    /// The verdict on a string that is off by so much.
    #[must_use]
    pub fn of(off: Cents) -> Self {
        if off.0.abs() <= IN_TUNE.0 {
            Self::InTune
        } else if off.0 < 0.0 {
            Self::Flat
        } else {
            Self::Sharp
        }
    }

    /// What to tell the player.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Flat => key!("Flat: tune up"),
            Self::InTune => key!("In tune"),
            Self::Sharp => key!("Sharp: let down"),
        }
    }
}

/// What is pointed at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The string.
    pub string: StringNumber,
    /// What is heard of it.
    pub reading: Reading,
    /// What to do.
    pub verdict: Verdict,
}

/// Follows one string at a time: the one it is held on, or the one whose target is nearest.
#[derive(Debug)]
pub struct Pointer {
    targets: Vec<Target>,
    held: Option<StringNumber>,
    tracker: Tracker,
    /// The needle, and which target it is for.
    needle: Option<(usize, Needle)>,
    /// Another target that was heard, and for how many frames in a row.
    other: (usize, u32),
}

impl Pointer {
    /// Follows `targets` in samples that come at `rate`; only the one of `held`, where it is given.
    #[must_use]
    pub fn new(rate: SampleRate, targets: Vec<Target>, held: Option<StringNumber>) -> Self {
        let compass = compass(&targets, held);
        let mut pointer = Self {
            tracker: Tracker::new(rate, compass),
            targets,
            held,
            needle: None,
            other: (0, 0),
        };
        if let Some(at) = pointer.targets.iter().position(|t| Some(t.string) == held) {
            pointer.point(at);
        }
        pointer
    }

    /// Hears more samples.
    pub fn hear(&mut self, samples: &[f32]) {
        for frame in self.tracker.hear(samples) {
            if self.held.is_none() {
                self.choose(&frame);
            }
            if let Some((_, needle)) = &mut self.needle {
                needle.hear(&frame);
            }
        }
    }

    /// What it points at; nothing while nothing is heard.
    #[must_use]
    pub fn shown(&self) -> Option<Shown> {
        let (at, needle) = self.needle.as_ref()?;
        let reading = needle.reading()?;
        Some(Shown {
            string: self.targets.get(*at)?.string,
            reading,
            verdict: Verdict::of(reading.off),
        })
    }

    /// Points at another string once enough frames in a row have said so.
    fn choose(&mut self, frame: &Frame) {
        let heights: Vec<Hertz> = self.targets.iter().map(|t| t.height.hertz()).collect();
        let sure = frame.pitch.filter(|_| frame.confidence >= SURE);
        let Some(nearest) = sure.and_then(|pitch| Needle::nearest(pitch, &heights)) else {
            return;
        };
        if self.needle.as_ref().is_some_and(|(at, _)| *at == nearest) {
            self.other.1 = 0;
            return;
        }
        let (other, frames) = self.other;
        self.other = (nearest, if other == nearest { frames + 1 } else { 1 });
        if self.other.1 >= AGREE {
            self.point(nearest);
        }
    }

    fn point(&mut self, at: usize) {
        self.needle = self
            .targets
            .get(at)
            .map(|target| (at, Needle::new(target.height.hertz())));
        self.other = (at, 0);
    }
}

/// What pitches to expect.
fn compass(targets: &[Target], held: Option<StringNumber>) -> Compass {
    let wanted = targets.iter().filter(|t| held.is_none_or(|held| t.string == held));
    let pitches = wanted.map(|t| t.height.hertz().0);
    let (lowest, highest) = pitches.fold((f64::INFINITY, 0.0_f64), |(low, high), p| (low.min(p), high.max(p)));
    if highest > 0.0 {
        Compass {
            lowest: Hertz(lowest / BEYOND),
            highest: Hertz(highest * BEYOND),
        }
    } else {
        Compass::STEEL
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::tuner::targets;
    use crate::app::tuning::{Manner, Tuning};
    use crate::steel::Instrument;
    use crate::steel::temper::Scheme;
    use crate::theory::Height;
    use std::f64::consts::TAU;

    const RATE: SampleRate = SampleRate(48_000.0);

    fn e9() -> Vec<Target> {
        let e9 = Instrument::shipped("e9").unwrap();
        let just = Tuning {
            manner: Manner::Scheme(Scheme::Just),
            ..Tuning::equal(&e9)
        };
        targets(&e9, &just.found(&e9, &[]), None)
    }

    /// Six partials that die away, the upper ones sooner.
    fn tone(height: Height, seconds: f64) -> Vec<f32> {
        let pitch = height.hertz().0;
        let samples = RATE.samples(crate::theory::Seconds(seconds)) as usize;
        let at = |n: usize| {
            let t = n as f64 / RATE.0;
            let partial = |k: f64| (TAU * k * pitch * t).sin() / k * (-0.4 * k * t).exp();
            (0.2 * (1..=6).map(f64::from).map(partial).sum::<f64>()) as f32
        };
        (0..samples).map(at).collect()
    }

    #[test]
    fn it_finds_every_string_by_itself_and_says_how_far_off_it_is() {
        for target in e9() {
            for off in [-30.0, -4.0, 0.0, 12.5] {
                let mut pointer = Pointer::new(RATE, e9(), None);
                pointer.hear(&tone(target.height.shifted(Cents(off)), 0.6));
                let shown = pointer.shown().expect("it sounds");
                assert_eq!(shown.string, target.string);
                assert!((shown.reading.off.0 - off).abs() < 0.1, "{off} {}", shown.reading.off);
                assert!(shown.reading.steady);
            }
        }
    }

    #[test]
    fn it_goes_over_to_another_string_and_stays_for_a_moments_slip() {
        let mut pointer = Pointer::new(RATE, e9(), None);
        let (fourth, fifth) = (e9()[3].clone(), e9()[4].clone());
        pointer.hear(&tone(fourth.height, 0.5));
        assert_eq!(pointer.shown().map(|s| s.string), Some(fourth.string));
        pointer.hear(&tone(fifth.height, 0.04));
        pointer.hear(&tone(fourth.height, 0.2));
        assert_eq!(pointer.shown().map(|s| s.string), Some(fourth.string));
        pointer.hear(&tone(fifth.height, 0.5));
        assert_eq!(pointer.shown().map(|s| s.string), Some(fifth.string));
    }

    #[test]
    fn held_on_a_string_it_measures_that_one_however_far_off() {
        let eighth = e9()[7].clone();
        let mut pointer = Pointer::new(RATE, e9(), Some(eighth.string));
        assert_eq!(pointer.shown(), None);
        pointer.hear(&tone(eighth.height.shifted(Cents(-260.0)), 0.6));
        let shown = pointer.shown().expect("it sounds");
        assert_eq!((shown.string, shown.verdict), (eighth.string, Verdict::Flat));
        assert!((shown.reading.off.0 + 260.0).abs() < 0.1);
    }

    #[test]
    fn silence_and_an_instrument_without_targets_point_nowhere() {
        let mut pointer = Pointer::new(RATE, e9(), None);
        pointer.hear(&vec![0.0; 24_000]);
        assert_eq!(pointer.shown(), None);
        let mut none = Pointer::new(RATE, Vec::new(), None);
        none.hear(&tone(Height(64.0), 0.3));
        assert_eq!(none.shown(), None);
    }

    #[test]
    fn the_verdict_turns_at_one_cent() {
        for (off, verdict) in [
            (-1.1, Verdict::Flat),
            (-1.0, Verdict::InTune),
            (0.9, Verdict::InTune),
            (1.1, Verdict::Sharp),
        ] {
            assert_eq!(Verdict::of(Cents(off)), verdict);
        }
    }
}
