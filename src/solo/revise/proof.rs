//! Whether a body can play a pass with a change in it, and whether the change keeps out of the chords' way.
//!
//! *Invariant:* asks the planner's own report and rules, over the moves near the change: what lies farther off does
//! not feel it, because after any stroke bar and feet stand where that stroke has left them.

use super::Change;
use crate::solo::limits::Limits;
use crate::solo::moves::Move;
use crate::solo::pass::Pass;
use crate::solo::playable::{self, Breach};
use crate::solo::reach::{Reach, ready_stance};
use crate::solo::rules;
use crate::solo::stroke::{Arrival, Stroke};
use crate::solo::weave::weave;
use crate::steel::{Instrument, Stance};
use crate::theory::{Beats, Timeline};
use std::ops::Range;
use std::sync::Arc;

/// Moves looked at on either side of a change.
const NEAR: usize = 2;
/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// What is wrong in a stretch of a pass.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Faults {
    pub(super) breaches: Vec<Breach>,
    clashes: Vec<rules::Clash>,
}

impl Faults {
    /// Whether nothing is wrong here that was not wrong `before`.
    pub(super) fn no_worse_than(&self, before: &Self) -> bool {
        self.breaches.iter().all(|b| before.breaches.contains(b))
            && self.clashes.iter().all(|c| before.clashes.contains(c))
    }
}

pub(super) struct Proof<'a> {
    pub(super) timeline: &'a Timeline,
    pub(super) instrument: &'a Instrument,
    pub(super) limits: &'a Limits,
    pub(super) reach: Reach<'a>,
    /// The strong beats of the song, each with its felt beat.
    pub(super) strong: Vec<(Beats, Beats)>,
}

impl<'a> Proof<'a> {
    pub(super) fn new(timeline: &'a Timeline, instrument: &'a Instrument, limits: &'a Limits) -> Self {
        Self {
            timeline,
            instrument,
            limits,
            reach: Reach::new(instrument, limits, timeline.tempo),
            strong: rules::strong_beats(timeline),
        }
    }

    /// Whether the pass is no worse for the change and what is carried still rings; and, where they are to be
    /// `joined`, whether the changed moves follow their neighbours as comfortably as the planner asks.
    pub(super) fn holds(&self, pass: &Pass, change: &Change, before: &Faults, joined: bool) -> bool {
        let after = change.made_in(pass);
        let changed = change.from..change.from + change.moves.len();
        self.joined(&after.moves, changed.clone(), joined)
            && self
                .faults(&after, self.near(&after.moves, changed))
                .no_worse_than(before)
    }

    /// The moves near some of them: those that may still ring into them, and those they may disturb.
    pub(super) fn near(&self, moves: &[Arc<Move>], some: Range<usize>) -> Range<usize> {
        let mut from = some.start.saturating_sub(NEAR);
        let start = moves.get(from).map_or(Beats::ZERO, |m| m.at);
        while let Some(before) = from.checked_sub(1).and_then(|i| moves.get(i))
            && before.timed().any(|s| s.until > start + EPSILON)
        {
            from -= 1;
        }
        from..(some.end + NEAR).min(moves.len())
    }

    /// What is wrong in a stretch of moves.
    pub(super) fn faults(&self, pass: &Pass, stretch: Range<usize>) -> Faults {
        let end = pass.moves.get(stretch.end).map_or(pass.length, |m| m.at);
        let moves = pass.moves.get(stretch).unwrap_or_default();
        let start = moves.first().map_or(Beats::ZERO, |m| m.at);
        let strokes: Vec<Stroke> = moves.iter().flat_map(|m| m.timed()).collect();
        let tempo = self.timeline.tempo;
        let performance = weave(&strokes, self.instrument, self.limits, tempo, pass.length);
        let mut breaches = playable::report(&performance, self.instrument, tempo, self.limits);
        breaches.retain(|b| b.at < end);
        let from = self.strong.partition_point(|b| b.0 < start - EPSILON);
        let to = self.strong.partition_point(|b| b.0 < end - EPSILON);
        let beats = self.strong.get(from..to).unwrap_or_default();
        let clashes = rules::clashes_at(beats, &performance, self.instrument, self.timeline);
        Faults { breaches, clashes }
    }

    /// Whether what is carried around the `changed` moves still rings; and, when `comfortably`, whether their strokes
    /// arrive in time, follow one another and join what is around them.
    fn joined(&self, moves: &[Arc<Move>], changed: Range<usize>, comfortably: bool) -> bool {
        let from = changed.start.saturating_sub(1);
        let around = moves.get(from..(changed.end + 1).min(moves.len())).unwrap_or_default();
        let inside = moves.get(changed).unwrap_or_default();
        let strokes: Vec<Stroke> = around.iter().flat_map(|m| m.timed()).collect();
        let fits = |s: &Stroke| !comfortably || self.reach.arrival_fits(s);
        inside.iter().all(|m| m.strokes.iter().all(fits))
            && (from > 0 || strokes.first().is_none_or(|s| s.arrival.plucks()))
            && strokes.windows(2).all(|pair| match pair {
                [a, b] => rings_into(a, b) && (!comfortably || self.follows(a, b)),
                _ => true,
            })
    }

    fn follows(&self, before: &Stroke, next: &Stroke) -> bool {
        let needed: Stance = match next.arrival {
            Arrival::Carried { .. } => next.grip.place.stance,
            _ => ready_stance(next),
        };
        let change = self.reach.stance_change(before.grip.place.stance, needed);
        self.reach.joins(before, next, change)
    }
}

/// Whether a carried stroke finds its strings still ringing.
fn rings_into(before: &Stroke, next: &Stroke) -> bool {
    let carried = !next.arrival.plucks();
    let after = next.at + next.arrival.settles_after() <= next.until + EPSILON;
    !carried || after && before.grip.strings == next.grip.strings && before.until >= next.at - EPSILON
}
