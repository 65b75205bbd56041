//! Another move in the place of this one.

use super::{Aspect, Idea, Spot, Way};
use crate::solo::moves::{Kind, Move};
use crate::solo::stroke::Arrival;
use crate::solo::words;
use crate::words::Said;

/// Proposals tried of each kind.
const TRIED: usize = 6;

/// Moves of other kinds that could stand here, the likeliest kind first.
pub(super) fn others(spot: &Spot<'_>, instead: &[Move]) -> Vec<Idea> {
    let mut ideas: Vec<(Kind, Idea)> = Vec::new();
    for action in instead.iter().filter(|m| m.kind != spot.action.kind) {
        let way = Way {
            words: named(spot, action),
            action: Some(action.clone()),
        };
        match ideas.iter_mut().find(|(kind, _)| *kind == action.kind) {
            Some((_, idea)) if idea.ways.len() < TRIED => idea.ways.push(way),
            Some(_) => {}
            None => {
                let ways = vec![way];
                let aspect = Aspect::Idiom;
                ideas.push((action.kind, Idea { aspect, ways }));
            }
        }
    }
    ideas.into_iter().map(|(_, idea)| idea).collect()
}

/// Another move in a few words.
fn named(spot: &Spot<'_>, action: &Move) -> Said {
    let instrument = spot.brief.instrument;
    let Some(first) = action.strokes.first() else {
        return Said::of(action.kind.name());
    };
    let place = words::place(instrument, first.grip.place);
    let strings = words::strings(first.grip.strings);
    let mut frets: Vec<String> = action.strokes.iter().map(|s| s.grip.place.fret.to_string()).collect();
    frets.dedup();
    let frets = frets.join(", ");
    let feet = match first.arrival {
        Arrival::Squeezed { from, .. } => words::footwork(instrument, from, first.grip.place.stance),
        Arrival::Leaned { through, .. } => words::footwork(instrument, first.grip.place.stance, through),
        _ => Said::default(),
    };
    match action.kind {
        Kind::Strike => said!("Struck and held instead, {place}", place),
        Kind::SlideIn => said!("A slide into {place} instead", place),
        Kind::Squeeze => said!("A squeeze instead, {place}: {feet}", place, feet),
        Kind::Lean => said!("A lean instead, {place}: {feet}, and back", place, feet),
        Kind::Carry => said!("Carried over instead, to {place}", place),
        Kind::Climb => said!("Inversions instead: frets {frets}", frets),
        Kind::Walk => said!("A harmonised walk instead: {strings}, frets {frets}", strings, frets),
        Kind::DoubleStop => said!("Double stops instead, fret {frets}", frets),
        Kind::Run => said!("A run instead: {strings}, frets {frets}", strings, frets),
        Kind::Roll => said!("The chord rolled instead, {place}", place),
        Kind::Blocked => said!(
            "Struck and blocked instead, {strokes} times at {place}",
            strokes = action.strokes.len(),
            place
        ),
        Kind::Unison => said!("A repeated unison instead, {strings}", strings),
        Kind::RingOut => said!("The last chord left to ring instead, {place}", place),
        Kind::Grace => said!("A grace slide into {place} instead", place),
        Kind::Rake => said!("A rake over {strings} instead, {place}", strings, place),
        Kind::Harmonic => said!("A harmonic on {strings} instead, {place}", strings, place),
        Kind::Swell => said!("Swelled in on the volume pedal instead, {place}", place),
        Kind::FallOff => said!("Held and let fall off instead, frets {frets}", frets),
        Kind::PreBend => said!("A pre-bend instead, {place}", place),
        Kind::PedalRoll => said!("Pedals rolled to the next pair instead, from {place}", place),
        Kind::PedalWalk => said!("A walk on two pedals instead: {strings}, frets {frets}", strings, frets),
        Kind::Chromatic => said!("Half steps instead: {strings}, frets {frets}", strings, frets),
        Kind::DoubleRun => said!(
            "A double-stop run instead, from {strings} at fret {frets}",
            strings,
            frets
        ),
        Kind::OpenRun => said!("Open strings run instead, from {strings}", strings),
        Kind::Slant => said!("The bar turned under ringing strings instead, from {place}", place),
        Kind::CallAnswer => said!(
            "A call and its answer instead, from {strings} at fret {frets}",
            strings,
            frets
        ),
    }
}
