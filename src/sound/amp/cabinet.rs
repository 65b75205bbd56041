//! The loudspeaker: a finite impulse response, after a filter for its lower end.
//!
//! The response is our own: that of a chain of filters drawn like a large paper cone in an open box, fading out
//! within 5.3 ms. Amounts are taste, by ear, no source.

use super::drive::respond;
use super::filter::{Biquad, Shape};
use crate::sound::mix::Decibels;
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::Hertz;

/// Taps of the response.
const TAPS: usize = 256;

/// The lower end of the box.
const LOWEST: Hertz = Hertz(75.0);

/// The loudspeaker as it runs.
#[derive(Debug, Clone)]
pub struct Cabinet {
    low_end: Biquad,
    /// Backwards, as samples are kept oldest first.
    response: Box<[f32; TAPS]>,
    heard: Box<[f32; TAPS + STEP]>,
}

impl Cabinet {
    /// A loudspeaker at rest.
    #[must_use]
    pub fn new(rate: SampleRate) -> Self {
        Self {
            low_end: Biquad::new(Shape::HighPass, LOWEST, rate),
            response: Box::new(response(rate)),
            heard: Box::new([0.0; TAPS + STEP]),
        }
    }

    /// Forgets what it heard.
    pub fn silence(&mut self) {
        self.low_end.silence();
        self.heard.fill(0.0);
    }

    /// Runs one step, in place.
    #[allow(clippy::cast_possible_truncation)]
    #[cfg_attr(target_arch = "wasm32", target_feature(enable = "simd128"))]
    pub fn run(&mut self, signal: &mut [f32; STEP]) {
        self.heard.copy_within(STEP.., 0);
        for (slot, x) in self.heard[TAPS..].iter_mut().zip(signal.iter()) {
            let y = self.low_end.next(f64::from(*x)) as f32;
            *slot = if y.abs() < 1e-15 { 0.0 } else { y };
        }
        signal.fill(0.0);
        respond(self.heard.as_slice(), &self.response, signal);
    }
}

/// The impulse response of the drawn filters, backwards.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn response(rate: SampleRate) -> [f32; TAPS] {
    let mut drawn = [
        (Shape::Peak(Decibels(2.5), 0.9), 130.0),
        (Shape::Peak(Decibels(-3.0), 0.8), 480.0),
        (Shape::Peak(Decibels(1.5), 2.5), 1250.0),
        (Shape::Peak(Decibels(4.5), 1.4), 2600.0),
        (Shape::Peak(Decibels(-2.0), 4.0), 3500.0),
        (Shape::LowPass, 5200.0),
        (Shape::LowPass, 6800.0),
    ]
    .map(|(shape, frequency)| Biquad::new(shape, Hertz(frequency), rate));
    let mut backwards = [0.0; TAPS];
    for (n, slot) in backwards.iter_mut().rev().enumerate() {
        let mut x = if n == 0 { 1.0 } else { 0.0 };
        for filter in &mut drawn {
            x = filter.next(x);
        }
        let part = n as f64 / TAPS as f64;
        let fade = ((part - 0.5).max(0.0) * std::f64::consts::TAU).cos() * 0.5 + 0.5;
        *slot = (x * fade) as f32;
    }
    backwards
}
