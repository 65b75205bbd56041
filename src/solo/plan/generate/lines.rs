//! Lines along the scale: pairs in thirds and sixths, and single notes.

use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::plan::palette::HIGHEST_FRET;
use crate::solo::plan::slant::Slanted;
use crate::solo::stroke::{Arrival, Attack, Grip};
use crate::steel::{Control, Instrument, Place, Stance, StringNumber, StringSet, Travel};
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
pub(super) struct Point {
    pub(super) sketch: Sketch,
    /// How far its notes lie apart, in semitones.
    pub(super) width: i16,
}

impl Point {
    fn fret(&self) -> u8 {
        self.sketch.grip.place.fret
    }

    fn stance(&self) -> Stance {
        self.sketch.grip.place.stance
    }
}

/// A tone outside the chord that a motif asks for, on any string.
pub(super) fn sung(bench: &Bench<'_>) -> Vec<Candidate> {
    let [onset] = bench.onsets() else { return Vec::new() };
    let Some(tone) = onset.tone else { return Vec::new() };
    let strings = bench.reach.instrument().string_numbers();
    let points = strings.flat_map(|s| singles(bench, s));
    let wanted = points.filter(|p| p.sketch.top.class() == tone && !p.sketch.harmonic);
    wanted
        .filter_map(|p| bench.build(Kind::Strike, &[p.sketch], None))
        .collect()
}

/// Walks in thirds or sixths on one pair of strings; and those of them that pairs of pedals lead.
pub(super) fn walks(bench: &Bench<'_>) -> [Vec<Candidate>; 2] {
    let mut found = [Vec::new(), Vec::new()];
    let (plain, led) = (!bench.never(Kind::Walk), !bench.never(Kind::PedalWalk));
    if bench.onsets().len() < 2 || !(plain || led) {
        return found;
    }
    let [walks, led_walks] = &mut found;
    let instrument = bench.reach.instrument();
    let strings: Vec<StringNumber> = instrument.string_numbers().collect();
    for (i, upper) in strings.iter().enumerate() {
        for lower in strings.iter().skip(i + 1).take(usize::from(WIDEST_PAIR)) {
            let mut points = pairs(bench, *upper, *lower);
            if plain {
                walks.extend(lines(bench, Kind::Walk, &points));
            }
            let on_two = |s: Stance| is_pedal_pair(instrument, s);
            points.retain(|p| p.stance().is_open() || on_two(p.stance()));
            if led && points.iter().any(|p| on_two(p.stance())) {
                let two = |c: &Candidate| c.action.strokes.iter().any(|s| on_two(s.grip.place.stance));
                led_walks.extend(lines(bench, Kind::PedalWalk, &points).into_iter().filter(two));
            }
        }
    }
    found
}

/// Whether a stance is two neighbouring pedals and nothing else, both down.
pub(super) fn is_pedal_pair(instrument: &Instrument, stance: Stance) -> bool {
    let pedal = |id| match instrument.change(id)?.control {
        Control::Pedal(number) if stance.travel(id) == Travel::DOWN => Some(number),
        _ => None,
    };
    let pedals: Vec<Option<u8>> = stance.pressed().map(pedal).collect();
    matches!(pedals.as_slice(), [Some(a), Some(b)] if a.abs_diff(*b) == 1)
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
                    place: Place::straight(fret, *stance),
                    strings,
                },
                top,
                arrival: Arrival::Struck,
                cost: bench.notes.effort(index),
                harmonic: notes.iter().all(|n| bench.in_chord(*n)),
                attack: Attack::Plain,
            };
            let width = top.above(*low).0;
            points.push(Point { sketch, width });
        }
    }
    if strings.len() == 2 {
        points.extend(slanted(bench, strings, &window, &keep));
    }
    let key = |p: &Point| (p.sketch.top, p.fret());
    points.sort_by(|a, b| key(a).cmp(&key(b)).then(a.sketch.cost.total_cmp(&b.sketch.cost)));
    points.dedup_by_key(|p| key(p));
    points
}

/// The same under a slanted bar: how an instrument without changes plays thirds and sixths in one key.
fn slanted<'b>(
    bench: &'b Bench<'_>,
    strings: StringSet,
    window: &'b std::ops::RangeInclusive<u8>,
    keep: &'b impl Fn(&[NoteNumber]) -> bool,
) -> impl Iterator<Item = Point> + 'b {
    let over_both = move |s: &&Slanted| s.sets.first() == Some(&strings) && window.contains(&s.place.fret);
    bench.notes.slanted.iter().filter(over_both).filter_map(move |slanted| {
        let place = slanted.place;
        let notes: Option<Vec<NoteNumber>> = strings.iter().map(|s| bench.notes.note(s, place)).collect();
        let notes = notes.filter(|all| all.iter().all(|n| bench.in_scale(*n)) && keep(all))?;
        let (top, low) = (notes.iter().max().copied()?, notes.iter().min()?);
        let sketch = Sketch {
            grip: Grip { place, strings },
            top,
            arrival: Arrival::Struck,
            cost: slanted.cost,
            harmonic: notes.iter().all(|n| bench.in_chord(*n)),
            attack: Attack::Plain,
        };
        let width = top.above(*low).0;
        Some(Point { sketch, width })
    })
}

/// Lines that go up or down the scale through `points`, one note at each onset.
pub(super) fn lines(bench: &Bench<'_>, kind: Kind, points: &[Point]) -> Vec<Candidate> {
    let window = bench.window(WINDOW);
    // Open strings lie nowhere on the neck, so they are never too far off.
    let near = |p: &&Point| p.fret() == 0 || window.contains(&p.fret());
    let starts = points.iter().filter(near).filter(|p| p.sketch.harmonic);
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

/// The same strings a fret up or down, feet and knees still.
pub(super) fn next_half_step(bench: &Bench<'_>, from: &Sketch, way: i16) -> Option<Sketch> {
    let place = from.grip.place;
    let fret = u8::try_from(i16::from(place.fret) + way).ok();
    let fret = fret.filter(|f| (1..=HIGHEST_FRET).contains(f))?;
    let place = Place { fret, ..place };
    let notes: Option<Vec<NoteNumber>> = from.grip.strings.iter().map(|s| bench.notes.note(s, place)).collect();
    let notes = notes?;
    Some(Sketch {
        grip: Grip { place, ..from.grip },
        top: notes.iter().max().copied()?,
        harmonic: notes.iter().all(|n| bench.in_chord(*n)),
        ..from.clone()
    })
}
