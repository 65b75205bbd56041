//! A track and a channel a string: each pluck a note, whatever moves its pitch a bend.

use super::lines::{seven_bits, volume};
use super::track::{Channel, Event, SetUp, Tick, Track};
use super::{BEND_REACH, Layout, PROGRAM};
use crate::solo::{Note, Performance, notes};
use crate::steel::{Instrument, StringNumber};
use crate::theory::{Cents, Height, NoteNumber, Tempo};

/// The drums' channel in General MIDI, counted from 0.
const DRUMS: u8 = 9;
/// The channel that leads an MPE zone.
const LEADER: Channel = Channel(0);
/// No bend.
const MIDDLE: f64 = 8192.0;

/// The strings' tracks.
pub(super) fn tracks(performance: &Performance, instrument: &Instrument, tempo: Tempo, layout: Layout) -> Vec<Track> {
    let all = notes(performance, instrument, tempo);
    let mut tracks = Vec::new();
    if layout == Layout::Expressive {
        tracks.push(zone(performance, instrument));
    }
    for (string, spec) in instrument.string_numbers().zip(&instrument.strings) {
        let channel = channel(string, layout);
        let mut track = Track::named(format!("String {string} ({})", spec.pitch.name));
        track.register(channel, 0, u8::try_from(BEND_REACH.0).unwrap_or(u8::MAX));
        track.set_up(channel, SetUp::Program(PROGRAM));
        if layout == Layout::PerString {
            volume(performance, channel, &mut track);
        }
        let bender = Bender {
            performance,
            instrument,
            tempo,
            channel,
        };
        let own: Vec<&Note> = all.iter().filter(|n| n.string() == string).collect();
        for (index, note) in own.iter().enumerate() {
            bender.note(note, own.get(index + 1).map(|n| Tick::at(n.start())), &mut track);
        }
        tracks.push(track);
    }
    tracks
}

/// The track of the zone's leading channel: how many members it has (registered parameter 6), and the volume pedal.
fn zone(performance: &Performance, instrument: &Instrument) -> Track {
    let mut track = Track::named("Volume pedal");
    let members = u8::try_from(instrument.strings.len()).unwrap_or(u8::MAX);
    track.register(LEADER, 6, members.min(15));
    volume(performance, LEADER, &mut track);
    track
}

/// The channel of a string: those of an MPE zone come after its leader, the others step over the drums.
fn channel(string: StringNumber, layout: Layout) -> Channel {
    let number = string.number();
    match layout {
        Layout::Expressive => Channel(number),
        Layout::PerString | Layout::Plain if number > DRUMS => Channel(number),
        Layout::PerString | Layout::Plain => Channel(number - 1),
    }
}

struct Bender<'a> {
    performance: &'a Performance,
    instrument: &'a Instrument,
    tempo: Tempo,
    channel: Channel,
}

impl Bender<'_> {
    /// A note with its bends; it ends before `next`, the pluck after it. One that is over within its tick is
    /// not heard and not written.
    fn note(&self, note: &Note, next: Option<Tick>, track: &mut Track) {
        let channel = self.channel;
        let start = Tick::at(note.start());
        let end = Tick::at(note.end).min(next.unwrap_or(Tick(u32::MAX)));
        if end <= start {
            return;
        }
        let number = self.height(note, start, true).nearest();
        let mut last = None;
        let mut bend = |at: Tick, height: Height| {
            let value = bend(height, number);
            if last.replace(value) != Some(value) {
                track.add(at, Event::Bend { channel, value });
            }
        };
        bend(start, self.height(note, start, true));
        for tick in self.moving(note, start, end) {
            bend(tick, self.height(note, tick, false));
        }
        let velocity = seven_bits(note.pluck.strength).max(1);
        track.add(
            start,
            Event::On {
                channel,
                note: number.0,
                velocity,
            },
        );
        track.add(
            end,
            Event::Off {
                channel,
                note: number.0,
            },
        );
    }

    /// What the string sounds at a tick; at the note's first one, as it is plucked.
    fn height(&self, note: &Note, tick: Tick, first: bool) -> Height {
        let at = if first { note.start() } else { tick.moment() };
        let height = self.performance.height(self.instrument, note.string(), at, self.tempo);
        height.map_or(note.height, |h| h.shifted(note.pluck.touch.raise()))
    }

    /// The ticks after its start at which a note's pitch may have moved, rising.
    fn moving(&self, note: &Note, start: Tick, end: Tick) -> Vec<Tick> {
        let motions = note.motions.iter().map(|m| (m.start, m.end));
        let waves = self.performance.vibrato.iter().map(|v| (v.at, v.at + v.length));
        let inside = |(from, to)| Tick::before(from).0.max(start.0 + 1)..Tick::after(to).0.saturating_add(1).min(end.0);
        let mut ticks: Vec<Tick> = motions.chain(waves).flat_map(inside).map(Tick).collect();
        ticks.sort_unstable();
        ticks.dedup();
        ticks
    }
}

/// The bend that takes a note to a height, to the nearest of 8192 steps each way.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn bend(height: Height, from: NoteNumber) -> u16 {
    let Cents(off) = height.above(from.height());
    let steps = off / 100.0 / f64::from(BEND_REACH.0) * MIDDLE;
    (steps.round().clamp(-MIDDLE, MIDDLE - 1.0) + MIDDLE) as u16
}
