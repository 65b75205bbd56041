//! How fast two strings beat.
//!
//! Two strings a simple ratio apart share a partial: the fifth of the lower and the fourth of the upper for a major
//! third. Unless the ratio is exact they are two tones close together, and the power of their sum rises and falls
//! |p f1 - q f2| times a second (any musical acoustics text). The neighbourhood of the shared partial is shifted down
//! to zero, freed of all else, and the rate of its swelling is looked for.

use crate::sound::SampleRate;
use crate::theory::Hertz;
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;
use std::f64::consts::TAU;

/// How often the shifted signal is kept, before it is smoothed: all other partials lie further off than they alias.
const KEPT: f64 = 480.0;

/// Length of each of three running means, in what is kept: their first null is at 40 Hz.
const MEAN: usize = 12;

/// How many seconds are looked at: at least one swell of the slowest beat.
const WINDOW: f64 = 3.0;

/// The slowest and the fastest beat that is told.
const SLOWEST: f64 = 0.3;
const FASTEST: f64 = 25.0;

/// Steps the rates are searched in, before the peak is rounded off.
const RATE_STEP: f64 = 0.05;

/// Swelling by less than this part is no beat.
const SHALLOW: f64 = 0.05;

/// Highest partial of either string that is used.
const HIGHEST_PARTIAL: u32 = 6;

/// The partials two strings share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Coincidence {
    /// Which partial of the lower string.
    pub of_lower: u32,
    /// Which partial of the upper string.
    pub of_upper: u32,
    /// Where they meet, half way between.
    pub at: Hertz,
}

impl Coincidence {
    /// The simplest shared partial of two strings, within a third of a semitone; nothing when they share none.
    ///
    /// ```
    /// use leadbar::listen::pitch::Coincidence;
    /// use leadbar::theory::Height;
    /// let third = Coincidence::of(Height(52.0).hertz(), Height(56.0).hertz()).expect("a major third");
    /// assert_eq!((third.of_lower, third.of_upper), (5, 4));
    /// ```
    #[must_use]
    pub fn of(lower: Hertz, upper: Hertz) -> Option<Self> {
        let pairs = (1..=HIGHEST_PARTIAL).flat_map(|p| (1..=p).map(move |q| (p, q)));
        pairs
            .filter(|(p, q)| {
                let off = f64::from(*p) * lower.0 / (f64::from(*q) * upper.0);
                off.log2().abs() < 1.0 / 36.0
            })
            .min_by_key(|(p, q)| p + q)
            .map(|(p, q)| Self {
                of_lower: p,
                of_upper: q,
                at: Hertz(0.5 * (f64::from(p) * lower.0 + f64::from(q) * upper.0)),
            })
    }
}

/// What is heard of a beat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Beat {
    /// Swells in a second; zero when the two stand still against each other.
    pub rate: Hertz,
    /// How deep they are, 0..=1: 1 when both partials are equally loud.
    pub depth: f64,
}

/// Listens for the beat at one shared partial.
#[derive(Debug, Clone)]
pub struct Beating {
    /// Cycles of the shared partial in one sample.
    step: f64,
    phase: f64,
    /// Samples that are summed into one that is kept.
    block: usize,
    sum: [f64; 2],
    summed: usize,
    means: [Mean; 3],
    /// Powers in a second.
    per_second: f64,
    /// How many more are kept before the next power.
    until: usize,
    power: VecDeque<f64>,
}

/// A running mean of a complex signal.
#[derive(Debug, Clone, Default)]
struct Mean {
    held: VecDeque<[f64; 2]>,
}

impl Mean {
    #[allow(clippy::cast_precision_loss)]
    fn next(&mut self, value: [f64; 2]) -> [f64; 2] {
        self.held.push_back(value);
        if self.held.len() > MEAN {
            self.held.pop_front();
        }
        let sum = self.held.iter().fold([0.0; 2], |sum, v| [sum[0] + v[0], sum[1] + v[1]]);
        sum.map(|x| x / MEAN as f64)
    }
}

impl Beating {
    /// One power is kept of so many.
    const EVERY: usize = MEAN / 3;

    /// Listens around `coincidence` in samples that come at `rate`.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub fn new(rate: SampleRate, coincidence: &Coincidence) -> Self {
        let block = ((rate.0 / KEPT).round() as usize).max(1);
        Self {
            step: coincidence.at.0 / rate.0,
            phase: 0.0,
            block,
            sum: [0.0; 2],
            summed: 0,
            means: Default::default(),
            per_second: rate.0 / (block * Self::EVERY) as f64,
            until: 3 * MEAN,
            power: VecDeque::new(),
        }
    }

    /// Hears more samples.
    pub fn hear(&mut self, samples: &[f32]) {
        for sample in samples {
            let (sin, cos) = (TAU * self.phase).sin_cos();
            self.phase = (self.phase + self.step).fract();
            self.sum[0] += f64::from(*sample) * cos;
            self.sum[1] -= f64::from(*sample) * sin;
            self.summed += 1;
            if self.summed == self.block {
                let value = std::mem::take(&mut self.sum);
                self.summed = 0;
                self.keep(value);
            }
        }
    }

    fn keep(&mut self, value: [f64; 2]) {
        let smooth = self.means.iter_mut().fold(value, |value, mean| mean.next(value));
        if self.until > 0 {
            self.until -= 1;
            return;
        }
        self.until = Self::EVERY - 1;
        self.power.push_back(smooth[0].powi(2) + smooth[1].powi(2));
        if self.power.len() > self.window() {
            self.power.pop_front();
        }
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn window(&self) -> usize {
        (WINDOW * self.per_second) as usize
    }

    /// The beat of the last three seconds; nothing before as much was heard, or when it was silent.
    #[must_use]
    pub fn beat(&self) -> Option<Beat> {
        if self.power.len() < self.window() || self.power.iter().any(|p| *p <= 0.0) {
            return None;
        }
        let swell = self.without_decay();
        let strength = |rate: f64| self.strength(&swell, rate);
        let rates = std::iter::successors(Some(SLOWEST), |rate| Some(rate + RATE_STEP)).take_while(|r| *r <= FASTEST);
        let (rate, depth) = rates
            .map(|rate| (rate, strength(rate)))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        if depth < SHALLOW {
            return Some(Beat {
                rate: Hertz(0.0),
                depth,
            });
        }
        let (below, above) = (strength(rate - RATE_STEP), strength(rate + RATE_STEP));
        let bend = below - 2.0 * depth + above;
        let offset = if bend < 0.0 { 0.5 * (below - above) / bend } else { 0.0 };
        Some(Beat {
            rate: Hertz(rate + RATE_STEP * offset.clamp(-1.0, 1.0)),
            depth: depth.min(1.0),
        })
    }

    /// The power around its own decay: what is left when the exponential through it is taken out, less one.
    #[allow(clippy::cast_precision_loss)]
    fn without_decay(&self) -> Vec<f64> {
        let count = self.power.len() as f64;
        let middle = (count - 1.0) / 2.0;
        let (mut mean, mut tilt, mut square) = (0.0, 0.0, 0.0);
        for (n, power) in self.power.iter().enumerate() {
            let t = n as f64 - middle;
            mean += power.ln() / count;
            tilt += t * power.ln();
            square += t * t;
        }
        let tilt = tilt / square;
        let level = |n: usize| (mean + tilt * (n as f64 - middle)).exp();
        let mut swell: Vec<f64> = self.power.iter().enumerate().map(|(n, p)| p / level(n)).collect();
        let average = swell.iter().sum::<f64>() / count;
        for value in &mut swell {
            *value = *value / average - 1.0;
        }
        swell
    }

    /// How much of `swell` goes at `rate`, seen through a Hann window.
    #[allow(clippy::cast_precision_loss)]
    fn strength(&self, swell: &[f64], rate: f64) -> f64 {
        let count = swell.len() as f64;
        let (mut re, mut im) = (0.0, 0.0);
        for (n, value) in swell.iter().enumerate() {
            let window = 1.0 - (TAU * (n as f64 + 0.5) / count).cos();
            let (sin, cos) = (TAU * rate * n as f64 / self.per_second).sin_cos();
            re += window * value * cos;
            im += window * value * sin;
        }
        2.0 / count * re.hypot(im)
    }
}
