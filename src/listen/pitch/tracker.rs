//! A stream of samples in, a frame of pitch every ten milliseconds out.

use super::partials::{Heard, refine, span};
use super::yin::Yin;
use crate::sound::SampleRate;
use crate::theory::{Hertz, Seconds};
use serde::{Deserialize, Serialize};

/// Time between frames.
pub const STEP: Seconds = Seconds(0.01);

/// The period is compared over at least this long: shorter, and a chord's beating looks like a pitch.
const COMPARED: f64 = 0.025;

/// Below this root mean square nothing is heard: 70 dB under full scale, where a quiet room's microphone lies.
const SILENCE: f64 = 3e-4;

/// What pitches to expect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Compass {
    /// The lowest; it alone decides how late an answer comes.
    pub lowest: Hertz,
    /// The highest.
    pub highest: Hertz,
}

impl Compass {
    /// Every steel: from below the lowest string of a C6 with its pedal down (A1) to two octaves above a top string.
    pub const STEEL: Self = Self {
        lowest: Hertz(52.0),
        highest: Hertz(1800.0),
    };

    /// Around one target: a fifth to either side, which an untuned string stays within.
    #[must_use]
    pub fn around(target: Hertz) -> Self {
        Self {
            lowest: Hertz(target.0 / 1.5),
            highest: Hertz(target.0 * 1.5),
        }
    }
}

/// What was heard at one time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    /// When it sounded, from the first sample given.
    pub at: Seconds,
    /// The lowest partial's frequency; nothing when nothing has a pitch.
    pub pitch: Option<Hertz>,
    /// How periodic the sound was, 0..=1; over 0.8 a pitch can be trusted.
    pub confidence: f64,
    /// Root mean square, 1 being a full square wave.
    pub level: f64,
}

/// Follows the pitch of one string.
#[derive(Debug)]
pub struct Tracker {
    rate: SampleRate,
    compass: Compass,
    yin: Yin,
    /// The newest samples, oldest first; never more than are looked at and one step.
    held: Vec<f32>,
    /// How many samples are looked at.
    length: usize,
    hop: usize,
    /// How many samples were let go.
    gone: usize,
}

impl Tracker {
    /// A tracker of samples that come at `rate`.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn new(rate: SampleRate, compass: Compass) -> Self {
        let lags = |pitch: Hertz| (rate.0 / pitch.0.max(20.0)).ceil() as usize;
        let longest = lags(compass.lowest);
        let window = longest.max(rate.samples(Seconds(COMPARED)) as usize);
        let yin = Yin::new(lags(compass.highest).saturating_sub(2), longest, window);
        #[allow(clippy::cast_precision_loss)]
        let length = yin.length().max(span(longest as f64, usize::MAX));
        Self {
            rate,
            compass,
            yin,
            held: Vec::with_capacity(2 * length),
            length,
            hop: (rate.samples(STEP).round() as usize).max(1),
            gone: 0,
        }
    }

    /// How long after it sounded a pitch is told: half of what is looked at, and a step.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn latency(&self) -> Seconds {
        Seconds((self.length as f64 / 2.0 + self.hop as f64) / self.rate.0)
    }

    /// Hears more samples and gives the frames they complete.
    pub fn hear(&mut self, samples: &[f32]) -> Vec<Frame> {
        self.held.extend_from_slice(samples);
        let mut frames = Vec::new();
        let mut begin = 0;
        while begin + self.length <= self.held.len() {
            frames.push(self.frame(begin));
            begin += self.hop;
        }
        let done = begin.min(self.held.len());
        self.held.drain(..done);
        self.gone += done;
        frames
    }

    /// The frame whose samples begin at `begin` of those held.
    #[allow(clippy::cast_precision_loss)]
    fn frame(&mut self, begin: usize) -> Frame {
        let looked = &self.held[begin..begin + self.length];
        let compared = middle(looked, self.yin.length());
        let power: f64 = compared.iter().map(|x| f64::from(*x).powi(2)).sum();
        let level = (power / compared.len() as f64).sqrt();
        let at = |moment: f64| Seconds(((self.gone + begin) as f64 + self.length as f64 / 2.0 + moment) / self.rate.0);
        let silent = Frame {
            at: at(0.0),
            pitch: None,
            confidence: 0.0,
            level,
        };
        if level < SILENCE || !level.is_finite() {
            return silent;
        }
        let Some(period) = self.yin.period(compared) else {
            return silent;
        };
        let near = middle(looked, span(period.samples, self.length));
        // Where the partials contradict each other (a fast slide on a low string) the period alone is still right.
        let heard = refine(near, 1.0 / period.samples).unwrap_or(Heard {
            frequency: 1.0 / period.samples,
            moment: 0.0,
        });
        let pitch = heard.frequency * self.rate.0;
        let within = pitch >= self.compass.lowest.0 && pitch <= self.compass.highest.0;
        Frame {
            at: at(heard.moment),
            pitch: within.then_some(Hertz(pitch)),
            confidence: if within {
                (1.0 - period.aperiodicity).clamp(0.0, 1.0)
            } else {
                0.0
            },
            level,
        }
    }
}

/// The `length` samples in the middle.
fn middle(samples: &[f32], length: usize) -> &[f32] {
    let begin = (samples.len() - length) / 2;
    &samples[begin..begin + length]
}
