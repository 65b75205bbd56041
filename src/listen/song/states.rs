//! What a beat can be heard as: a chord of a kind on a root, or none.

use crate::theory::Quality;

/// The kinds of chord that are told apart.
pub(super) const KINDS: [Quality; 7] = [
    Quality::Major,
    Quality::Minor,
    Quality::Seven,
    Quality::MajorSeven,
    Quality::MinorSeven,
    Quality::Diminished,
    Quality::Sus4,
];

/// Chords, and one state more: none.
pub(super) const CHORDS: usize = 12 * KINDS.len();
pub(super) const STATES: usize = CHORDS + 1;
pub(super) const NONE: usize = CHORDS;

/// Evidence for no chord where something sounds.
pub(super) const UNLIKELY: f32 = -7.0;
