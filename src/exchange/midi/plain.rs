//! One channel without bends, for what reads nothing but notes.

use super::PROGRAM;
use super::lines::{seven_bits, volume};
use super::track::{Channel, Event, SetUp, Tick, Track};
use crate::solo::{Note, Performance, notes};
use crate::steel::Instrument;
use crate::theory::{NoteNumber, Tempo};

const CHANNEL: Channel = Channel(0);

/// The notes of all strings.
pub(super) fn track(performance: &Performance, instrument: &Instrument, tempo: Tempo) -> Track {
    let mut track = Track::named(instrument.name.as_str());
    track.set_up(CHANNEL, SetUp::Program(PROGRAM));
    volume(performance, CHANNEL, &mut track);
    let all = notes(performance, instrument, tempo);
    let mut steps: Vec<Step> = all.iter().flat_map(steps).collect();
    steps.sort_by_key(|s| (s.number.0, s.start, s.end));
    for (index, step) in steps.iter().enumerate() {
        // One channel has each note once: another string's pluck of it ends it here.
        let next = steps.get(index + 1).filter(|next| next.number == step.number);
        let end = next.map_or(step.end, |next| step.end.min(next.start));
        if end > step.start {
            let note = step.number.0;
            track.add(
                step.start,
                Event::On {
                    channel: CHANNEL,
                    note,
                    velocity: step.velocity,
                },
            );
            track.add(end, Event::Off { channel: CHANNEL, note });
        }
    }
    track
}

/// A pitch that a string stays on.
struct Step {
    start: Tick,
    end: Tick,
    number: NoteNumber,
    velocity: u8,
}

/// The pitches a note comes to rest on, the first of them from the pluck on.
fn steps(note: &Note) -> Vec<Step> {
    let velocity = seven_bits(note.pluck.strength).max(1);
    let mut found: Vec<Step> = Vec::new();
    for (at, height) in note.rests() {
        let number = height.nearest();
        match found.last_mut() {
            None => found.push(Step {
                start: Tick::at(note.start()),
                end: Tick::at(note.end),
                number,
                velocity,
            }),
            Some(last) if last.number == number => {}
            Some(last) => {
                last.end = Tick::at(at);
                found.push(Step {
                    start: Tick::at(at),
                    end: Tick::at(note.end),
                    number,
                    velocity,
                });
            }
        }
    }
    if found.is_empty() {
        let number = note.height.nearest();
        found.push(Step {
            start: Tick::at(note.start()),
            end: Tick::at(note.end),
            number,
            velocity,
        });
    }
    found
}
