//! The gain of the mix over time, known before its first sample is written: as loud as asked, its peaks held.
//!
//! A mix that was heard from beginning to end needs no limiter that guesses. Where the wave would go too far the gain
//! comes down before and goes back after, in straight lines of decibels; how loud the whole is then follows from what
//! was measured, and the gain is found by halving.
//!
//! *Invariant:* no window's highest point, as it was measured, leaves higher than the ceiling.

use crate::sound::loudness::{Energy, Lufs, Meter, integrated};
use crate::sound::mix::Decibels;
use crate::sound::rate::SampleRate;

/// Samples in a window.
pub(super) const WINDOW: usize = 64;

/// Where peaks are held: a little under [`super::MIX_PEAK`], as the wave between samples is only known from four
/// points a sample.
const CEILING: Decibels = Decibels(-1.2);
/// How fast the gain comes down before a peak and goes back after it, in decibels a window: 6 dB within 8 and 160
/// ms. By ear, no source.
const DOWN: f32 = 1.0;
const BACK: f32 = 0.05;
/// A peak that falls on a window's edge may be told of in the next: the measurement is a few samples late.
const SPREAD: usize = 1;
/// The gain is looked for within this, to this exactness.
const QUIETEST: f64 = -60.0;
const LOUDEST: f64 = 24.0;
const EXACT: f64 = 0.005;

/// What was heard of a mix, a window after another.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Heard {
    /// How far the wave goes in each.
    peaks: Vec<f32>,
    /// How much of the sound is in each.
    energies: Vec<f32>,
}

impl Heard {
    /// Another window.
    pub(super) fn add(&mut self, peak: f32, left: &[f32], right: &[f32]) {
        self.peaks.push(peak);
        self.energies.push(left.iter().chain(right).map(|x| x * x).sum());
    }
}

/// The gain over time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Curve {
    gain: f32,
    /// At the beginning of each window, and at the end of the last, by how much the gain is held back: 0..=1.
    held: Vec<f32>,
}

impl Curve {
    /// The curve by which a mix is as loud as asked. Silence stays as it is.
    pub(super) fn reaching(loudness: Lufs, rate: SampleRate, meter: &Meter, heard: &Heard) -> Self {
        let mut least = QUIETEST;
        let mut most = LOUDEST;
        let mut curve = Self {
            gain: 1.0,
            held: Vec::new(),
        };
        if integrated(meter.moments()).is_none() {
            return curve;
        }
        while most - least > EXACT {
            let middle = f64::midpoint(least, most);
            curve = Self::raising(Decibels(middle), &heard.peaks);
            let reached = integrated(&curve.moments(rate, meter.moments(), heard));
            if reached.is_some_and(|reached| reached > loudness) {
                most = middle;
            } else {
                least = middle;
            }
        }
        curve
    }

    /// The gain where nothing is held back.
    pub(super) fn gain(&self) -> f32 {
        self.gain
    }

    /// Applies the curve to samples that begin at sample `from` of the mix.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
    pub(super) fn apply(&self, from: u64, samples: &mut [f32]) {
        let start = from as usize;
        for (n, sample) in (start..).zip(samples) {
            let (window, part) = (n / WINDOW, (n % WINDOW) as f32 / WINDOW as f32);
            let held = match self.held.get(window..window + 2) {
                Some([a, b]) => a + part * (b - a),
                _ => 1.0,
            };
            *sample *= self.gain * held;
        }
    }

    /// The curve that raises by `by` and holds the peaks.
    #[allow(clippy::cast_possible_truncation)]
    fn raising(by: Decibels, peaks: &[f32]) -> Self {
        let gain = by.gain() as f32;
        let ceiling = CEILING.gain() as f32;
        let needed = |peak: f32| (20.0 * (ceiling / (gain * peak).max(1e-9)).log10()).min(0.0);
        let windows: Vec<f32> = peaks.iter().map(|peak| needed(*peak)).collect();
        let lowest = |from: usize, to: usize| {
            let near = windows.get(from..to.min(windows.len())).unwrap_or_default();
            near.iter().fold(0.0_f32, |low, x| low.min(*x))
        };
        let mut held: Vec<f32> = (0..=windows.len())
            .map(|edge| lowest(edge.saturating_sub(1 + SPREAD), edge + 1 + SPREAD))
            .collect();
        for edge in 1..held.len() {
            held[edge] = held[edge].min(held[edge - 1] + BACK);
        }
        for edge in (1..held.len()).rev() {
            held[edge - 1] = held[edge - 1].min(held[edge] + DOWN);
        }
        Self {
            gain,
            held: held.into_iter().map(|db| 10.0_f32.powf(db / 20.0)).collect(),
        }
    }

    /// The moments of 100 ms as the curve leaves them.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn moments(&self, rate: SampleRate, moments: &[Energy], heard: &Heard) -> Vec<Energy> {
        let windows_a_moment = rate.0 / 10.0 / WINDOW as f64;
        let edge = |moment: usize| (moment as f64 * windows_a_moment).round() as usize;
        let left = |(index, moment): (usize, &Energy)| {
            let range = edge(index)..edge(index + 1);
            let windows = heard.energies.get(range.clone()).unwrap_or_default();
            let held = self.held.get(range).unwrap_or_default();
            let (mut before, mut after) = (1e-20, 1e-20);
            for (energy, held) in windows.iter().zip(held) {
                before += f64::from(*energy);
                after += f64::from(energy * held * held);
            }
            let gain = f64::from(self.gain);
            Energy(moment.0 * gain * gain * after / before)
        };
        moments.iter().enumerate().map(left).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_window_leaves_higher_than_the_ceiling_and_quiet_ones_are_left_alone() {
        let mut random = fastrand::Rng::with_seed(3);
        let peaks: Vec<f32> = (0..5000).map(|_| random.f32().powi(8)).collect();
        let curve = Curve::raising(Decibels(9.0), &peaks);
        for (window, peak) in peaks.iter().enumerate() {
            let most = curve.held[window].max(curve.held[window + 1]);
            assert!(peak * curve.gain * most <= CEILING.gain() as f32 * 1.0001);
        }
        let quiet = Curve::raising(Decibels(9.0), &[0.1; 100]);
        assert_eq!(quiet.held, [1.0; 101]);
    }

    #[test]
    fn the_gain_never_steps() {
        let mut peaks = [0.1; 400];
        peaks[200] = 1.0;
        let curve = Curve::raising(Decibels(10.0), &peaks);
        let db: Vec<f32> = curve.held.iter().map(|held| 20.0 * held.log10()).collect();
        assert!(
            db.windows(2)
                .all(|w| w[1] - w[0] < BACK + 1e-3 && w[0] - w[1] < DOWN + 1e-3)
        );
        assert!(db[180] > -0.01 && db[200] < -10.0);
    }
}
