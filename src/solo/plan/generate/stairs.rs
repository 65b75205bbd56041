//! The same chord in its next inversions along the neck.

use super::both_ways;
use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::plan::palette::Voicing;
use crate::solo::stroke::Arrival;

/// Starts tried.
const TRIED: usize = 24;

/// Climbs (and descents) by inversions on one set of strings, each step struck or slid to.
pub(super) fn climbs(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(2..=4).contains(&count) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for start in bench.nearest(TRIED, |v| v.grip.strings.len() >= 2 && v.grip.place.fret > 0) {
        for steps in both_ways(&stairs(bench, start), start, count) {
            found.extend(bench.build(Kind::Climb, &steps, None));
            found.extend(bench.build(Kind::Climb, &slid(bench, &steps), None));
        }
    }
    found
}

/// The chord's inversions on the start's strings, by rising top note, each in its easiest way.
fn stairs<'a>(bench: &Bench<'a>, start: &'a Voicing) -> Vec<&'a Voicing> {
    let mut all: Vec<&Voicing> = bench
        .voicings
        .iter()
        .copied()
        .filter(|v| v.grip.strings == start.grip.strings && v.grip.place.fret > 0 && v.cost < start.cost + 1.0)
        .collect();
    all.sort_by(|a, b| {
        // The start itself stays in the row.
        let own = |v: &Voicing| v.grip != start.grip;
        a.top()
            .cmp(&b.top())
            .then(own(a).cmp(&own(b)))
            .then(a.cost.total_cmp(&b.cost))
    });
    all.dedup_by_key(|v| v.top());
    all
}

/// The same steps, slid to without a new pluck after the first.
fn slid(bench: &Bench<'_>, steps: &[Sketch]) -> Vec<Sketch> {
    let squeeze = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    let mut last = None;
    steps
        .iter()
        .map(|step| {
            let fret = step.grip.place.fret;
            let arrival = match last.replace(fret) {
                None => Arrival::Struck,
                Some(before) => {
                    let slide = bench.feel.slide_time(fret.abs_diff(before), bench.reach.tempo());
                    Arrival::Carried {
                        time: slide.max(squeeze),
                    }
                }
            };
            step.clone().arriving(arrival)
        })
        .collect()
}
