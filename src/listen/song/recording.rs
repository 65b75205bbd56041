//! A recording brought to the form that is listened to: one channel, some twenty thousand samples a second.

use crate::sound::SampleRate;
use crate::theory::Seconds;
use std::f64::consts::PI;

/// The rate is halved, thirded, ... as long as it stays at least this high: hi-hats are heard up to 10 kHz.
const LEAST_RATE: f64 = 20_000.0;

/// Half the length of the low-pass filter, in samples of the lower rate.
const REACH: usize = 12;

/// Samples of one channel, all at one loudness.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    rate: SampleRate,
    samples: Vec<f32>,
}

impl Recording {
    /// Takes samples that come at `rate`, one channel.
    ///
    /// Every whole part of the rate above 20 kHz is filtered off by a windowed sinc (any text on digital filters), and
    /// the whole is brought to one root mean square.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub fn of(samples: impl IntoIterator<Item = f32>, rate: SampleRate) -> Self {
        let mut thinning = Thinning::from(rate);
        let tail = std::iter::repeat_n(0.0, thinning.tail());
        let mut thinned: Vec<f32> = samples
            .into_iter()
            .chain(tail)
            .filter_map(|sample| thinning.take(sample))
            .collect();
        let power: f64 = thinned.iter().map(|x| f64::from(*x).powi(2)).sum();
        let level = (power / thinned.len().max(1) as f64).sqrt();
        let gain = if level > 0.0 { (0.1 / level) as f32 } else { 1.0 };
        for sample in &mut thinned {
            *sample = if sample.is_finite() { *sample * gain } else { 0.0 };
        }
        Self {
            rate: thinning.rate(),
            samples: thinned,
        }
    }

    /// Samples in a second.
    #[must_use]
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// How long it is.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn length(&self) -> Seconds {
        Seconds(self.samples.len() as f64 / self.rate.0)
    }

    /// The samples themselves.
    pub(super) fn samples(&self) -> &[f32] {
        &self.samples
    }

    /// Copies the samples around `centre` under `window` to `into`; silence outside.
    pub(super) fn frame(&self, centre: usize, window: &[f32], into: &mut [f32]) {
        let half = window.len() / 2;
        for (n, (out, weight)) in into.iter_mut().zip(window).enumerate() {
            let at = (centre + n).checked_sub(half);
            *out = weight * at.and_then(|at| self.samples.get(at)).copied().unwrap_or(0.0);
        }
    }
}

/// Samples brought to a lower rate one by one: what lies above half the new rate is filtered off first.
#[derive(Debug, Clone)]
pub struct Thinning {
    rate: SampleRate,
    every: usize,
    taps: Vec<f32>,
    held: Vec<f32>,
    taken: usize,
}

impl Thinning {
    /// From this rate to the lowest whole part of it that is listened to.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub fn from(rate: SampleRate) -> Self {
        let every = ((rate.0 / LEAST_RATE) as usize).max(1);
        let half = if every == 1 { 0 } else { REACH * every };
        let taps: Vec<f32> = (0..=2 * half)
            .map(|n| {
                let x = (n as f64 - half as f64) / every as f64 * 0.9;
                let sinc = if x == 0.0 { 1.0 } else { (PI * x).sin() / (PI * x) };
                let hann = 0.5 + 0.5 * (PI * (n as f64 - half as f64) / (half as f64 + 1.0)).cos();
                (sinc * hann * 0.9 / every as f64) as f32
            })
            .collect();
        Self {
            rate: SampleRate(rate.0 / every as f64),
            every,
            held: vec![0.0; taps.len()],
            taps,
            taken: 0,
        }
    }

    /// The rate they come at afterwards.
    #[must_use]
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// Takes a sample, and gives the next one of the lower rate where it is due.
    pub fn take(&mut self, sample: f32) -> Option<f32> {
        if self.every == 1 {
            return Some(sample);
        }
        let (length, half) = (self.held.len(), self.held.len() / 2);
        let place = self.taken % length;
        if let Some(held) = self.held.get_mut(place) {
            *held = sample;
        }
        let newest = self.taken;
        self.taken += 1;
        // The newest sample is `half` ahead of the one that is made.
        if newest < half || !(newest - half).is_multiple_of(self.every) {
            return None;
        }
        let (newer, older) = self.held.split_at(place + 1);
        let wrapped = older.iter().chain(newer);
        Some(wrapped.zip(&self.taps).map(|(x, tap)| x * tap).sum())
    }

    /// How many silent samples bring out what is still held.
    #[must_use]
    pub fn tail(&self) -> usize {
        if self.every == 1 { 0 } else { self.held.len() / 2 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(frequency: f64, rate: f64) -> Vec<f32> {
        let step = std::f64::consts::TAU * frequency / rate;
        (0..44_100).map(|n| (f64::from(n) * step).sin() as f32).collect()
    }

    fn power(samples: &[f32]) -> f64 {
        samples.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / samples.len() as f64
    }

    #[test]
    fn what_the_lower_rate_cannot_hold_is_filtered_off() {
        let thinned = |hertz: f64| -> Vec<f32> {
            let mut thinning = Thinning::from(SampleRate(44_100.0));
            let tail = std::iter::repeat_n(0.0, thinning.tail());
            let all = tone(hertz, 44_100.0).into_iter().chain(tail);
            all.filter_map(|sample| thinning.take(sample)).collect()
        };
        let (kept, gone) = (thinned(5_000.0), thinned(15_000.0));
        assert_eq!(kept.len(), 22_050);
        assert!((power(&kept) - 0.5).abs() < 0.01, "{}", power(&kept));
        assert!(power(&gone[100..21_900]) < 1e-6, "{}", power(&gone[100..21_900]));
    }

    #[test]
    fn a_recording_keeps_its_length_and_loses_its_loudness() {
        for (rate, thinned) in [
            (48_000.0, 24_000.0),
            (44_100.0, 22_050.0),
            (22_050.0, 22_050.0),
            (96_000.0, 24_000.0),
        ] {
            let recording = Recording::of(tone(440.0, rate), SampleRate(rate));
            assert_eq!(recording.rate(), SampleRate(thinned));
            assert!((recording.length().0 - 44_100.0 / rate).abs() < 1e-3);
            assert!((power(recording.samples()) - 0.01).abs() < 1e-4);
        }
    }
}
