//! What goes along with the notes: pedals and levers as words, the volume pedal as figures.

use super::track::{Channel, Event, Tick, Track};
use crate::exchange::pressed::pressings;
use crate::solo::Performance;
use crate::steel::Instrument;

/// A track whose lyrics name what is pressed: "A+B", "A½", and "open" when all is let go.
pub(super) fn pedals(performance: &Performance, instrument: &Instrument) -> Track {
    let mut track = Track::named("Pedals and levers");
    for (at, words) in pressings(performance, instrument) {
        track.add(Tick::at(at), Event::Lyric(words));
    }
    track
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
