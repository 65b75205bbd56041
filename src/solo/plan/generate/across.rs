//! Lines that cross the strings or leave the scale: half steps, runs of pairs, open strings, a call and its answer.

use super::lines::{Point, lines, next_half_step};
use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::plan::palette::Voicing;
use crate::solo::stroke::{Arrival, Attack, Grip};
use crate::steel::{Place, StringNumber, StringSet};
use crate::theory::NoteNumber;

/// Targets and starts tried.
const TRIED: usize = 16;
/// A line across the neck keeps within this many frets of where it is wished for.
const NEAR: u8 = 1;
/// Open strings are reached for where the arc is no higher than this.
const OPEN_UP_TO: f64 = 7.0;

/// Half steps up or down to a tone of the chord, feet and knees still.
pub(super) fn chromatic(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(3..=5).contains(&count) || bench.never(Kind::Chromatic) {
        return Vec::new();
    }
    let targets = bench.nearest(TRIED, |v| v.grip.strings.len() < 3 && v.grip.place.fret > 0);
    targets
        .flat_map(|target| [1, -1].map(|way| half_steps(bench, target, count, way)))
        .flatten()
        .filter_map(|sketches| bench.build(Kind::Chromatic, &sketches, None))
        .collect()
}

fn half_steps(bench: &Bench<'_>, target: &Voicing, count: usize, way: i16) -> Option<Vec<Sketch>> {
    let mut sketches = vec![Sketch::of(target)];
    while sketches.len() < count {
        let next = next_half_step(bench, sketches.last()?, -way)?;
        sketches.push(next);
    }
    sketches.reverse();
    Some(sketches)
}

/// Runs of pairs across the strings, and of open strings.
pub(super) fn runs(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() < 3 {
        return Vec::new();
    }
    let strings: Vec<StringNumber> = bench.reach.instrument().string_numbers().collect();
    let one = |s: &StringNumber| StringSet::EMPTY.with(*s);
    let mut found = Vec::new();
    if !bench.never(Kind::DoubleRun) {
        let gaps = [1, 2].into_iter();
        let pairs = gaps.flat_map(|gap| strings.iter().zip(strings.iter().skip(gap)));
        let sets: Vec<StringSet> = pairs.map(|(a, b)| one(a).or(one(b))).collect();
        for fret in bench.window(NEAR) {
            found.extend(lines(bench, Kind::DoubleRun, &across(bench, fret, &sets)));
        }
    }
    if bench.slot.fret <= OPEN_UP_TO && !bench.never(Kind::OpenRun) {
        let sets: Vec<StringSet> = strings.iter().map(one).collect();
        found.extend(lines(bench, Kind::OpenRun, &across(bench, 0, &sets)));
    }
    found
}

/// Where `sets` sound notes of the scale at one fret, two of them a third or a sixth; each top note in its easiest way.
fn across(bench: &Bench<'_>, fret: u8, sets: &[StringSet]) -> Vec<Point> {
    let mut points = Vec::new();
    for (index, stance) in bench.notes.stances.iter().enumerate() {
        if stance.pressed().count() > 2 {
            continue;
        }
        for strings in sets.iter().filter(|s| bench.notes.all_used(index, **s)) {
            let fits = |s: StringNumber| bench.notes.at(index, s, fret).filter(|n| bench.in_scale(*n));
            let notes: Option<Vec<NoteNumber>> = strings.iter().map(fits).collect();
            let Some(notes) = notes else { continue };
            let (Some(top), Some(low)) = (notes.iter().max(), notes.iter().min()) else {
                continue;
            };
            let width = top.above(*low).0;
            if notes.len() == 2 && !matches!(width, 3 | 4 | 8 | 9) {
                continue;
            }
            let place = Place::straight(fret, *stance);
            let sketch = Sketch {
                grip: Grip {
                    place,
                    strings: *strings,
                },
                top: *top,
                arrival: Arrival::Struck,
                cost: bench.notes.effort(index),
                harmonic: notes.iter().all(|n| bench.in_chord(*n)),
                attack: Attack::Plain,
            };
            points.push(Point { sketch, width });
        }
    }
    points.sort_by(|a, b| {
        let by_cost = a.sketch.cost.total_cmp(&b.sketch.cost);
        a.sketch.top.cmp(&b.sketch.top).then(by_cost)
    });
    points.dedup_by_key(|p| p.sketch.top);
    points
}

/// Two tones of the chord, then two lower ones in the same shape, all at one fret.
pub(super) fn calls(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() != 4 || bench.never(Kind::CallAnswer) {
        return Vec::new();
    }
    let size = usize::from(bench.feel.hand.strings).clamp(1, 2);
    let mut found = Vec::new();
    let straight = |v: &Voicing| v.grip.strings.len() == size && v.grip.place.slant.is_none();
    for start in bench.nearest(TRIED, |v| straight(v) && v.grip.place.fret > 0) {
        let fret = start.grip.place.fret;
        let alike = |v: &&Voicing| straight(v) && v.grip.place.fret == fret && v.cost < start.cost + 1.0;
        let mut row: Vec<&Voicing> = bench.voicings.iter().copied().filter(alike).collect();
        row.sort_by(|a, b| a.top().cmp(&b.top()).then(a.cost.total_cmp(&b.cost)));
        row.dedup_by_key(|v| v.top());
        let Some(index) = row.iter().position(|v| v.top() == start.top()) else {
            continue;
        };
        // The word goes from the start to its neighbour above; the answer lies wholly below it.
        for below in [2, 3].into_iter().filter_map(|by| index.checked_sub(by)) {
            let order = [index, index + 1, below, below + 1];
            for order in [order, [order[1], order[0], order[3], order[2]]] {
                let sketches: Option<Vec<Sketch>> = order.iter().map(|i| row.get(*i).map(|v| Sketch::of(v))).collect();
                found.extend(sketches.and_then(|s| bench.build(Kind::CallAnswer, &s, None)));
            }
        }
    }
    found
}
