//! What a mark points at.

use crate::theory::Beats;

/// What a mark speaks of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Pointed {
    /// A moment.
    At(Beats),
    /// One of several places, counted from 0.
    Place(usize),
}
