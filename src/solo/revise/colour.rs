//! Vibrato and volume.

use super::{Aspect, Idea, Spot};
use crate::solo::moves::Move;
use crate::solo::stroke::Stroke;
use crate::theory::{Cents, Hertz, Seconds};
use crate::words::Said;

/// Strokes held shorter than this have no room for vibrato.
const ROOM: Seconds = Seconds(0.5);
/// Vibrato narrower or wider than this is not offered. Taste, no source.
const DEPTHS: std::ops::RangeInclusive<f64> = 4.0..=60.0;
/// Vibrato slower or faster than this is not offered. Taste, no source.
const RATES: std::ops::RangeInclusive<f64> = 3.0..=8.0;
/// Strength added or taken.
const LOUDER: f64 = 0.2;

/// More, less, slower, faster or no vibrato.
pub(super) fn vibrato(spot: &Spot<'_>) -> Vec<Idea> {
    let held = (spot.last.until - spot.last.at).at(spot.brief.timeline.tempo);
    if held.0 < ROOM.0 || spot.last.grip.place.fret == 0 {
        return Vec::new();
    }
    let with = |words: Said, change: &dyn Fn(Stroke) -> Stroke| {
        let strokes = spot.action.strokes.iter().map(|s| change(*s)).collect();
        let action = Move {
            strokes,
            ..spot.action.clone()
        };
        Idea::new(Aspect::Colour, words, action)
    };
    let Some(wave) = spot.last.wave else {
        let habit = spot.brief.feel.wave(spot.brief.timeline.tempo);
        let add = habit.map(|wave| with(said!("Add vibrato"), &|s| Stroke { wave: Some(wave), ..s }));
        return add.into_iter().collect();
    };
    let deeper = |by: f64| (by, wave.depth.0 * by);
    let quicker = |by: f64| (by, wave.rate.0 * by);
    let mut ideas = Vec::new();
    for (words, (by, depth)) in [
        (said!("More vibrato"), deeper(1.6)),
        (said!("Less vibrato"), deeper(0.6)),
    ] {
        let wider = move |s: Stroke| Stroke {
            wave: s.wave.map(|w| crate::solo::stroke::Wave {
                depth: Cents(w.depth.0 * by),
                ..w
            }),
            ..s
        };
        ideas.extend(DEPTHS.contains(&depth).then(|| with(words, &wider)));
    }
    ideas.push(with(said!("No vibrato"), &|s| Stroke { wave: None, ..s }));
    for (words, (by, rate)) in [
        (said!("Slower vibrato"), quicker(0.75)),
        (said!("Faster vibrato"), quicker(1.3)),
    ] {
        let changed = move |s: Stroke| Stroke {
            wave: s.wave.map(|w| crate::solo::stroke::Wave {
                rate: Hertz(w.rate.0 * by),
                ..w
            }),
            ..s
        };
        ideas.extend(RATES.contains(&rate).then(|| with(words, &changed)));
    }
    ideas
}

/// Swelled or not, louder or softer.
pub(super) fn volume(spot: &Spot<'_>) -> Vec<Idea> {
    let all = |words: Said, change: &dyn Fn(&mut Stroke)| {
        let mut action = spot.action.clone();
        action.strokes.iter_mut().for_each(change);
        Idea::new(Aspect::Colour, words, action)
    };
    let held = spot.last.until - spot.last.at;
    let mut ideas = Vec::new();
    if spot.last.swell {
        ideas.push(all(said!("No swell"), &|s| s.swell = false));
    } else if held.0 > 1.5 {
        let mut action = spot.action.clone();
        action.strokes.last_mut().into_iter().for_each(|s| s.swell = true);
        ideas.push(Idea::new(
            Aspect::Colour,
            said!("Swell on the volume pedal as it fades"),
            action,
        ));
    }
    if spot.first.strength < 1.0 {
        ideas.push(all(said!("Louder"), &|s| s.strength = (s.strength + LOUDER).min(1.0)));
    }
    if spot.first.strength > LOUDER + 0.1 {
        ideas.push(all(said!("Softer"), &|s| s.strength = (s.strength - LOUDER).max(0.1)));
    }
    ideas
}
