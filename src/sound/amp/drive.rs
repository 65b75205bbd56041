//! The drive pedal: a soft clipper with antiderivative antialiasing at four times the sample rate.
//!
//! The curve is f(x) = x / sqrt(1 + x^2), whose antiderivative is F(x) = sqrt(1 + x^2). First-order antialiasing
//! puts out (F(a) - F(b)) / (a - b) for two samples b, a (Parker, Zavalishin, Le Bivic, "Reducing the aliasing of
//! nonlinear waveshaping using continuous-time convolution", DAFx-16, 2016). For this curve the difference divides
//! out: (a + b) / (F(a) + F(b)), which needs no special case for equal samples and cannot cancel.

use super::settings::Drive;
use crate::sound::rate::STEP;

/// How many times the rate is raised.
const TIMES: usize = 4;
/// Taps of the low-pass at the raised rate, a multiple of four for each phase.
const TAPS: usize = 96;
/// Taps for each phase.
const PHASE: usize = TAPS / TIMES;
/// How late the pedal is, in samples: half the taps on the way up and half on the way down.
pub const DELAY: usize = TAPS / TIMES;
/// Shape of the Kaiser window: about 70 dB down in the stop band.
const KAISER: f64 = 6.8;
/// The clipper leans by this much, for a touch of even partials. By ear, no source.
const LEAN: f32 = 0.12;
/// Pole of the filter that takes away the constant the lean leaves: below 10 Hz.
const BLOCK_DC: f32 = 0.998_8;
/// A constant far below hearing that keeps numbers out of the slow denormal range.
const NOTHING: f32 = 1e-18;
/// How much of the way to a new gain is gone in one sample.
const FOLLOW: f32 = 0.002;

/// The clipper's curve.
#[must_use]
pub fn curve(x: f32) -> f32 {
    x / (1.0 + x * x).sqrt()
}

/// The curve's antiderivative.
fn integral(x: f32) -> f32 {
    (1.0 + x * x).sqrt()
}

/// The curve averaged over the straight way from one sample to the next.
#[must_use]
pub fn averaged(before: f32, now: f32) -> f32 {
    (now + before) / (integral(now) + integral(before))
}

/// The drive pedal as it runs. It delays the signal by [`DELAY`] samples.
#[derive(Debug, Clone)]
pub struct Clipper {
    /// The low-pass, phase by phase, backwards: samples are kept oldest first.
    up: [[f32; PHASE]; TIMES],
    down: [[f32; PHASE]; TIMES],
    /// The last [`PHASE`] samples in, then this step's.
    input: [f32; PHASE + STEP],
    /// The same of the bent signal at the raised rate, phase by phase.
    bent: [[f32; PHASE + STEP]; TIMES],
    before: f32,
    gain: f32,
    level: f32,
    to_gain: f32,
    to_level: f32,
    dc_in: f32,
    dc_out: f32,
}

impl Default for Clipper {
    fn default() -> Self {
        Self::new()
    }
}

impl Clipper {
    /// A pedal at rest, at 0 dB.
    #[must_use]
    pub fn new() -> Self {
        let taps = low_pass();
        #[allow(clippy::cast_precision_loss)]
        let times = TIMES as f32;
        let up = std::array::from_fn(|phase| std::array::from_fn(|k| times * taps[TIMES * (PHASE - 1 - k) + phase]));
        let down = std::array::from_fn(|phase| std::array::from_fn(|k| taps[TIMES * k + phase]));
        Self {
            up,
            down,
            input: [0.0; PHASE + STEP],
            bent: [[0.0; PHASE + STEP]; TIMES],
            before: LEAN,
            gain: 1.0,
            level: 1.0,
            to_gain: 1.0,
            to_level: 1.0,
            dc_in: 0.0,
            dc_out: 0.0,
        }
    }

    /// Turns the knobs.
    #[allow(clippy::cast_possible_truncation)]
    pub fn set(&mut self, drive: Drive) {
        self.to_gain = 10.0_f64.powf(drive.gain.0 / 20.0) as f32;
        self.to_level = drive.level.gain() as f32;
    }

    /// Forgets what it heard.
    pub fn silence(&mut self) {
        *self = Self {
            up: self.up,
            down: self.down,
            gain: self.to_gain,
            level: self.to_level,
            to_gain: self.to_gain,
            to_level: self.to_level,
            ..Self::new()
        };
    }

    /// Runs one step, in place.
    #[cfg_attr(target_arch = "wasm32", target_feature(enable = "simd128"))]
    pub fn run(&mut self, signal: &mut [f32; STEP]) {
        self.input.copy_within(STEP.., 0);
        for (slot, x) in self.input[PHASE..].iter_mut().zip(signal.iter()) {
            self.gain += FOLLOW * (self.to_gain - self.gain);
            *slot = self.gain * x;
        }
        let mut raised = [[LEAN; STEP]; TIMES];
        for (out, taps) in raised.iter_mut().zip(&self.up) {
            respond(&self.input, taps, out);
        }
        self.bend(&raised);
        let mut lowered = [0.0; STEP];
        for (bent, taps) in self.bent.iter().zip(&self.down) {
            respond(bent, taps, &mut lowered);
        }
        for (out, x) in signal.iter_mut().zip(lowered) {
            self.dc_out = x - self.dc_in + BLOCK_DC * self.dc_out + NOTHING;
            self.dc_in = x;
            self.level += FOLLOW * (self.to_level - self.level);
            *out = self.level * self.dc_out;
        }
    }

    /// Bends one step at the raised rate. Before each sample of a phase comes the one of the phase before it.
    #[inline]
    fn bend(&mut self, raised: &[[f32; STEP]; TIMES]) {
        let leaned = curve(LEAN);
        let mut before = [self.before; STEP];
        before[1..].copy_from_slice(&raised[TIMES - 1][..STEP - 1]);
        self.before = raised[TIMES - 1][STEP - 1];
        let mut integral_before = before.map(integral);
        for (now, bent) in raised.iter().zip(&mut self.bent) {
            bent.copy_within(STEP.., 0);
            for (i, slot) in bent[PHASE..].iter_mut().enumerate() {
                let integral_now = integral(now[i]);
                *slot = (now[i] + before[i]) / (integral_now + integral_before[i]) - leaned;
                integral_before[i] = integral_now;
            }
            before = *now;
        }
    }
}

/// Outputs that are computed side by side, which a compiler keeps in vector registers.
const LANES: usize = 16;

/// Adds a finite impulse response over one step: to output `i` the sum of `x[i + 1 + k] taps[k]`.
#[inline]
pub(super) fn respond<const N: usize>(x: &[f32], taps: &[f32; N], out: &mut [f32; STEP]) {
    for (lanes, start) in out.chunks_exact_mut(LANES).zip((1..).step_by(LANES)) {
        let mut sums = [0.0_f32; LANES];
        for (k, tap) in taps.iter().enumerate() {
            if let Some(x) = x.get(start + k..).and_then(<[f32]>::first_chunk::<LANES>) {
                for (sum, x) in sums.iter_mut().zip(x) {
                    *sum += x * tap;
                }
            }
        }
        for (out, sum) in lanes.iter_mut().zip(sums) {
            *out += sum;
        }
    }
}

/// A low-pass at a quarter of the raised rate's half: a sinc under a Kaiser window, sum 1, symmetric.
/// Source: Kaiser and Schafer, IEEE Transactions on Acoustics, Speech, and Signal Processing 28(1), 1980.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn low_pass() -> [f32; TAPS] {
    let middle = (TAPS - 1) as f64 / 2.0;
    let raw: [f64; TAPS] = std::array::from_fn(|n| {
        let t = n as f64 - middle;
        let x = std::f64::consts::PI * t / TIMES as f64;
        let part = t / middle;
        x.sin() / x * bessel(KAISER * (1.0 - part * part).max(0.0).sqrt()) / bessel(KAISER)
    });
    let sum: f64 = raw.iter().sum();
    raw.map(|x| (x / sum) as f32)
}

/// The modified Bessel function of order 0, by its power series.
fn bessel(x: f64) -> f64 {
    let (mut term, mut sum) = (1.0, 1.0);
    for k in 1..40 {
        let half = x / (2.0 * f64::from(k));
        term *= half * half;
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::{averaged, curve};

    #[test]
    fn a_constant_comes_out_as_the_curve_has_it() {
        for x in [-30.0, -1.0, -1e-4, 0.0, 1e-4, 0.5, 4.0] {
            assert!((averaged(x, x) - curve(x)).abs() < 1e-6);
        }
    }

    #[test]
    fn between_two_samples_the_curve_is_averaged() {
        // The published form's meaning: the mean of f over the straight way, here by the midpoint rule.
        for (before, now) in [(0.0_f32, 1.0_f32), (-2.0, 3.0), (0.3, 0.300_1), (-20.0, 10.0)] {
            let steps = 100_000;
            let mean: f64 = (0..steps)
                .map(|i| {
                    let part = (f64::from(i) + 0.5) / f64::from(steps);
                    let x = f64::from(before) + part * f64::from(now - before);
                    x / (1.0 + x * x).sqrt()
                })
                .sum::<f64>()
                / f64::from(steps);
            assert!((f64::from(averaged(before, now)) - mean).abs() < 1e-6);
        }
        // A step from 0 to 1: F(1) - F(0) = sqrt 2 - 1.
        assert!((averaged(0.0, 1.0) - 0.414_213_56).abs() < 1e-6);
    }
}
