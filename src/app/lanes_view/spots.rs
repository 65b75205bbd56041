//! Stretches of the lanes that are pointed at.

use crate::theory::Beats;

/// Why a stretch is pointed at; drawn by shape, never by hue alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpotKind {
    /// The move that is looked at.
    Picked,
    /// A move that stays as it is.
    Locked,
    /// Where another pass does something else.
    Differs,
    /// Where a mark saw something missing.
    Missed,
}

/// A stretch that is pointed at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Where it begins.
    pub from: Beats,
    /// Where it ends.
    pub to: Beats,
    /// Why.
    pub kind: SpotKind,
}

impl Spot {
    /// Whether something at `at` lies in it.
    #[must_use]
    pub fn holds(&self, at: Beats) -> bool {
        // A sign a hair early belongs to the move it begins.
        let hair = Beats(0.05);
        at + hair >= self.from && at + hair < self.to
    }
}
