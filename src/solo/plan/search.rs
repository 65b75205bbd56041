//! The cheapest playable chain of moves: dynamic programming over the slots, one candidate from each.
//!
//! *Invariant:* exact for its costs (no beam): a pair of neighbouring candidates is passed over only when what leads to
//! it already costs as much as the cheapest way found. That holds because going from one to the next never costs less
//! than nothing.

use super::candidate::{Candidate, contour_cost};
use super::palette::Notes;
use super::slot::{Slot, Step};
use super::weights;
use crate::solo::feel::CellRole;
use crate::solo::moves::Kind;
use crate::solo::reach::{Reach, ready_stance};

/// The largest step of a scale, in semitones.
const STEP: i16 = 2;

/// One slot's candidates with the cheapest way to each.
struct Stage {
    candidates: Vec<Candidate>,
    /// Whether a breath follows, which nothing rings through.
    breath: bool,
    /// Its chord.
    span: usize,
    /// Cost of the cheapest chain that ends in the candidate, and its predecessor in the stage before.
    best: Vec<Option<(f64, Option<usize>)>>,
    /// The candidates that can be reached, cheapest first: each with the cost of the cheapest chain to it.
    reached: Vec<(f64, usize)>,
}

/// A search in progress: stages are added in order, then the cheapest chain is read off.
pub(super) struct Search<'a> {
    reach: Reach<'a>,
    notes: &'a Notes,
    stages: Vec<Stage>,
}

impl<'a> Search<'a> {
    pub(super) fn new(reach: Reach<'a>, notes: &'a Notes) -> Self {
        Self {
            reach,
            notes,
            stages: Vec::new(),
        }
    }

    /// The candidates of the last stage that can be reached, cheapest first.
    pub(super) fn reachable(&self) -> Vec<&Candidate> {
        let Some(stage) = self.stages.last() else {
            return Vec::new();
        };
        let reached = stage.reached.iter();
        reached.filter_map(|(_, i)| stage.candidates.get(*i)).collect()
    }

    /// Adds the next slot's candidates. Says `false`, and changes nothing, when none of them can be reached.
    pub(super) fn add(&mut self, slot: &Slot, candidates: Vec<Candidate>) -> bool {
        let step = slot.onsets.first().map_or(0, |o| o.step);
        // Nothing rings on through a breath, or past the end of its chord.
        let silent = |before: &Stage| before.breath || before.span != slot.span && !slot.arrives;
        let silent = self.stages.last().is_some_and(silent);
        let best: Vec<_> = candidates
            .iter()
            .map(|c| self.cheapest_way_to(c, step, silent))
            .collect();
        let costs = best.iter().enumerate();
        let mut reached: Vec<_> = costs.filter_map(|(i, b)| b.map(|(cost, _)| (cost, i))).collect();
        reached.sort_by(|a, b| a.0.total_cmp(&b.0));
        let any = !reached.is_empty();
        if any {
            let breath = slot.role == CellRole::Breath;
            self.stages.push(Stage {
                candidates,
                breath,
                span: slot.span,
                best,
                reached,
            });
        }
        any
    }

    fn cheapest_way_to(&self, candidate: &Candidate, step: Step, silent: bool) -> Option<(f64, Option<usize>)> {
        let Some(before) = self.stages.last() else {
            return candidate.carried_from.is_none().then_some((candidate.cost, None));
        };
        let mut cheapest: Option<(f64, Option<usize>)> = None;
        let dearer = |cost: f64, than: Option<(f64, Option<usize>)>| than.is_some_and(|(best, _)| cost >= best);
        for (cost, i) in &before.reached {
            let Some(from) = before.candidates.get(*i) else {
                continue;
            };
            let least = cost + candidate.cost;
            if dearer(least, cheapest) {
                break;
            }
            let whole = least + edge(&self.reach, from, candidate, step);
            if !dearer(whole, cheapest) && self.can_follow(silent, from, candidate) {
                cheapest = Some((whole, Some(*i)));
            }
        }
        cheapest
    }

    /// Whether a body can go from one candidate to the next.
    fn can_follow(&self, silent: bool, from: &Candidate, to: &Candidate) -> bool {
        if let Some(grip) = to.carried_from
            && (grip != from.last.grip || !can_ring_into(silent, from, to))
        {
            return false;
        }
        let mut last = from.last;
        if to.carried_from.is_some() {
            last.until = to.first.until;
        }
        let change = self.notes.change_time_at(from.stance_out, to.stance_in);
        self.reach.joins(&last, &to.first, change)
    }

    /// The cheapest chain, in order of time.
    pub(super) fn finish(self) -> Vec<Candidate> {
        let cheapest = self.stages.last().and_then(|stage| stage.reached.first());
        let mut index = cheapest.map(|(_, i)| *i);
        let mut chain = Vec::new();
        for stage in self.stages.into_iter().rev() {
            let Some(at) = index else { break };
            let before = stage.best.get(at).copied().flatten().and_then(|b| b.1);
            if let Some(candidate) = stage.candidates.into_iter().nth(at) {
                chain.push(candidate);
            }
            index = before;
        }
        chain.reverse();
        ring_on(&mut chain);
        chain
    }
}

/// What it costs to go from one candidate to the next; never less than nothing.
fn edge(reach: &Reach<'_>, from: &Candidate, to: &Candidate, step: Step) -> f64 {
    let (lie, stance) = (reach.ready(&to.first), ready_stance(&to.first));
    let place = from.last.grip.place;
    let leap = f64::from((to.first_top.above(from.last_top).0.abs() - 7).max(0)) * weights::LEAP;
    let still = if to.first_top == from.last_top {
        weights::STANDSTILL
    } else {
        0.0
    };
    let same_grip = if to.first.grip == from.last.grip {
        weights::SAME_GRIP
    } else {
        0.0
    };
    let same_kind = if to.action.kind == from.action.kind {
        weights::SAME_KIND
    } else {
        0.0
    };
    let jump = (lie.far.0 - reach.lie(place).far.0).abs() * weights::JUMP;
    #[allow(clippy::cast_precision_loss)]
    let footwork = stance.changes_to(place.stance) as f64 * weights::FOOTWORK;
    let shape = contour_cost(step, from.last_top, to.first_top);
    let loose = !from.ends_harmonic && to.first_top.above(from.last_top).0.abs() > STEP;
    let unresolved = if loose { weights::UNRESOLVED } else { 0.0 };
    leap + still + same_grip + same_kind + jump + footwork + shape + unresolved
}

/// Whether the strings of a move ring when the next one is to carry them on, or can be left ringing until then.
fn can_ring_into(silent: bool, from: &Candidate, to: &Candidate) -> bool {
    let gap = to.first.at - from.last.until;
    let held = from.ends_harmonic && !silent && from.action.kind != Kind::Blocked;
    if from.action.kind == Kind::FallOff {
        return false;
    }
    gap <= weights::RINGING_GAP || held && gap <= weights::RINGS_ON
}

/// Leaves ringing what is carried on.
fn ring_on(chain: &mut [Candidate]) {
    for i in 1..chain.len() {
        let carried = chain.get(i).filter(|c| c.carried_from.is_some()).map(|c| c.first.at);
        let (Some(at), Some(from)) = (carried, chain.get_mut(i - 1)) else {
            continue;
        };
        let start = from.action.at;
        if let Some(last) = from.action.strokes.last_mut() {
            last.until = last.until.max(at - start);
        }
    }
}
