//! Another move in the place of this one.

use super::{Aspect, Idea, Spot, Way};
use crate::solo::moves::{Kind, Move};
use crate::solo::stroke::Arrival;
use crate::solo::words;

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
fn named(spot: &Spot<'_>, action: &Move) -> String {
    let instrument = spot.brief.instrument;
    let Some(first) = action.strokes.first() else {
        return action.kind.name().to_owned();
    };
    let place = words::place(instrument, first.grip.place);
    let strings = words::strings(first.grip.strings);
    let mut frets: Vec<String> = action.strokes.iter().map(|s| s.grip.place.fret.to_string()).collect();
    frets.dedup();
    let frets = frets.join(", ");
    let feet = match first.arrival {
        Arrival::Squeezed { from, .. } => words::footwork(instrument, from, first.grip.place.stance),
        Arrival::Leaned { through, .. } => words::footwork(instrument, first.grip.place.stance, through),
        _ => String::new(),
    };
    match action.kind {
        Kind::Strike => format!("Struck and held instead, {place}"),
        Kind::SlideIn => format!("A slide into {place} instead"),
        Kind::Squeeze => format!("A squeeze instead, {place}: {feet}"),
        Kind::Lean => format!("A lean instead, {place}: {feet}, and back"),
        Kind::Carry => format!("Carried over instead, to {place}"),
        Kind::Climb => format!("Inversions instead: frets {frets}"),
        Kind::Walk => format!("A harmonised walk instead: {strings}, frets {frets}"),
        Kind::DoubleStop => format!("Double stops instead, fret {frets}"),
        Kind::Run => format!("A run instead: {strings}, frets {frets}"),
        Kind::Roll => format!("The chord rolled instead, {place}"),
        Kind::Blocked => format!("Struck and blocked instead, {} times at {place}", action.strokes.len()),
        Kind::Unison => format!("A repeated unison instead, {strings}"),
        Kind::RingOut => format!("The last chord left to ring instead, {place}"),
        Kind::Grace => format!("A grace slide into {place} instead"),
        Kind::Rake => format!("A rake over {strings} instead, {place}"),
        Kind::Harmonic => format!("A harmonic on {strings} instead, {place}"),
        Kind::Swell => format!("Swelled in on the volume pedal instead, {place}"),
        Kind::FallOff => format!("Held and let fall off instead, frets {frets}"),
        Kind::PreBend => format!("A pre-bend instead, {place}"),
        Kind::PedalRoll => format!("Pedals rolled to the next pair instead, from {place}"),
        Kind::PedalWalk => format!("A walk on two pedals instead: {strings}, frets {frets}"),
        Kind::Chromatic => format!("Half steps instead: {strings}, frets {frets}"),
        Kind::DoubleRun => format!("A double-stop run instead, from {strings} at fret {frets}"),
        Kind::OpenRun => format!("Open strings run instead, from {strings}"),
        Kind::Slant => format!("The bar turned under ringing strings instead, from {place}"),
        Kind::CallAnswer => format!("A call and its answer instead, from {strings} at fret {frets}"),
    }
}
