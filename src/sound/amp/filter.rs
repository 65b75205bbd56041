//! Second-order filters, and the tone stack made of three of them.
//!
//! Source of the coefficients: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021.

use super::settings::Tone;
use crate::sound::mix::Decibels;
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::Hertz;

/// What a filter does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Raises or cuts all below.
    LowShelf(Decibels),
    /// Raises or cuts around; with its sharpness Q.
    Peak(Decibels, f64),
    /// Raises or cuts all above.
    HighShelf(Decibels),
    /// Takes away all above, without a resonance.
    LowPass,
    /// Takes away all below, without a resonance.
    HighPass,
}

/// One second-order filter, in direct form 1: what it remembers is the signal itself, so that new coefficients
/// take over without a step.
#[derive(Debug, Clone, Copy)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    /// The last two samples in and out, the newer first.
    heard: [f64; 2],
    given: [f64; 2],
}

impl Biquad {
    /// A filter of this shape around `frequency` (kept below 0.45 of the rate), at rest.
    #[must_use]
    pub fn new(shape: Shape, frequency: Hertz, rate: SampleRate) -> Self {
        let omega = std::f64::consts::TAU * (frequency.0 / rate.0).min(0.45);
        let (sin, cos) = omega.sin_cos();
        let flat = sin * std::f64::consts::FRAC_1_SQRT_2;
        let (b, a) = match shape {
            Shape::LowShelf(gain) => shelf(gain, cos, flat, 1.0),
            Shape::HighShelf(gain) => shelf(gain, cos, flat, -1.0),
            Shape::Peak(gain, q) => {
                let (amount, alpha) = (amount(gain), sin / (2.0 * q));
                (
                    [1.0 + alpha * amount, -2.0 * cos, 1.0 - alpha * amount],
                    [1.0 + alpha / amount, -2.0 * cos, 1.0 - alpha / amount],
                )
            }
            Shape::LowPass => {
                let h = 0.5 * (1.0 - cos);
                ([h, 2.0 * h, h], [1.0 + flat, -2.0 * cos, 1.0 - flat])
            }
            Shape::HighPass => {
                let h = 0.5 * (1.0 + cos);
                ([h, -2.0 * h, h], [1.0 + flat, -2.0 * cos, 1.0 - flat])
            }
        };
        Self {
            b: b.map(|x| x / a[0]),
            a: [a[1] / a[0], a[2] / a[0]],
            heard: [0.0; 2],
            given: [0.0; 2],
        }
    }

    /// The next sample.
    #[inline]
    pub fn next(&mut self, x: f64) -> f64 {
        let past = self.b[1] * self.heard[0] + self.b[2] * self.heard[1] - self.a[1] * self.given[1];
        let y = self.b[0] * x + past - self.a[0] * self.given[0];
        self.heard = [x, self.heard[0]];
        self.given = [y, self.given[0]];
        y
    }

    /// Forgets what it heard.
    pub fn silence(&mut self) {
        (self.heard, self.given) = ([0.0; 2], [0.0; 2]);
    }

    /// Takes over the coefficients of another, and keeps what it heard.
    fn become_like(&mut self, other: Self) {
        self.b = other.b;
        self.a = other.a;
    }
}

fn amount(gain: Decibels) -> f64 {
    10.0_f64.powf(gain.0.clamp(-24.0, 24.0) / 40.0)
}

/// Both shelves (slope 1); `side` is 1 for the low one and -1 for the high one.
fn shelf(gain: Decibels, cos: f64, alpha: f64, side: f64) -> ([f64; 3], [f64; 3]) {
    let a = amount(gain);
    let (sum, difference, root) = (a + 1.0, a - 1.0, 2.0 * a.sqrt() * alpha);
    let c = side * cos;
    (
        [
            a * (sum - difference * c + root),
            side * 2.0 * a * (difference - sum * c),
            a * (sum - difference * c - root),
        ],
        [
            sum + difference * c + root,
            -side * 2.0 * (difference + sum * c),
            sum + difference * c - root,
        ],
    )
}

/// How broad the middle control works. By ear, no source.
const MIDDLE_Q: f64 = 0.6;
/// The furthest a control moves in one step, in decibels: across its whole range in 40 ms.
const MOST_A_STEP: f64 = 0.4;

/// Bass, middle and treble.
#[derive(Debug, Clone)]
pub(super) struct ToneStack {
    rate: SampleRate,
    filters: [Biquad; 3],
    now: Tone,
    wanted: Tone,
}

impl ToneStack {
    /// A flat one.
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate,
            filters: filters(Tone::FLAT, rate),
            now: Tone::FLAT,
            wanted: Tone::FLAT,
        }
    }

    /// Turns the knobs; they get there within a few steps.
    pub(super) fn set(&mut self, tone: Tone) {
        self.wanted = tone;
    }

    /// Takes its new place at once, while nothing sounds.
    pub(super) fn arrive(&mut self) {
        self.now = self.wanted;
        self.filters = filters(self.now, self.rate);
    }

    /// Moves the knobs by at most [`MOST_A_STEP`] each.
    fn follow(&mut self) {
        if self.now == self.wanted {
            return;
        }
        let towards = |now: Decibels, to: Decibels| Decibels(now.0 + (to.0 - now.0).clamp(-MOST_A_STEP, MOST_A_STEP));
        self.now = Tone {
            bass: towards(self.now.bass, self.wanted.bass),
            middle: towards(self.now.middle, self.wanted.middle),
            treble: towards(self.now.treble, self.wanted.treble),
        };
        for (filter, new) in self.filters.iter_mut().zip(filters(self.now, self.rate)) {
            filter.become_like(new);
        }
    }

    /// Forgets what it heard.
    pub(super) fn silence(&mut self) {
        self.filters.iter_mut().for_each(Biquad::silence);
    }

    /// Runs one step, in place.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn run(&mut self, signal: &mut [f32; STEP]) {
        self.follow();
        for sample in signal {
            // A hair of a constant keeps the filters out of the slow range of numbers.
            let mut x = f64::from(*sample) + 1e-18;
            for filter in &mut self.filters {
                x = filter.next(x);
            }
            *sample = x as f32;
        }
    }
}

fn filters(tone: Tone, rate: SampleRate) -> [Biquad; 3] {
    [
        Biquad::new(Shape::LowShelf(tone.bass), Tone::BASS_AT, rate),
        Biquad::new(Shape::Peak(tone.middle, MIDDLE_Q), Tone::MIDDLE_AT, rate),
        Biquad::new(Shape::HighShelf(tone.treble), Tone::TREBLE_AT, rate),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gain in decibels at `frequency`, from the transfer function on the unit circle.
    fn gain(filter: &Biquad, frequency: f64) -> f64 {
        let w = std::f64::consts::TAU * frequency / 48_000.0;
        let at = |c: [f64; 3]| {
            let re = c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos();
            let im = c[1] * w.sin() + c[2] * (2.0 * w).sin();
            re.hypot(im)
        };
        20.0 * (at(filter.b) / at([1.0, filter.a[0], filter.a[1]])).log10()
    }

    #[test]
    fn each_shape_has_the_cookbooks_gains() {
        let make = |shape| Biquad::new(shape, Hertz(1000.0), SampleRate(48_000.0));
        let near = |filter: &Biquad, frequency: f64, decibels: f64| {
            let found = gain(filter, frequency);
            assert!(
                (found - decibels).abs() < 0.05,
                "{found} at {frequency}, not {decibels}"
            );
        };
        for raised in [9.0, -6.0] {
            let low = make(Shape::LowShelf(Decibels(raised)));
            near(&low, 5.0, raised);
            near(&low, 1000.0, raised / 2.0);
            near(&low, 23_900.0, 0.0);
            let high = make(Shape::HighShelf(Decibels(raised)));
            near(&high, 5.0, 0.0);
            near(&high, 1000.0, raised / 2.0);
            near(&high, 23_900.0, raised);
            let peak = make(Shape::Peak(Decibels(raised), 0.7));
            near(&peak, 1.0, 0.0);
            near(&peak, 1000.0, raised);
            near(&peak, 23_990.0, 0.0);
        }
        near(&make(Shape::LowPass), 1000.0, -3.01);
        near(&make(Shape::LowPass), 1.0, 0.0);
        near(&make(Shape::HighPass), 1000.0, -3.01);
        near(&make(Shape::HighPass), 23_900.0, 0.0);
    }
}
