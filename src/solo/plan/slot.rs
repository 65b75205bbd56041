//! Slots: what the plan leaves open for moves to fill.
//!
//! *Invariant:* a slot lies inside one chord, and its onsets rise.

use crate::solo::feel::CellRole;
use crate::theory::{Beats, PitchClass};

/// Times closer than this are one time.
pub(super) const EPSILON: Beats = Beats(1e-6);

/// A rise, fall or hold of the top note from one hit to the next.
pub(super) type Step = i8;

/// One onset to fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Onset {
    pub(super) at: Beats,
    /// When its sound is stopped.
    pub(super) until: Beats,
    /// Whether an answer comes to rest on it, so that its tones must be the chord's.
    pub(super) rests: bool,
    /// The wished-for step of the top note from the onset before.
    pub(super) step: Step,
    /// The top note a motif or a melody asks for.
    pub(super) tone: Option<PitchClass>,
    /// Whether it is a melody's.
    pub(super) sung: bool,
    /// How much louder than the feel's hand it is wished for, in dB of strength, where dynamics are in full.
    pub(super) louder: f64,
}

/// A stretch inside one chord, to be filled by one move.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Slot {
    pub(super) onsets: Vec<Onset>,
    /// When the next slot may begin.
    pub(super) end: Beats,
    /// Index of its chord in the timeline.
    pub(super) span: usize,
    /// Whether it begins with its chord.
    pub(super) arrives: bool,
    pub(super) role: CellRole,
    /// The wished-for fret, from the arc.
    pub(super) fret: f64,
    /// Whether the solo's high point lies here.
    pub(super) peak: bool,
    pub(super) first: bool,
    pub(super) last: bool,
    /// The strong beats in it: the ear takes what sounds there as the harmony.
    pub(super) strong: Vec<Beats>,
}

impl Slot {
    /// Whether a strong beat falls between two moments, the first one included.
    pub(super) fn strong_between(&self, from: Beats, to: Beats) -> bool {
        self.strong.iter().any(|b| from - EPSILON <= *b && *b < to - EPSILON)
    }
}
