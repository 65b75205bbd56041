//! What a string's stiffness does: its partials lie a little wider than a whole number of times the first.
//!
//! Partial n sounds at n f0 sqrt(1 + B n^2) / sqrt(1 + B), f0 being the first, with B = pi^3 E d^4 / (64 T L^2) for
//! a core of diameter d at tension T and length L. Source: Fletcher, Blackham and Stratton, "Quality of piano
//! tones", Journal of the Acoustical Society of America 34(6), 749-761, 1962.
//!
//! In the loop it is made by all-passes in a row, which delay low frequencies more than high ones. Source of the
//! structure: Van Duyne and Smith, "A simplified approach to modeling dispersion caused by stiffness in strings and
//! plates", International Computer Music Conference 1994. A first-order all-pass with delay D at zero frequency has
//! the phase delay (2 / w) atan(D tan(w / 2)), exactly: D is chosen so that the tenth partial is right.

use crate::steel::{Gauge, Millimetres};
use crate::theory::Hertz;
use std::f64::consts::{PI, TAU};

/// The coefficient B of a string: 0 for a perfectly supple one.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Stiffness(pub f64);

/// Young's modulus of steel, in pascals, and its density, in kilograms a cubic metre: handbook values.
const YOUNG: f64 = 200e9;
const DENSITY: f64 = 7850.0;
/// A wound string's core against its outside, and its mass against a solid one's: estimates, no source.
pub(super) const CORE: f64 = 0.5;
const WOUND_MASS: f64 = 0.84;
/// Beyond this nothing on the instrument is a string.
const MOST: f64 = 2e-3;

impl Stiffness {
    /// No stiffness at all.
    pub const NONE: Self = Self(0.0);

    /// The partials' spread of a string that gives `open` at full length and `pitch` where the bar stops it. A
    /// pedal raises the tension at the same length, so B falls; the bar shortens the string, so it rises.
    #[must_use]
    pub fn of(gauge: Gauge, wound: bool, scale: Millimetres, open: Hertz, pitch: Hertz) -> Self {
        let outside = gauge.millimetres().0 / 1000.0;
        let (core, mass) = if wound {
            (CORE * outside, WOUND_MASS)
        } else {
            (outside, 1.0)
        };
        let mass = mass * DENSITY * PI / 4.0 * outside * outside;
        let full = scale.0 / 1000.0;
        let tension = mass * (2.0 * full * open.0).powi(2);
        let length = full * open.0 / pitch.0;
        let spread = PI.powi(3) * YOUNG * core.powi(4) / (64.0 * tension * length * length);
        Self(if spread.is_finite() { spread.min(MOST) } else { 0.0 })
    }

    /// How many times the first partial's frequency partial `n` sounds at.
    #[must_use]
    pub fn ratio(self, n: f64) -> f64 {
        n * ((1.0 + self.0 * n * n) / (1.0 + self.0)).sqrt()
    }
}

/// All-passes in the row.
pub(super) const LINKS: usize = 2;
/// The partial that is made right, and the highest part of the sample rate it may lie at.
const EXACT: f64 = 10.0;
const HIGHEST: f64 = 0.4;
/// The most each all-pass delays zero frequency, in samples.
const MOST_DELAY: f64 = 24.0;
/// Steps of Newton's method: from the first guess, and from the delay of a string that was a little longer or
/// shorter. The partial is then right to less than a thousandth of a cent.
const NEWTON: usize = 5;
const NEWTON_NEAR: usize = 2;
/// A period is near another within this part of it.
const NEAR: f64 = 0.02;

/// The all-passes' coefficient, and what they delay the fundamental by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dispersion {
    /// Coefficient a of each (a + z^-1) / (1 + a z^-1).
    pub coefficient: f64,
    /// Phase delay of all of them at the fundamental, in samples.
    pub delay: f64,
    /// Delay of each at zero frequency, and the period it is for.
    each: f64,
    period: f64,
}

impl Dispersion {
    /// All-passes for a string of `period` samples.
    #[must_use]
    pub fn design(period: f64, stiffness: Stiffness) -> Self {
        Self::designed(period, stiffness, None)
    }

    /// The same for a string that these all-passes were for a moment ago: sooner found.
    #[must_use]
    pub fn followed(self, period: f64, stiffness: Stiffness) -> Self {
        let near = (period / self.period - 1.0).abs() < NEAR && self.each > 1.0;
        Self::designed(period, stiffness, near.then_some(self.each))
    }

    #[allow(clippy::cast_precision_loss)]
    fn designed(period: f64, stiffness: Stiffness, near: Option<f64>) -> Self {
        let first = Tangent::at(TAU / period);
        let each = Self::each(period, stiffness, &first, near);
        Self {
            coefficient: (1.0 - each) / (1.0 + each),
            delay: LINKS as f64 * first.delay(each),
            each,
            period,
        }
    }

    /// The delay of each all-pass at zero frequency, sought from `near` if that is known.
    #[allow(clippy::cast_precision_loss)]
    fn each(period: f64, stiffness: Stiffness, first: &Tangent, near: Option<f64>) -> f64 {
        let partial = EXACT.min((HIGHEST * period).floor());
        if stiffness.0 <= 0.0 || partial < 2.0 {
            return 1.0;
        }
        let spread = stiffness.ratio(partial);
        let high = Tangent::at(TAU * spread / period);
        // The loop is this much shorter for the high partial than for the first.
        let wanted = period * (1.0 - partial / spread) / LINKS as f64;
        // For low frequencies the delay falls by D (D^2 - 1) w^2 / 12.
        let guess = || (12.0 * wanted / (high.omega * high.omega)).cbrt().max(1.0);
        let mut each = near.unwrap_or_else(guess);
        for _ in 0..near.map_or(NEWTON, |_| NEWTON_NEAR) {
            let off = first.delay(each) - high.delay(each) - wanted;
            let slope = first.slope(each) - high.slope(each);
            if slope.abs() > 1e-9 {
                each = (each - off / slope).clamp(1.0, MOST_DELAY);
            }
        }
        each
    }
}

/// A frequency, in radians a sample, and the tangent of its half.
struct Tangent {
    omega: f64,
    tangent: f64,
}

impl Tangent {
    fn at(omega: f64) -> Self {
        Self {
            omega,
            tangent: (0.5 * omega).tan(),
        }
    }

    /// The phase delay here of an all-pass that delays zero frequency by `each`.
    fn delay(&self, each: f64) -> f64 {
        2.0 / self.omega * (each * self.tangent).atan()
    }

    /// How that grows with `each`.
    fn slope(&self, each: f64) -> f64 {
        let x = each * self.tangent;
        2.0 / self.omega * self.tangent / (1.0 + x * x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Strings 4, 6, 8 and 10 of the E9 at 24.25 inches.
    const STRINGS: [(f64, bool, f64, f64); 4] = [
        (14.0, false, 329.63, 3.2e-5),
        (20.0, false, 207.65, 1.6e-4),
        (30.0, true, 164.81, 4.3e-5),
        (38.0, true, 123.47, 1.2e-4),
    ];
    const SCALE: Millimetres = Millimetres(615.95);

    fn stiffness(gauge: f64, wound: bool, open: f64, pitch: f64) -> f64 {
        Stiffness::of(Gauge(gauge), wound, SCALE, Hertz(open), Hertz(pitch)).0
    }

    #[test]
    fn the_formula_gives_the_computed_coefficients() {
        // Computed by hand from the formula, to two digits.
        for (gauge, wound, open, computed) in STRINGS {
            let found = stiffness(gauge, wound, open, open);
            assert!((found / computed - 1.0).abs() < 0.04, "{gauge}: {found} not {computed}");
        }
    }

    #[test]
    fn the_bar_spreads_the_partials_and_a_pedal_draws_them_together() {
        for (gauge, wound, open, _) in STRINGS {
            let still = stiffness(gauge, wound, open, open);
            let barred = stiffness(gauge, wound, open, 2.0 * open);
            assert!((barred / still - 4.0).abs() < 1e-9, "half the length: four times");
            let raised = open * 2.0_f64.powf(2.0 / 12.0);
            let pressed = stiffness(gauge, wound, raised, raised);
            assert!(
                (still / pressed - 2.0_f64.powf(2.0 / 6.0)).abs() < 1e-9,
                "a whole tone: 1.26 times the tension"
            );
        }
    }

    #[test]
    fn a_supple_string_has_two_samples_of_plain_delay() {
        let supple = Dispersion::design(300.0, Stiffness::NONE);
        assert!(supple.coefficient.abs() < 1e-12 && (supple.delay - 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_gliding_string_comes_by_the_same_all_passes() {
        let mut followed = Dispersion::design(300.0, Stiffness(5e-5));
        for step in 1..=200 {
            let period = 300.0 * 0.5_f64.powf(f64::from(step) / 200.0);
            let stiffness = Stiffness(5e-5 * (300.0 / period).powi(2));
            followed = followed.followed(period, stiffness);
            let anew = Dispersion::design(period, stiffness);
            assert!(
                (followed.delay - anew.delay).abs() < 1e-6,
                "{period}: {followed:?} {anew:?}"
            );
        }
    }

    #[test]
    fn any_string_has_a_steady_all_pass_shorter_than_its_period() {
        for period in [16.0, 20.0, 33.0, 60.0, 150.0, 400.0, 1900.0] {
            for spread in [0.0, 1e-6, 1e-4, 1e-3, MOST] {
                let found = Dispersion::design(period, Stiffness(spread));
                assert!(
                    (-0.93..=1e-12).contains(&found.coefficient),
                    "{period} {spread}: {found:?}"
                );
                assert!(
                    found.delay.is_finite() && found.delay < 0.4 * period,
                    "{period} {spread}: {found:?}"
                );
            }
        }
    }
}
