//! Sound between its samples, by the sum of windowed sines that a band-limited wave is (Shannon, "Communication in the
//! Presence of Noise", 1949), the window being Kaiser's (Kaiser and Schafer, "On the use of the I0-sinh window for
//! spectrum analysis", 1980).
//!
//! *Invariant:* what the lower of the two rates can't hold is taken away before it folds back.

use std::f64::consts::PI;

/// Samples on each side that one place depends on.
pub(super) const REACH: usize = 32;
/// Places between two samples for which the weights are kept; between those they are drawn straight.
const PHASES: usize = 256;
/// The window's shape: side lobes about 90 dB down.
const BETA: f64 = 9.0;
/// The part of the band that is kept whole; what lies above it goes with the filter's slope.
const KEPT: f64 = 0.93;

/// Reads at places between samples.
#[derive(Debug, Clone)]
pub(super) struct Sinc {
    /// For each phase the weights of `2 * REACH` samples.
    weights: Vec<[f32; 2 * REACH]>,
}

impl Sinc {
    /// For going over a sound at `pace` of its samples for one that comes out.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
    pub(super) fn new(pace: f64) -> Self {
        let cutoff = KEPT * (1.0 / pace).min(1.0);
        let row = |phase: usize| {
            let between = phase as f64 / PHASES as f64;
            let weight = |tap: usize| {
                let x = tap as f64 - (REACH as f64 - 1.0) - between;
                cutoff * sinc(cutoff * x) * kaiser(x / REACH as f64)
            };
            let row: [f64; 2 * REACH] = std::array::from_fn(weight);
            // A steady level stays as it is at every phase.
            let sum: f64 = row.iter().sum();
            row.map(|weight| (weight / sum) as f32)
        };
        Self {
            weights: (0..=PHASES).map(row).collect(),
        }
    }

    /// The sound at `place`, in samples from the first; silence outside.
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "places within a take"
    )]
    pub(super) fn read(&self, samples: &[f32], place: f64) -> f32 {
        let whole = place.floor();
        let phase = (place - whole) * PHASES as f64;
        let (row, part) = (phase as usize, (phase - phase.floor()) as f32);
        let (Some(here), Some(next)) = (self.weights.get(row), self.weights.get(row + 1)) else {
            return 0.0;
        };
        let first = whole as i64 - (REACH as i64 - 1);
        let mut sum = 0.0;
        for (tap, (a, b)) in here.iter().zip(next).enumerate() {
            let sample = usize::try_from(first + tap as i64).ok().and_then(|n| samples.get(n));
            sum += (a + part * (b - a)) * sample.copied().unwrap_or(0.0);
        }
        sum
    }
}

fn sinc(x: f64) -> f64 {
    if x.abs() < 1e-9 { 1.0 } else { (PI * x).sin() / (PI * x) }
}

/// Kaiser's window, 1 in the middle, over -1..1.
fn kaiser(x: f64) -> f64 {
    bessel(BETA * (1.0 - x * x).max(0.0).sqrt()) / bessel(BETA)
}

/// The modified Bessel function of the first kind, order 0, by its series (Abramowitz and Stegun, 9.6.12).
fn bessel(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..40 {
        term *= quarter / f64::from(k * k);
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn the_series_agrees_with_the_printed_table() {
        // Abramowitz and Stegun, table 9.8: I0(1) = 1.2660658778, I0(5) = 27.2398718236.
        assert!((bessel(1.0) - 1.266_065_877_8).abs() < 1e-9);
        assert!((bessel(5.0) - 27.239_871_823_6).abs() < 1e-8);
    }

    /// How far, in decibels, what is read lies from a tone that is read at `pace`, both ends left out.
    fn error(hertz: f64, rate: f64, pace: f64) -> f64 {
        let tone = |place: f64| (TAU * hertz * place / rate).sin();
        let samples: Vec<f32> = (0..9000).map(|n| tone(f64::from(n)) as f32).collect();
        let sinc = Sinc::new(pace);
        let places = (0..3000).map(|n| 100.0 + f64::from(n) * pace);
        let squares = places.map(|place| (f64::from(sinc.read(&samples, place)) - tone(place)).powi(2));
        10.0 * (2.0 * squares.sum::<f64>() / 3000.0).log10()
    }

    #[test]
    fn tones_up_to_18_khz_pass_from_either_studio_rate_to_the_other_80_db_clean() {
        for hertz in [50.0, 440.0, 3000.0, 10_000.0, 18_000.0] {
            let (up, down) = (
                error(hertz, 44_100.0, 44_100.0 / 48_000.0),
                error(hertz, 48_000.0, 48_000.0 / 44_100.0),
            );
            assert!(
                up < -80.0 && down < -80.0,
                "{hertz} Hz: {up:.1} dB up, {down:.1} dB down"
            );
        }
    }

    #[test]
    fn what_the_lower_rate_cannot_hold_is_taken_away() {
        // 23 kHz at 48 kHz would fold to 21.1 kHz at 44.1 kHz.
        let samples: Vec<f32> = (0..9000)
            .map(|n| (TAU * 23_500.0 * f64::from(n) / 48_000.0).sin() as f32)
            .collect();
        let sinc = Sinc::new(48_000.0 / 44_100.0);
        let loudest = (0..3000)
            .map(|n| sinc.read(&samples, 100.0 + f64::from(n) * 48_000.0 / 44_100.0).abs())
            .fold(0.0, f32::max);
        assert!(loudest < 1e-3, "{loudest}");
    }
}
