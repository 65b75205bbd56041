//! How a single stroke is begun and ended: as a harmonic, raked, swelled in, let fall off.

use super::{Aspect, Idea, Spot};
use crate::solo::moves::{Kind, Move};
use crate::solo::stroke::{Arrival, Attack, Stroke};
use crate::theory::Seconds;
use crate::words::Said;

/// A swell is offered where a stroke is held as long; a fall-off leaves as much of the note standing.
const SWELL_FROM: Seconds = Seconds(1.0);
const HELD: Seconds = Seconds(0.35);
/// The fret a harmonic is touched at, above the bar.
const OCTAVE: u8 = 12;
/// How far a note is let fall, in frets.
const FALL: u8 = 3;

/// Other ways for right hand and volume pedal to begin the stroke.
pub(super) fn begun(spot: &Spot<'_>) -> Vec<Idea> {
    let [only] = spot.action.strokes.as_slice() else {
        return Vec::new();
    };
    if !only.arrival.plucks() {
        return Vec::new();
    }
    let with = |words: Said, attack: Attack, kind: Kind| {
        let action = Move {
            kind,
            strokes: vec![only.begun(attack)],
            ..spot.action.clone()
        };
        Idea::new(Aspect::Colour, words, action)
    };
    let strings = only.grip.strings;
    let tempo = spot.brief.timeline.tempo;
    let mut ideas = Vec::new();
    if only.attack != Attack::Plain {
        ideas.push(with(
            said!("Pluck it plainly"),
            Attack::Plain,
            Kind::of_arrival(only.arrival),
        ));
    }
    let on_neck = only.grip.place.fret + OCTAVE <= spot.brief.instrument.frets;
    if strings.len() == 1 && on_neck && !matches!(only.attack, Attack::Harmonic(_)) {
        let harmonic = Attack::Harmonic(OCTAVE);
        ideas.push(with(
            said!("Touch it as a harmonic, an octave up"),
            harmonic,
            Kind::Harmonic,
        ));
    }
    if strings.len() > 2 && strings.is_unbroken() && only.attack != Attack::Raked {
        ideas.push(with(said!("Rake it with the thumb"), Attack::Raked, Kind::Rake));
    }
    if (only.until - only.at).at(tempo).0 >= SWELL_FROM.0 && only.attack != Attack::Swelled {
        ideas.push(with(
            said!("Pluck it unheard and swell in"),
            Attack::Swelled,
            Kind::Swell,
        ));
    }
    ideas
}

/// The bar slid away at the end of the note.
pub(super) fn let_fall(spot: &Spot<'_>) -> Option<Idea> {
    let [only] = spot.action.strokes.as_slice() else {
        return None;
    };
    let tempo = spot.brief.timeline.tempo;
    let time = spot.brief.feel.slide_time(FALL, tempo);
    let at = only.until - time;
    let settled = only.at + only.arrival.settles_after() + HELD.at(tempo);
    let fret = only.grip.place.fret.checked_sub(FALL).filter(|f| *f > 0)?;
    if at < settled || !only.arrival.plucks() {
        return None;
    }
    let held = Stroke {
        until: at,
        swell: false,
        ..*only
    };
    let mut fallen = Stroke {
        at,
        until: only.until,
        wave: None,
        attack: Attack::Plain,
        ..held
    }
    .arriving(Arrival::Carried { time });
    fallen.grip.place.fret = fret;
    let action = Move {
        kind: Kind::FallOff,
        strokes: vec![held, fallen],
        ..spot.action.clone()
    };
    Some(Idea::new(Aspect::Ring, said!("Let it fall off at the end"), action))
}
