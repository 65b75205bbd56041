//! The first track: everything about the song that is no note.

use super::track::{Event, Tick, Track};
use crate::theory::{Hit, Key, Metre, Mode, Tempo, Timeline};

/// Tempo, metre, keys, sections, chords and their numbers.
pub(super) fn track(song: &Timeline, title: Option<&str>) -> Track {
    let mut track = Track::named(title.unwrap_or("Untitled song"));
    track.add(Tick(0), tempo(song.tempo));
    metres(song, &mut track);
    keys(song, &mut track);
    for bar in &song.bars {
        if let Some(section) = &bar.section {
            track.add(Tick::at(bar.start), Event::Marker(section.clone()));
        }
    }
    for span in song.spans.iter().filter(|s| s.hit != Hit::Rest) {
        track.add(Tick::at(span.start), Event::Marker(span.chord.symbol()));
        track.add(Tick::at(span.start), Event::Lyric(span.numeral.to_string()));
    }
    track
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a chart's tempo is 20 to 400
fn tempo(tempo: Tempo) -> Event {
    Event::Tempo {
        micros_per_beat: (60_000_000.0 / tempo.0).round() as u32,
    }
}

fn metres(song: &Timeline, track: &mut Track) {
    let mut last = None;
    for bar in &song.bars {
        let metre @ Metre { count, unit } = bar.metre;
        if last.replace(metre) != Some(metre) {
            let unit_power = u8::try_from(unit.max(1).ilog2()).unwrap_or_default();
            track.add(Tick::at(bar.start), Event::Metre { count, unit_power });
        }
    }
}

fn keys(song: &Timeline, track: &mut Track) {
    let mut last: Option<Key> = None;
    let first = (Tick(0), song.key);
    for (at, key) in [first]
        .into_iter()
        .chain(song.spans.iter().map(|s| (Tick::at(s.start), s.key)))
    {
        if last.replace(key) != Some(key) {
            let minor = key.mode == Mode::Minor;
            track.add(
                at,
                Event::Key {
                    sharps: key.signature().0,
                    minor,
                },
            );
        }
    }
}
