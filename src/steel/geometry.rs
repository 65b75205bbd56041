//! Lengths on the neck: where frets and strings lie, for drawing and for judging slides and slants.
//!
//! *Invariant:* everything follows from the scale length and the string spacing; nothing is measured here.

use super::neck::Fret;
use serde::{Deserialize, Serialize};

/// A length in millimetres.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    PartialOrd,
    Default,
    Serialize,
    Deserialize,
    derive_more::Add,
    derive_more::Sub,
    derive_more::Display,
)]
#[serde(transparent)]
pub struct Millimetres(pub f64);

/// How far `fret` lies from the nut on a string of speaking length `scale`: L (1 - 2^(-n/12)).
///
/// Source: equal temperament; a string's pitch rises as its length falls (Mersenne's law).
///
/// ```
/// use leadbar::steel::{Fret, geometry::{Millimetres, from_nut}};
/// assert!((from_nut(Millimetres(616.0), Fret(12.0)).0 - 308.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn from_nut(scale: Millimetres, fret: Fret) -> Millimetres {
    Millimetres(scale.0 * (1.0 - (-fret.0 / 12.0).exp2()))
}
