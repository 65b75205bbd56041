//! Where in the compass a note of the band is taken.

use crate::theory::PitchClass;

/// The lowest note of a class that is not under `floor`.
pub(super) fn at_or_above(class: PitchClass, floor: i16) -> i16 {
    floor + (i16::from(class.number()) - floor).rem_euclid(12)
}
