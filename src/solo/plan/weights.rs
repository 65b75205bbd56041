//! What the search minimises, named. All weights are taste: common practice, no source; tuned by reading drafts.

use crate::theory::{Beats, Seconds};

/// For each fret away from the arc.
pub(super) const ARC: f64 = 0.16;
/// For each change held by a feel that would rather leave it to the bar.
pub(super) const BAR_ONLY: f64 = 0.7;
/// For each string more or less than the feel likes.
pub(super) const FULLNESS: f64 = 0.3;
/// Times the logarithm of how seldom the feel makes this move.
pub(super) const KIND: f64 = 0.7;
/// For a passing tone, spread over the move.
pub(super) const PASSING: f64 = 0.1;
/// For a move that ends on a passing tone, and for one that the next move does not take on by a step.
pub(super) const LOOSE_END: f64 = 0.3;
pub(super) const UNRESOLVED: f64 = 2.0;
/// For each step of the top note against the figure's shape.
pub(super) const CONTOUR: f64 = 0.7;
/// For each semitone beyond a fifth that the top note leaps between moves.
pub(super) const LEAP: f64 = 0.12;
/// For a top note that does not move between moves.
pub(super) const STANDSTILL: f64 = 0.35;
/// For taking the very grip just left.
pub(super) const SAME_GRIP: f64 = 0.7;
/// For the same kind of move twice running.
pub(super) const SAME_KIND: f64 = 0.9;
/// For a top note that is not the one a motif of the player's asks for.
pub(super) const MOTIF: f64 = 3.0;
/// For each string that is not among the favoured ones.
pub(super) const OTHER_STRING: f64 = 0.6;
/// For each fret the bar jumps between moves.
pub(super) const JUMP: f64 = 0.05;
/// Gained when ringing strings are carried over a change of chord by feet and knees alone, where a feel is for pedals.
pub(super) const PEDALS_ALONE: f64 = 1.6;
/// For each change pressed or let go between moves.
pub(super) const FOOTWORK: f64 = 0.08;
/// Random spread added to each candidate, and to each kind of move in each slot, so that seeds differ.
pub(super) const SPREAD: f64 = 0.4;
pub(super) const KIND_SPREAD: f64 = 1.8;

/// Notes held longer than this get vibrato.
pub(super) const WAVE_FROM: Seconds = Seconds(0.7);
/// Notes held longer than this may swell.
pub(super) const SWELL_FROM: Seconds = Seconds(1.2);
/// A note that stops within this of the next move still rings for it.
pub(super) const RINGING_GAP: Beats = Beats(1e-6);
/// A note that would stop this long before the next move can be left ringing to be carried into it.
pub(super) const RINGS_ON: Beats = Beats(1.0);
/// Candidates of a slot that the search weighs against each other, the cheapest.
pub(super) const KEPT: usize = 140;
/// Candidates of the high point are taken from this many of the cheapest.
pub(super) const PEAK_CHOICE: usize = 10;
