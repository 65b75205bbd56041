//! The bar turned under ringing strings: from straight into a slant, and back.

use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Sketch};
use crate::solo::plan::palette::Voicing;
use crate::solo::stroke::{Arrival, Attack, Grip};
use crate::steel::Place;
use crate::theory::NoteNumber;
use smallvec::SmallVec;

/// Slants tried.
const TRIED: usize = 24;

/// Straight into a slant or out of one, and there and back where there is room.
pub(super) fn turned(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(2..=3).contains(&count) || bench.notes.slanted.is_empty() || bench.never(Kind::Slant) {
        return Vec::new();
    }
    let time = bench.feel.slide_time(1, bench.reach.tempo());
    let carried = |s: &Sketch| s.clone().arriving(Arrival::Carried { time });
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.place.slant.is_some()) {
        for straight in straightened(bench, voicing) {
            let slanted = Sketch::of(voicing);
            let there = [straight.clone(), carried(&slanted), carried(&straight)];
            let back = [slanted.clone(), carried(&straight), carried(&slanted)];
            for order in [there, back] {
                found.extend(order.get(..count).and_then(|s| bench.build(Kind::Slant, s, None)));
            }
        }
    }
    found
}

/// The strings of a slant under a straight bar at either of its frets, where they sound notes of the scale.
fn straightened(bench: &Bench<'_>, voicing: &Voicing) -> SmallVec<[Sketch; 2]> {
    let Grip { place, strings } = voicing.grip;
    let frets = place.slant.map_or(0, |s| s.frets);
    let either = [Some(place.fret), place.fret.checked_add_signed(frets)];
    let sketch = |fret: u8| {
        let place = Place::straight(fret, place.stance);
        let notes: Option<SmallVec<[NoteNumber; 3]>> = strings.iter().map(|s| bench.notes.note(s, place)).collect();
        let notes = notes.filter(|all| all.iter().all(|n| bench.in_scale(*n)))?;
        Some(Sketch {
            grip: Grip { place, strings },
            top: notes.iter().max().copied()?,
            arrival: Arrival::Struck,
            cost: voicing.cost,
            harmonic: notes.iter().all(|n| bench.in_chord(*n)),
            attack: Attack::Plain,
        })
    };
    either.into_iter().flatten().filter_map(sketch).collect()
}
