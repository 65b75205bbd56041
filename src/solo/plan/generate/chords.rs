//! Chords held, slid into, rolled, blocked; pairs at one fret; the repeated unison.

use super::both_ways;
use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::plan::palette::{HIGHEST_FRET, Voicing};
use crate::solo::stroke::{Arrival, Attack, Grip};
use crate::steel::{Fret, StringSet};

/// Voicings tried for a chord.
const TRIED: usize = 36;

/// Struck and held; at the end of the solo, left to ring out.
pub(super) fn held(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() != 1 {
        return Vec::new();
    }
    let kinds: &[Kind] = if bench.slot.last {
        &[Kind::Strike, Kind::RingOut]
    } else {
        &[Kind::Strike]
    };
    bench
        .nearest(TRIED, |_| true)
        .flat_map(|v| kinds.iter().filter_map(|k| bench.build(*k, &[Sketch::of(v)], None)))
        .collect()
}

/// A slide into the first chord of the slot, from below or (seldom) above; later onsets strike it again.
pub(super) fn slid(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if count > 2 {
        return Vec::new();
    }
    let [near, far] = bench.feel.hand.slide_frets;
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.place.fret > 0) {
        let to = i16::from(voicing.grip.place.fret);
        for frets in near..=far {
            let time = bench.feel.slide_time(frets, bench.reach.tempo());
            for from in [to - i16::from(frets), to + i16::from(frets)] {
                if from < 1 || from > i16::from(HIGHEST_FRET) || (from > to && frets > 2) {
                    continue;
                }
                let mut sketches = vec![Sketch::of(voicing); count];
                if let Some(first) = sketches.first_mut() {
                    first.arrival = Arrival::Slid {
                        from: Fret(f64::from(from)),
                        time,
                    };
                    // From above is the rarer way: the hand hides the frets it comes from.
                    first.cost += if from > to { 0.5 } else { 0.0 };
                }
                found.extend(bench.build(Kind::SlideIn, &sketches, None));
            }
        }
    }
    found
}

/// The strings of a chord one by one, ringing together.
pub(super) fn rolled(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(2..=4).contains(&count) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.strings.len() == count.min(3)) {
        let upward = one_by_one(bench, voicing);
        let downward: Vec<Sketch> = upward.iter().rev().cloned().collect();
        for mut order in [upward, downward] {
            if count == 4 {
                order.extend(order.get(1).cloned());
            }
            found.extend(bench.build(Kind::Roll, &order, None));
        }
    }
    found
}

/// The strings of a voicing as single strokes, from the lowest note up; they share its cost.
fn one_by_one(bench: &Bench<'_>, voicing: &Voicing) -> Vec<Sketch> {
    let mut single: Vec<Sketch> = voicing
        .grip
        .strings
        .iter()
        .filter_map(|string| {
            let top = bench.notes.note(string, voicing.grip.place)?;
            let grip = Grip {
                place: voicing.grip.place,
                strings: StringSet::EMPTY.with(string),
            };
            Some(Sketch {
                grip,
                top,
                arrival: Arrival::Struck,
                cost: voicing.cost,
                harmonic: true,
                attack: Attack::Plain,
            })
        })
        .collect();
    single.sort_by_key(|s| s.top);
    single
}

/// The same chord struck and blocked at every onset.
pub(super) fn blocked(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if count < 2 {
        return Vec::new();
    }
    bench
        .nearest(TRIED, |v| v.grip.strings.len() >= 2)
        .filter_map(|v| bench.build(Kind::Blocked, &vec![Sketch::of(v); count], None))
        .collect()
}

/// Pairs of chord tones at one fret, each the next above or below.
pub(super) fn double_stops(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(2..=4).contains(&count) {
        return Vec::new();
    }
    let pair = |v: &Voicing| v.grip.strings.len() == 2 && v.cost < 1.0 && v.grip.place.slant.is_none();
    let mut found = Vec::new();
    for start in bench.nearest(TRIED / 2, pair) {
        let fret = start.grip.place.fret;
        let mut here: Vec<&Voicing> = bench
            .voicings
            .iter()
            .copied()
            .filter(|v| pair(v) && v.grip.place.fret == fret)
            .collect();
        here.sort_by(|a, b| a.top().cmp(&b.top()).then(a.cost.total_cmp(&b.cost)));
        here.dedup_by_key(|v| v.top());
        let both = both_ways(&here, start, count);
        found.extend(both.iter().filter_map(|s| bench.build(Kind::DoubleStop, s, None)));
    }
    found
}

/// One note on two strings at every onset.
pub(super) fn unisons(bench: &Bench<'_>) -> Vec<Candidate> {
    let same = |v: &Voicing| v.notes.len() == 2 && v.notes.first() == v.notes.last();
    let count = bench.onsets().len();
    bench
        .nearest(TRIED, same)
        .filter_map(|v| {
            // Two equal notes cost nothing extra when that is what is wanted; the root ends best.
            let home = if v.top().class() == bench.root { 0.0 } else { 0.6 };
            let sketch = Sketch {
                cost: home,
                ..Sketch::of(v)
            };
            bench.build(Kind::Unison, &vec![sketch; count], None)
        })
        .collect()
}
