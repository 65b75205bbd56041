//! Outside check: counts of every way an E9 ten-string sounds the major and minor triads, against
//! `tests/outside/steel/counts.py`, an implementation of its own; three others (sets, pitch classes, a bit-mask
//! loop) agree with its figures.

use leadbar::steel::hold::{Finder, HoldQuery, Tones, easiest};
use leadbar::steel::instrument::parse;
use leadbar::steel::{Hold, Instrument, body};
use leadbar::theory::{Chord, NoteName, Quality};

/// Written by the outside implementation: hits, hits with nothing pressed for nothing, and how many (fret, strings,
/// pitches) those are, for G major and for all triads; then a digest of all hits.
const COUNTED: &str = include_str!("../outside/steel/counts.txt");

fn instrument() -> Instrument {
    parse(include_str!("../outside/steel/counts.toml")).unwrap()
}

fn query(needed: bool) -> HoldQuery {
    HoldQuery {
        tones: Tones::All,
        needed,
        ..HoldQuery::default()
    }
}

/// The major and minor triads with their names outside: "7maj".
fn triads() -> Vec<(String, Chord)> {
    let roots = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
    let kinds = [(Quality::Major, "maj"), (Quality::Minor, "min")];
    let named = |root: &str, (quality, kind)| {
        let root: NoteName = root.parse().unwrap();
        (format!("{}{kind}", root.class().number()), Chord::new(root, quality))
    };
    roots
        .iter()
        .flat_map(|root| kinds.map(|kind| named(root, kind)))
        .collect()
}

/// "name hits needed distinct", as the outside implementation prints it.
fn figures(name: &str, instrument: &Instrument, chords: &[&Chord]) -> String {
    let (every, needed) = (query(false), query(true));
    let (every, needed) = (Finder::new(instrument, &every), Finder::new(instrument, &needed));
    let (mut hits, mut used, mut distinct) = (0, 0, 0);
    for chord in chords {
        let found = needed.holds(chord);
        hits += every.holds(chord).len();
        used += found.len();
        distinct += easiest(found).len();
    }
    format!("{name} {hits} {used} {distinct}")
}

/// A hit as the outside implementation writes it for the digest.
fn line(instrument: &Instrument, name: &str, hold: &Hold) -> String {
    let pressed = hold.place.stance.pressed().filter_map(|id| instrument.change(id));
    let pressed: String = pressed.map(|c| c.name.as_str()).collect();
    let pressed = if pressed.is_empty() { "-" } else { &pressed };
    let notes = hold.strings.iter().map(|s| hold.voice(s).unwrap().note.to_string());
    let notes = notes.collect::<Vec<_>>().join(",");
    format!("{name} {} {pressed} {} {notes}\n", hold.place.fret, hold.strings)
}

/// 64-bit FNV-1a. Source: Wikipedia, "Fowler-Noll-Vo hash function" (basis and prime).
fn digest(bytes: &[u8]) -> u64 {
    let step = |value: u64, byte: &u8| (value ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, step)
}

#[test]
fn the_counts_for_the_triads_are_those_counted_outside() {
    let instrument = instrument();
    assert_eq!(body::stances(&instrument).len(), 108);
    let triads = triads();
    let all: Vec<&Chord> = triads.iter().map(|(_, chord)| chord).collect();
    let g: Chord = "G".parse().unwrap();
    let counted: Vec<&str> = COUNTED.lines().collect();
    assert_eq!(figures("G", &instrument, &[&g]), counted[0]);
    assert_eq!(figures("all", &instrument, &all), counted[1]);
}

#[test]
fn the_hits_themselves_are_those_found_outside() {
    let instrument = instrument();
    let query = query(false);
    let finder = Finder::new(&instrument, &query);
    let mut lines: Vec<String> = triads()
        .iter()
        .flat_map(|(name, chord)| {
            let found = finder.holds(chord);
            found
                .iter()
                .map(|hold| line(&instrument, name, hold))
                .collect::<Vec<_>>()
        })
        .collect();
    lines.sort_unstable();
    let counted = COUNTED.lines().nth(2);
    assert_eq!(
        Some(format!("digest {:016x}", digest(lines.concat().as_bytes()))).as_deref(),
        counted
    );
}
