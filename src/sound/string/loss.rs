//! The loss of one round trip of the string.
//!
//! A one-pole low-pass g (1 - a) / (1 - a z^-1) whose gain at the first and at the tenth partial gives these the
//! asked decay times. Sources: the gain for a decay of T seconds to -60 dB at f0 is 10^(-3 / (f0 T)) a period
//! (Jaffe and Smith, Computer Music Journal 7(2), 1983); the one-pole as a loop filter: Välimäki, Huopaniemi,
//! Karjalainen and Jánosy, Journal of the Audio Engineering Society 44(5), 1996.

use crate::theory::{Hertz, Seconds};

/// How long two partials ring, to -60 dB.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decay {
    /// The first partial.
    pub first: Seconds,
    /// The tenth.
    pub tenth: Seconds,
}

/// A string as material: how it loses energy. Amounts are common practice by ear, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Material {
    /// Plain steel.
    Plain,
    /// A wound string: darker.
    Wound,
}

/// Decay of the first partial at 165 Hz. Measured electrics ring 5 to 20 s in this range (from memory).
const FIRST_AT_165_HZ: f64 = 12.0;
/// How the first partial's decay shortens with pitch: as a power of the frequency.
const SHORTER_WITH_PITCH: f64 = 0.55;

impl Material {
    /// Loss that grows with frequency: the part of 1 / T60 for each hertz.
    fn loss_per_hertz(self) -> f64 {
        match self {
            Self::Plain => 1.0e-4,
            Self::Wound => 1.6e-4,
        }
    }

    /// How long a string of this kind rings at `pitch`.
    #[must_use]
    pub fn decay(self, pitch: Hertz) -> Decay {
        let first = FIRST_AT_165_HZ * (165.0 / pitch.0).powf(SHORTER_WITH_PITCH);
        let tenth = 1.0 / (1.0 / first + self.loss_per_hertz() * 10.0 * pitch.0);
        Decay {
            first: Seconds(first),
            tenth: Seconds(tenth),
        }
    }
}

/// The coefficients of the loss filter, and the delay it adds at the fundamental.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// Overall gain times (1 - pole).
    pub input: f64,
    /// The pole, 0..1.
    pub pole: f64,
    /// Phase delay at the fundamental, in samples.
    pub delay: f64,
}

/// The gain never reaches 1, or the string would ring for ever.
const MOST_GAIN: f64 = 0.999_99;

impl Loss {
    /// The filter for a string of `period` samples at `rate` samples a second.
    ///
    /// The tenth partial is taken at most at 0.45 of the sample rate.
    #[must_use]
    pub fn design(period: f64, rate: f64, decay: Decay) -> Self {
        let omega = std::f64::consts::TAU / period;
        let gain = |time: Seconds| 10.0_f64.powf(-3.0 * period / (rate * time.0));
        let (g1, g10) = (gain(decay.first), gain(decay.tenth));
        let (sin1, cos1) = omega.sin_cos();
        let cos10 = (10.0 * omega).min(0.9 * std::f64::consts::PI).cos();
        let pole = pole_for((g10 / g1) * (g10 / g1), cos1, cos10);
        let plain = (1.0 - pole) / (1.0 + pole * pole - 2.0 * pole * cos1).sqrt();
        let scale = (g1 / plain).min(MOST_GAIN);
        Self {
            input: scale * (1.0 - pole),
            pole,
            delay: (pole * sin1).atan2(1.0 - pole * cos1) / omega,
        }
    }
}

/// The pole whose squared gain falls by `ratio` between two frequencies given by their cosines.
fn pole_for(ratio: f64, cos1: f64, cos10: f64) -> f64 {
    if ratio >= 1.0 {
        return 0.0;
    }
    // ratio = (1 + a^2 - 2 a cos1) / (1 + a^2 - 2 a cos10), a quadratic in a: a^2 - 2 k a + 1 = 0.
    let k = (cos1 - ratio * cos10) / (1.0 - ratio);
    if k <= 1.0 {
        return 0.99;
    }
    (k - (k * k - 1.0).sqrt()).clamp(0.0, 0.99)
}
