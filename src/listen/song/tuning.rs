//! How far the whole recording lies from A4 = 440 Hz.

use super::recording::Recording;
use crate::listen::transform::{Transform, hann};
use crate::theory::{Cents, Height, Hertz};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Samples looked at, and between looks.
const WINDOW: usize = 8192;
const HOP: usize = 8192;

/// Where partials are measured, in hertz: below, semitones are too close for the window; above, partials stray.
const FROM: f64 = 120.0;
const TO: f64 = 1_600.0;

/// How far a recording's pitch lies above A4 = 440 Hz, within half a semitone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Tuning(pub Cents);

impl Tuning {
    /// At concert pitch.
    pub const CONCERT: Self = Self(Cents(0.0));

    /// Of a recording: the direction in which most partials lie off the equal-tempered notes, each weighted by its
    /// amplitude. Partials are placed by the parabola through the logarithms of three bins.
    #[must_use]
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss
    )]
    pub fn of(recording: &Recording) -> Self {
        let per_bin = recording.rate().0 / WINDOW as f64;
        let window = hann(WINDOW);
        let mut transform = Transform::new(WINDOW);
        let (mut east, mut north) = (0.0, 0.0);
        for at in (0..recording.samples().len()).step_by(HOP) {
            recording.frame(at, &window, &mut transform.time);
            transform.forward();
            let amplitude: Vec<f32> = transform.bins.iter().map(|bin| bin.norm()).collect();
            let (from, to) = ((FROM / per_bin) as usize, (TO / per_bin) as usize);
            for bin in from..to.min(amplitude.len() - 3) {
                let [a, b, c] = [bin - 1, bin, bin + 1].map(|n| f64::from(amplitude[n]));
                let tops = b >= a && b > c && b > f64::from(amplitude[bin - 2]).max(f64::from(amplitude[bin + 2]));
                if !tops || a <= 0.0 || c <= 0.0 {
                    continue;
                }
                let bend = a.ln() - 2.0 * b.ln() + c.ln();
                let place = bin as f64
                    + if bend < 0.0 {
                        0.5 * (a.ln() - c.ln()) / bend
                    } else {
                        0.0
                    };
                if let Some(height) = Height::of(Hertz(place * per_bin)) {
                    let (sin, cos) = (TAU * height.0).sin_cos();
                    east += b * cos;
                    north += b * sin;
                }
            }
        }
        Self(Cents(100.0 * north.atan2(east) / TAU))
    }

    /// The frequency of a note, as a MIDI note number with fractions, in this tuning.
    pub(super) fn hertz(self, note: f64) -> Hertz {
        Height(note).shifted(self.0).hertz()
    }
}
