//! What stands in the files, read back by a reader of the format.

use super::{Layout, write};
use crate::sample::{self, TEMPO, pluck, still, turn};
use crate::solo::{Performance, notes};
use crate::steel::{Instrument, StringNumber};
use crate::theory::Beats;
use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};
use proptest::prelude::*;

/// Every event of a file with its tick, track by track.
fn events(bytes: &[u8]) -> Vec<Vec<(u32, TrackEventKind<'_>)>> {
    let mut tracks = Vec::new();
    for track in Smf::parse(bytes).expect("a file").tracks {
        let mut at = 0;
        let mut found = Vec::new();
        for event in track {
            at += event.delta.as_int();
            found.push((at, event.kind));
        }
        tracks.push(found);
    }
    tracks
}

fn file(performance: &Performance, layout: Layout) -> Vec<u8> {
    write(performance, &sample::e9(), &sample::song(), Some("Sample"), layout)
}

/// The channel messages of a file in order of time, with their channels from 1.
fn messages(bytes: &[u8]) -> Vec<(u32, u8, MidiMessage)> {
    let voice = |(at, kind): (u32, TrackEventKind<'_>)| match kind {
        TrackEventKind::Midi { channel, message } => Some((at, channel.as_int() + 1, message)),
        _ => None,
    };
    events(bytes).into_iter().flatten().filter_map(voice).collect()
}

fn channels(bytes: &[u8]) -> Vec<u8> {
    let on = |(_, channel, m): (u32, u8, MidiMessage)| matches!(m, MidiMessage::NoteOn { .. }).then_some(channel);
    let mut found: Vec<u8> = messages(bytes).into_iter().filter_map(on).collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// A pluck of every string, one after the other.
fn all_strings(instrument: &Instrument) -> Performance {
    let mut p = Performance::silent(Beats(16.0), instrument.changes.len());
    p.plucks = (1..=instrument.strings.len())
        .map(|n| pluck(n as f64, n as u8))
        .collect();
    p
}

#[test]
fn a_channel_a_string_keeps_clear_of_the_drums() {
    for (id, expected) in [
        ("e9", vec![1, 2, 3, 4, 5, 6, 7, 8, 9, 11]),
        ("universal", vec![1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13]),
    ] {
        let instrument = Instrument::shipped(id).unwrap();
        let bytes = write(
            &all_strings(&instrument),
            &instrument,
            &sample::song(),
            None,
            Layout::PerString,
        );
        assert_eq!(channels(&bytes), expected, "{id}");
    }
}

#[test]
fn an_expressive_file_names_its_zone_before_the_reach_of_its_bends() {
    // MPE, RP-053: registered parameter 6 on the leading channel sets the number of members and puts every
    // member's reach back to 48.
    let bytes = file(&sample::solo(), Layout::Expressive);
    assert!(channels(&bytes).iter().all(|c| (2..=11).contains(c)));
    let controllers: Vec<(u8, u8, u8)> = messages(&bytes)
        .into_iter()
        .filter_map(|(at, channel, m)| match m {
            MidiMessage::Controller { controller, value } if at == 0 => {
                Some((channel, controller.as_int(), value.as_int()))
            }
            _ => None,
        })
        .collect();
    assert_eq!(controllers[..3], [(1, 101, 0), (1, 100, 6), (1, 6, 10)]);
    for member in 2..=11 {
        assert!(
            controllers
                .windows(3)
                .any(|w| w == [(member, 101, 0), (member, 100, 0), (member, 6, 48)])
        );
    }
}

#[test]
fn every_pluck_is_a_note_with_its_strength_and_every_note_is_ended() {
    for layout in [Layout::PerString, Layout::Expressive] {
        let bytes = file(&sample::solo(), layout);
        let count = |test: fn(&MidiMessage) -> bool| messages(&bytes).iter().filter(|(_, _, m)| test(m)).count();
        assert_eq!(
            count(|m| matches!(m, MidiMessage::NoteOn { vel, .. } if *vel == 89)),
            20
        );
        assert_eq!(count(|m| matches!(m, MidiMessage::NoteOff { .. })), 20);
    }
}

#[test]
fn the_bend_stands_before_the_note_it_is_for() {
    for track in events(&file(&sample::solo(), Layout::PerString)) {
        let mut bent_at = None;
        for (at, kind) in track {
            match kind {
                TrackEventKind::Midi {
                    message: MidiMessage::PitchBend { .. },
                    ..
                } => bent_at = Some(at),
                TrackEventKind::Midi {
                    message: MidiMessage::NoteOn { .. },
                    ..
                } => assert_eq!(bent_at, Some(at)),
                _ => {}
            }
        }
    }
}

#[test]
fn the_first_track_holds_tempo_metre_key_chords_and_their_numbers() {
    let bytes = file(&sample::solo(), Layout::PerString);
    let first = events(&bytes).swap_remove(0);
    let has = |at: u32, meta: MetaMessage<'_>| first.contains(&(at, TrackEventKind::Meta(meta)));
    assert!(has(0, MetaMessage::TrackName(b"Sample")));
    assert!(has(0, MetaMessage::Tempo(500_000.into())));
    assert!(has(0, MetaMessage::TimeSignature(4, 2, 24, 8)));
    assert!(has(0, MetaMessage::KeySignature(1, false)));
    assert!(has(3840, MetaMessage::Marker(b"C")) && has(3840, MetaMessage::Lyric(b"4")));
    assert_eq!(
        first.last(),
        Some(&(4 * 3840, TrackEventKind::Meta(MetaMessage::EndOfTrack)))
    );
}

#[test]
fn pedals_and_levers_are_told_when_they_arrive() {
    let bytes = file(&sample::solo(), Layout::Plain);
    let words: Vec<(u32, String)> = events(&bytes)[1]
        .iter()
        .filter_map(|(at, kind)| match kind {
            TrackEventKind::Meta(MetaMessage::Lyric(words)) => Some((*at, String::from_utf8_lossy(words).into_owned())),
            _ => None,
        })
        .collect();
    let told = |at: f64, what: &str| words.contains(&((at * 960.0) as u32, what.to_owned()));
    assert!(told(2.5, "A") && told(3.75, "open") && told(4.25, "A+B") && told(6.75, "A+F") && told(9.5, "A½"));
}

#[test]
fn a_plain_file_has_no_bends_and_a_note_for_every_pitch_a_string_rests_on() {
    let mut p = still(3.0);
    p.travels[0].turns = vec![turn(1.0, 0.5, 1.0)];
    p.plucks = vec![pluck(0.0, 5)];
    let notes: Vec<(u32, u8)> = messages(&file(&p, Layout::Plain))
        .into_iter()
        .filter_map(|(at, _, m)| match m {
            MidiMessage::NoteOn { key, .. } => Some((at, key.as_int())),
            MidiMessage::PitchBend { .. } => panic!("a bend"),
            _ => None,
        })
        .collect();
    // String 5, a B3, at fret 3 is D4; the A pedal raises it two semitones.
    assert_eq!(notes, [(0, 62), (1440, 64)]);
}

/// The farthest that a file's pitches are from what the performance sounds, at any tick of any note.
fn worst_cents(performance: &Performance, layout: Layout) -> f64 {
    let instrument = sample::e9();
    let bytes = file(performance, layout);
    let mut worst = 0.0_f64;
    for track in events(&bytes) {
        let mut sounding = None;
        let mut bend = 0.0;
        for pair in track.windows(2) {
            let ((at, kind), (until, _)) = (pair[0], pair[1]);
            if let TrackEventKind::Midi { channel, message } = kind {
                let channel = channel.as_int();
                let number = if layout == Layout::PerString && channel < 9 {
                    channel + 1
                } else {
                    channel
                };
                let string = StringNumber::new(number);
                match message {
                    MidiMessage::NoteOn { key, .. } => sounding = string.map(|s| (s, f64::from(key.as_int()))),
                    MidiMessage::NoteOff { .. } => sounding = None,
                    MidiMessage::PitchBend { bend: b } => bend = f64::from(b.0.as_int()) - 8192.0,
                    _ => {}
                }
            }
            let Some((string, key)) = sounding else { continue };
            for tick in at..until {
                let moment = Beats(f64::from(tick) / 960.0);
                let sounds = performance.height(&instrument, string, moment, TEMPO).unwrap();
                worst = worst.max(((key + bend * 48.0 / 8192.0 - sounds.0) * 100.0).abs());
            }
        }
    }
    worst
}

#[test]
fn bar_changes_and_vibrato_are_bends_within_a_cent() {
    let mut p = sample::solo();
    p.plucks[14].touch = crate::solo::Touch::Plain;
    for layout in [Layout::PerString, Layout::Expressive] {
        let worst = worst_cents(&p, layout);
        assert!(worst < 1.0, "{worst} cents");
    }
}

#[test]
fn a_bar_that_turns_bends_every_string_by_itself_within_a_cent() {
    let mut p = still(5.0);
    p.slant.turns = vec![turn(1.0, 0.5, -1.5), turn(4.0, 0.5, 0.0), turn(6.0, 0.5, 1.2)];
    p.bar.turns = vec![turn(1.0, 0.5, 6.0), turn(4.0, 0.5, 5.0)];
    p.plucks = (1..=8).map(|s| pluck(f64::from(s) / 4.0, s)).collect();
    for layout in [Layout::PerString, Layout::Expressive] {
        let worst = worst_cents(&p, layout);
        assert!(worst < 1.0, "{worst} cents");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_played_is_written_within_a_cent(
        plucks in proptest::collection::btree_set((0_u32..64, 1_u8..=10), 1..30),
        glide in 0_u32..60, to in 0.0_f64..15.0, press in 0_u32..60,
    ) {
        let mut p = still(3.0);
        p.bar.turns = vec![turn(f64::from(glide) / 4.0, 0.75, to)];
        p.travels[0].turns = vec![turn(f64::from(press) / 4.0, 0.5, 1.0)];
        p.plucks = plucks.iter().map(|(step, s)| pluck(f64::from(*step) / 4.0, *s)).collect();
        let worst = worst_cents(&p, Layout::PerString);
        prop_assert!(worst < 1.0, "{} cents", worst);
        let written = messages(&file(&p, Layout::PerString));
        let on = written.iter().filter(|(_, _, m)| matches!(m, MidiMessage::NoteOn { .. })).count();
        prop_assert_eq!(on, notes(&p, &sample::e9(), TEMPO).len());
    }
}
