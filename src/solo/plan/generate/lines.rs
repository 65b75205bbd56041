//! Lines along the scale: pairs in thirds and sixths, and single notes.

use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::stroke::{Arrival, Grip};
use crate::steel::{Place, StringNumber, StringSet};
use crate::theory::NoteNumber;

/// How far from the arc a line may start, in frets.
const WINDOW: u8 = 4;
/// How far the bar goes for one step of a line, in frets.
const LONGEST_STEP: u8 = 5;
/// A pair's strings lie at most this many apart.
const WIDEST_PAIR: u8 = 3;

/// What it costs a walk to go from thirds to sixths or back, in frets' worth of effort: the lower voice then leaps.
const OTHER_WIDTH: f64 = 0.8;

/// A point a line can go through.
struct Point {
    sketch: Sketch,
    /// How far its notes lie apart, in semitones.
    width: i16,
}

impl Point {
    fn fret(&self) -> u8 {
        self.sketch.grip.place.fret
    }
}

/// Walks in thirds or sixths on one pair of strings.
pub(super) fn walks(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() < 2 || bench.feel.weight(Kind::Walk) <= 0.0 {
        return Vec::new();
    }
    let strings: Vec<StringNumber> = bench.reach.instrument().string_numbers().collect();
    let mut found = Vec::new();
    for (i, upper) in strings.iter().enumerate() {
        for lower in strings.iter().skip(i + 1).take(usize::from(WIDEST_PAIR)) {
            let points = pairs(bench, *upper, *lower);
            found.extend(lines(bench, Kind::Walk, &points));
        }
    }
    found
}

/// Runs on one string.
pub(super) fn runs(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() < 2 || bench.feel.weight(Kind::Run) <= 0.0 {
        return Vec::new();
    }
    let strings = bench.reach.instrument().string_numbers();
    strings
        .flat_map(|s| lines(bench, Kind::Run, &singles(bench, s)))
        .collect()
}

/// Where `upper` and `lower` sound a third or a sixth of the scale.
fn pairs(bench: &Bench<'_>, upper: StringNumber, lower: StringNumber) -> Vec<Point> {
    points(bench, StringSet::EMPTY.with(upper).with(lower), |notes| match notes {
        [a, b] => matches!(a.above(*b).0.abs(), 3 | 4 | 8 | 9),
        _ => false,
    })
}

fn singles(bench: &Bench<'_>, string: StringNumber) -> Vec<Point> {
    points(bench, StringSet::EMPTY.with(string), |_| true)
}

/// Every place where `strings` sound notes of the scale that `keep` keeps, each top note and fret in its easiest stance.
fn points(bench: &Bench<'_>, strings: StringSet, keep: impl Fn(&[NoteNumber]) -> bool) -> Vec<Point> {
    let window = bench.window(WINDOW + LONGEST_STEP);
    let mut points: Vec<Point> = Vec::new();
    for (index, stance) in bench.notes.stances.iter().enumerate() {
        if stance.pressed().count() > 2 || !bench.notes.all_used(index, strings) {
            continue;
        }
        for fret in window.clone() {
            let notes: Vec<NoteNumber> = strings.iter().filter_map(|s| bench.notes.at(index, s, fret)).collect();
            if notes.len() != strings.len() || !notes.iter().all(|n| bench.in_scale(*n)) || !keep(&notes) {
                continue;
            }
            let (Some(top), Some(low)) = (notes.iter().max().copied(), notes.iter().min()) else {
                continue;
            };
            let sketch = Sketch {
                grip: Grip {
                    place: Place { fret, stance: *stance },
                    strings,
                },
                top,
                arrival: Arrival::Struck,
                cost: bench.notes.effort(index),
                harmonic: notes.iter().all(|n| bench.in_chord(*n)),
            };
            let width = top.above(*low).0;
            points.push(Point { sketch, width });
        }
    }
    let key = |p: &Point| (p.sketch.top, p.fret());
    points.sort_by(|a, b| key(a).cmp(&key(b)).then(a.sketch.cost.total_cmp(&b.sketch.cost)));
    points.dedup_by_key(|p| key(p));
    points
}

/// Lines that go up or down the scale through `points`, one note at each onset.
fn lines(bench: &Bench<'_>, kind: Kind, points: &[Point]) -> Vec<Candidate> {
    let near = bench.window(WINDOW);
    let starts = points.iter().filter(|p| near.contains(&p.fret()) && p.sketch.harmonic);
    starts
        .flat_map(|start| [1, -1].map(|direction| line(bench, start, points, direction)))
        .flatten()
        .filter_map(|sketches| bench.build(kind, &sketches, None))
        .collect()
}

fn line(bench: &Bench<'_>, start: &Point, points: &[Point], direction: i16) -> Option<Vec<Sketch>> {
    let mut here = start;
    let mut sketches = vec![start.sketch.clone()];
    while sketches.len() < bench.onsets().len() {
        let next = next_note(bench, here.sketch.top, direction)?;
        let reachable = points
            .iter()
            .filter(|p| p.sketch.top == next && p.fret().abs_diff(here.fret()) <= LONGEST_STEP);
        let effort = |p: &Point| {
            let leaps = here.width.abs_diff(p.width) > 1;
            let turned = if leaps { OTHER_WIDTH } else { 0.0 };
            f64::from(p.fret().abs_diff(here.fret())) * 0.2 + p.sketch.cost + turned
        };
        here = reachable.min_by(|a, b| effort(a).total_cmp(&effort(b)))?;
        sketches.push(here.sketch.clone());
    }
    Some(sketches)
}

/// The next note of the scale above or below.
fn next_note(bench: &Bench<'_>, note: NoteNumber, direction: i16) -> Option<NoteNumber> {
    (1..=4_i16)
        .filter_map(|steps| note.checked_add(crate::theory::Semitones(direction * steps)))
        .find(|n| bench.in_scale(*n))
}
