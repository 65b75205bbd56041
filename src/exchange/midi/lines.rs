//! What goes along with the notes: pedals and levers as words, the volume pedal as figures.

use super::track::{Channel, Event, Tick, Track};
use crate::solo::{Curve, Performance};
use crate::steel::Instrument;
use crate::theory::Beats;

/// Travel from which a change counts as pressed half, and from which as pressed fully.
const HALF_FROM: f64 = 0.25;
const FULL_FROM: f64 = 0.75;

/// A track whose lyrics name what is pressed: "A+B", "A½", and "open" when all is let go.
pub(super) fn pedals(performance: &Performance, instrument: &Instrument) -> Track {
    let mut track = Track::named("Pedals and levers");
    let mut moments: Vec<Beats> = performance
        .travels
        .iter()
        .flat_map(Curve::movements)
        .map(|m| m.end)
        .collect();
    moments.push(Beats::ZERO);
    moments.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut last = String::from("open");
    for at in moments {
        let pressed = pressed(performance, instrument, at);
        if pressed != last {
            track.add(Tick::at(at), Event::Lyric(pressed.clone()));
            last = pressed;
        }
    }
    track
}

fn pressed(performance: &Performance, instrument: &Instrument, at: Beats) -> String {
    let words: Vec<String> = instrument
        .change_ids()
        .zip(&instrument.changes)
        .filter_map(|(id, change)| match performance.travel(id, at).0 {
            t if t >= FULL_FROM => Some(change.name.clone()),
            t if t >= HALF_FROM => Some(format!("{}½", change.name)),
            _ => None,
        })
        .collect();
    if words.is_empty() {
        "open".to_owned()
    } else {
        words.join("+")
    }
}

/// Adds the volume pedal's position as expression (controller 11), 0 to 127.
pub(super) fn volume(performance: &Performance, channel: Channel, track: &mut Track) {
    let curve = &performance.volume;
    let mut last = None;
    let mut tell = |at: Tick| {
        let value = seven_bits(curve.value(at.moment()));
        if last.replace(value) != Some(value) {
            track.add(at, Event::Expression { channel, value });
        }
    };
    tell(Tick(0));
    for movement in curve.movements() {
        for tick in Tick::before(movement.start).0..=Tick::after(movement.end).0 {
            tell(Tick(tick));
        }
    }
}

/// A part of the whole as 0 to 127.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn seven_bits(part: f64) -> u8 {
    (part.clamp(0.0, 1.0) * 127.0).round() as u8
}
