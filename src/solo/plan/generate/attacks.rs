//! One chord or note, begun or ended in a way of its own: grace slide, rake, harmonic, swell, fall-off.

use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Part, Sketch};
use crate::solo::plan::palette::HIGHEST_FRET;
use crate::solo::stroke::{Arrival, Attack, Stroke};
use crate::steel::Fret;
use crate::theory::{Beats, Seconds, Semitones};

/// Voicings tried.
const TRIED: usize = 20;
/// How long a grace slide takes. Common practice, no source.
const GRACE: Seconds = Seconds(0.075);
/// A swell needs as long to open, and to be heard then.
const SWELL_FROM: Seconds = Seconds(1.0);
/// A note that falls off is held as long before it does.
const HELD: Seconds = Seconds(0.35);
/// How far it falls, in frets, and how many times longer than a slide it takes. Common practice, no source.
const FALLS: [u8; 2] = [3, 5];
const FALL_SLOWLY: f64 = 1.5;
/// How far above the bar a string is touched, and how much higher it then sounds.
///
/// Source: the partials of an ideal string, f_n = n f_1: the octave, and the octave and a fifth.
const TOUCHES: [(u8, Semitones); 2] = [(12, Semitones(12)), (7, Semitones(19))];
/// What touching elsewhere than at the octave costs.
const HARD_TOUCH: f64 = 0.4;

/// From a fret below in a flash.
pub(super) fn graces(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if count > 2 || bench.never(Kind::Grace) {
        return Vec::new();
    }
    let time = GRACE.at(bench.reach.tempo());
    bench
        .nearest(TRIED, |v| v.grip.place.fret > 1 && v.grip.strings.len() < 3)
        .filter_map(|voicing| {
            let mut sketches = vec![Sketch::of(voicing); count];
            let first = sketches.first_mut()?;
            first.arrival = Arrival::Slid {
                from: Fret(first.grip.place.bar().0 - 1.0),
                time,
            };
            bench.build(Kind::Grace, &sketches, None)
        })
        .collect()
}

/// The thumb over three strings side by side.
pub(super) fn rakes(bench: &Bench<'_>) -> Vec<Candidate> {
    alone(bench, Kind::Rake, |sketch| {
        let strings = sketch.grip.strings;
        (strings.len() > 2 && strings.is_unbroken()).then(|| sketch.begun(Attack::Raked))
    })
}

/// One string touched above the bar; its overtone must be the chord's too.
pub(super) fn harmonics(bench: &Bench<'_>) -> Vec<Candidate> {
    let touched = TOUCHES.into_iter().flat_map(|(above, higher)| {
        alone(bench, Kind::Harmonic, move |sketch| {
            let top = sketch.top.checked_add(higher)?;
            let on_neck = sketch.grip.place.fret + above <= bench.reach.instrument().frets;
            let fits = on_neck && sketch.grip.strings.len() == 1 && bench.in_chord(top);
            let dearer = if above == 12 { 0.0 } else { HARD_TOUCH };
            fits.then(|| Sketch {
                top,
                cost: sketch.cost + dearer,
                ..sketch.begun(Attack::Harmonic(above))
            })
        })
    });
    touched.collect()
}

/// Plucked unheard and opened.
pub(super) fn swells(bench: &Bench<'_>) -> Vec<Candidate> {
    let [onset] = bench.onsets() else { return Vec::new() };
    if (onset.until - onset.at).at(bench.reach.tempo()).0 < SWELL_FROM.0 {
        return Vec::new();
    }
    alone(bench, Kind::Swell, |sketch| Some(sketch.begun(Attack::Swelled)))
}

/// One held stroke, made of each voicing by `make`.
fn alone(bench: &Bench<'_>, kind: Kind, make: impl Fn(Sketch) -> Option<Sketch>) -> Vec<Candidate> {
    if bench.onsets().len() != 1 || bench.never(kind) {
        return Vec::new();
    }
    let made = bench.voicings.iter().filter_map(|v| make(Sketch::of(v)));
    made.take(TRIED)
        .filter_map(|sketch| bench.build(kind, &[sketch], None))
        .collect()
}

/// Held, then slid away down the neck.
pub(super) fn fall_offs(bench: &Bench<'_>) -> Vec<Candidate> {
    if bench.onsets().len() != 1 || bench.never(Kind::FallOff) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| (5..=HIGHEST_FRET).contains(&v.grip.place.fret)) {
        for frets in FALLS {
            let time = bench.feel.slide_time(frets, bench.reach.tempo()).scaled(FALL_SLOWLY);
            found.extend(bench.build_with(Kind::FallOff, &[Sketch::of(voicing)], None, |parts| {
                falls(bench, parts, frets, time)
            }));
        }
    }
    found
}

/// Ends the last stroke by a slide down over `frets`.
fn falls(bench: &Bench<'_>, parts: &mut Vec<Part>, frets: u8, time: Beats) -> Option<()> {
    let held = parts.last_mut()?;
    let end = held.stroke.until;
    let at = end - time;
    let heard = (at - held.stroke.at).at(bench.reach.tempo()).0;
    let fret = held.stroke.grip.place.fret.checked_sub(frets).filter(|f| *f > 0)?;
    if heard < HELD.0 {
        return None;
    }
    held.stroke.until = at;
    held.stroke.swell = false;
    let mut fallen = Stroke {
        at,
        until: end,
        wave: None,
        ..held.stroke
    };
    fallen = fallen.arriving(Arrival::Carried { time });
    fallen.grip.place.fret = fret;
    parts.push(Part {
        stroke: fallen,
        harmonic: false,
        rests: false,
    });
    Some(())
}
