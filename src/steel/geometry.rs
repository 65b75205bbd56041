//! Lengths on the neck: where frets and strings lie, for drawing and for judging slides and slants.
//!
//! *Invariant:* everything follows from the scale length and the string spacing; nothing is measured here.

use super::units::{Degrees, Fret, Millimetres};
use crate::theory::Cents;
use serde::{Deserialize, Serialize};

/// How far `fret` lies from the nut on a string of speaking length `scale`: L (1 - 2^(-n/12)).
///
/// Source: equal temperament; a string's pitch rises as its length falls (Mersenne's law).
///
/// ```
/// use leadbar::steel::{Fret, Millimetres, geometry::from_nut};
/// assert!((from_nut(Millimetres(616.0), Fret(12.0)).0 - 308.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn from_nut(scale: Millimetres, fret: Fret) -> Millimetres {
    Millimetres(scale.0 * (1.0 - (-fret.0 / 12.0).exp2()))
}

/// How far apart two bar positions are.
///
/// ```
/// use leadbar::steel::{Fret, Millimetres, geometry::between};
/// let first_space = between(Millimetres(616.0), Fret(0.0), Fret(1.0));
/// assert!((first_space.0 - 34.57).abs() < 0.01);
/// ```
#[must_use]
pub fn between(scale: Millimetres, one: Fret, other: Fret) -> Millimetres {
    Millimetres((from_nut(scale, one) - from_nut(scale, other)).0.abs())
}

/// How far the bar moves at `fret` to move the pitch by `cents`, which are few: the slope of [`from_nut`].
///
/// So an error of the hand that is small near the nut is heard high on the neck.
///
/// ```
/// use leadbar::{steel::{Fret, Millimetres, geometry::for_cents}, theory::Cents};
/// let at = |fret| for_cents(Millimetres(616.0), Fret(fret), Cents(5.0)).0;
/// assert!((at(3.0) - 1.5).abs() < 0.01 && (at(12.0) - 0.89).abs() < 0.01);
/// ```
#[must_use]
pub fn for_cents(scale: Millimetres, fret: Fret, cents: Cents) -> Millimetres {
    Millimetres(scale.0 * std::f64::consts::LN_2 / 1200.0 * (-fret.0 / 12.0).exp2() * cents.0)
}

/// How far apart neighbouring strings are.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spacing {
    /// At the nut.
    pub nut: Millimetres,
    /// At the bridge.
    pub bridge: Millimetres,
}

impl Default for Spacing {
    /// A measured twelve-string: 3.09 in at the nut and 3.78 in at the bridge over 11 gaps.
    fn default() -> Self {
        Self {
            nut: Millimetres(7.1),
            bridge: Millimetres(8.7),
        }
    }
}

/// How far apart neighbouring strings are under the bar: straight lines from nut to bridge.
///
/// ```
/// use leadbar::steel::{Fret, Spacing, Millimetres, geometry::gap_at};
/// let spacing = Spacing { nut: Millimetres(7.0), bridge: Millimetres(9.0) };
/// // The twelfth fret is half way.
/// assert!((gap_at(spacing, Fret(12.0)).0 - 8.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn gap_at(spacing: Spacing, fret: Fret) -> Millimetres {
    let part = from_nut(Millimetres(1.0), fret).0;
    Millimetres(spacing.nut.0 + (spacing.bridge.0 - spacing.nut.0) * part)
}

/// How far a bar is turned from straight that stops one string at `one` and another, `across` from it, at `other`.
///
/// ```
/// use leadbar::steel::{Fret, Millimetres, geometry::slant};
/// let turned = slant(Millimetres(616.0), Millimetres(8.6), Fret(12.0), Fret(13.0));
/// assert!((turned.0 - 63.5).abs() < 0.1);
/// ```
#[must_use]
pub fn slant(scale: Millimetres, across: Millimetres, one: Fret, other: Fret) -> Degrees {
    Degrees((between(scale, one, other).0).atan2(across.0).to_degrees())
}
