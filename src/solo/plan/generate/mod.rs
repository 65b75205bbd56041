//! One generator a family of moves; together they propose everything that could fill a slot.
//!
//! *Invariant:* generators propose, [`super::candidate::Bench::build`] decides.

mod across;
mod attacks;
mod chords;
mod lines;
mod pedals;
mod slants;
mod stairs;

pub(super) use pedals::neighbours;

use super::candidate::{Bench, Candidate, Sketch};
use super::palette::Voicing;
use crate::solo::moves::Kind;
use crate::solo::request::{Ending, Entry, Request};
use crate::solo::stroke::Grip;

/// Proposals kept of each kind, the cheapest first.
const KEPT_OF_A_KIND: usize = 28;

/// Everything that could fill the slot. `from` are the grips that may be ringing when it begins.
pub(super) fn candidates(bench: &Bench<'_>, from: &[Grip]) -> Vec<Candidate> {
    let mut all = Vec::new();
    all.extend(cheapest(chords::held(bench)));
    all.extend(cheapest(chords::slid(bench)));
    all.extend(cheapest(chords::rolled(bench)));
    all.extend(cheapest(chords::blocked(bench)));
    all.extend(cheapest(chords::double_stops(bench)));
    all.extend(cheapest(pedals::squeezed(bench)));
    all.extend(cheapest(pedals::leaned(bench)));
    all.extend(cheapest(pedals::carried(bench, from)));
    all.extend(cheapest(stairs::climbs(bench)));
    for walks in lines::walks(bench) {
        all.extend(cheapest(walks));
    }
    all.extend(cheapest(lines::runs(bench)));
    for make in ASKED {
        all.extend(cheapest(make(bench)));
    }
    if bench.slot.last {
        all.extend(cheapest(chords::unisons(bench)));
    }
    all
}

/// The generators that need nothing but the bench.
const ASKED: [fn(&Bench<'_>) -> Vec<Candidate>; 12] = [
    lines::sung,
    attacks::graces,
    attacks::rakes,
    attacks::harmonics,
    attacks::swells,
    attacks::fall_offs,
    pedals::pre_bends,
    pedals::rolls,
    across::chromatic,
    across::runs,
    across::calls,
    slants::turned,
];

/// From `start` along a row of voicings (by rising top note), up and down, `count` of them each way where there are.
fn both_ways(row: &[&Voicing], start: &Voicing, count: usize) -> [Vec<Sketch>; 2] {
    let Some(index) = row.iter().position(|v| v.top() == start.top()) else {
        return [Vec::new(), Vec::new()];
    };
    let up = row.iter().skip(index).take(count);
    let down = row.iter().take(index + 1).rev().take(count);
    [
        up.map(|v| Sketch::of(v)).collect(),
        down.map(|v| Sketch::of(v)).collect(),
    ]
}

/// The cheapest few, the cheapest first; their places are sorted, for the candidates themselves are large.
fn cheapest(candidates: Vec<Candidate>) -> impl Iterator<Item = Candidate> {
    let mut order: Vec<(f64, usize)> = candidates.iter().enumerate().map(|(i, c)| (c.cost, i)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    order.truncate(KEPT_OF_A_KIND);
    let mut candidates: Vec<Option<Candidate>> = candidates.into_iter().map(Some).collect();
    order
        .into_iter()
        .filter_map(move |(_, i)| candidates.get_mut(i)?.take())
}

/// Whether a kind answers the wish for the entry (first slot) and the ending (last slot).
pub(super) fn answers(request: &Request, kind: Kind, first: bool, last: bool) -> bool {
    let enters = match request.entry {
        _ if !first => true,
        Entry::Any => true,
        Entry::Slide => matches!(kind, Kind::SlideIn | Kind::Grace),
        Entry::Struck => matches!(kind, Kind::Strike | Kind::DoubleStop | Kind::Blocked),
        Entry::Squeeze => matches!(kind, Kind::Squeeze | Kind::PreBend),
        Entry::Run => matches!(
            kind,
            Kind::Run | Kind::Walk | Kind::PedalWalk | Kind::Chromatic | Kind::DoubleRun | Kind::OpenRun
        ),
    };
    let ends = match request.ending {
        _ if !last => !matches!(kind, Kind::RingOut | Kind::Unison),
        Ending::Any => matches!(kind, Kind::RingOut | Kind::Unison | Kind::FallOff),
        Ending::FallOff => kind == Kind::FallOff,
        Ending::RingOut => kind == Kind::RingOut,
        Ending::Unison => kind == Kind::Unison,
        Ending::Stop => matches!(kind, Kind::Strike | Kind::SlideIn),
    };
    enters && ends
}
