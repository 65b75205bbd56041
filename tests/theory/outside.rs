//! Spelling, keys, degrees, chords, Roman numerals and frequencies against music21 10.5.1 (PyPI) and tonal 6.4.3
//! (npm), from the tables in `tests/outside/theory`; ISO 16 and OEIS A320304 for the pitch standard.
//!
//! The two libraries agree with each other in all but one kind of row: music21's thirteenth chord holds the
//! eleventh, tonal's leaves it out. Ours leaves it out, because it clashes with the third.

use leadbar::theory::{Chord, Key, Mode, Naming, NoteName, NoteNumber, Numeral, Quality, ScaleDegree, roman};
use std::collections::{BTreeSet, HashMap};

const MUSIC21: &str = include_str!("../outside/theory/music21.tsv");
const TONAL: &str = include_str!("../outside/theory/tonal.tsv");

/// The rows of one kind, without the kind's name.
fn rows<'a>(table: &'a str, kind: &'a str) -> impl Iterator<Item = Vec<&'a str>> {
    table.lines().filter_map(move |line| {
        let mut cells = line.split('\t');
        (cells.next() == Some(kind)).then(|| cells.collect())
    })
}

fn names(chord: &Chord) -> BTreeSet<String> {
    chord.tones().map(|(_, name)| name.to_string()).collect()
}

fn set(cell: &str) -> BTreeSet<String> {
    cell.split(' ').map(str::to_owned).collect()
}

/// The eleventh above a root, by the name of its fourth.
fn eleventh(root: &str) -> String {
    let chord = Chord::new(root.parse().unwrap_or_else(|_| panic!("{root}")), Quality::Sus4);
    chord
        .tones()
        .nth(1)
        .map(|(_, name)| name.to_string())
        .unwrap_or_default()
}

/// What a library says the tones of a chord are, with the one known difference taken out.
fn chords(table: &str) -> HashMap<(String, Quality), BTreeSet<String>> {
    rows(table, "chord")
        .map(|row| {
            let quality = Quality::from_suffix(row[1]).unwrap_or_else(|| panic!("{}", row[1]));
            let mut tones = set(row[2]);
            if quality == Quality::Thirteen && table == MUSIC21 {
                assert!(
                    tones.remove(&eleventh(row[0])),
                    "music21's 13 is known to hold the eleventh"
                );
            }
            ((row[0].to_owned(), quality), tones)
        })
        .collect()
}

#[test]
fn every_quality_on_every_degree_of_every_key_is_spelled_as_both_libraries_spell_it() {
    for table in [MUSIC21, TONAL] {
        let chords = chords(table);
        assert_eq!(chords.len(), 35 * Quality::ALL.len());
        let mut seen = 0;
        for row in rows(table, "degree") {
            let degree = roman::parse(row[1], Mode::Major).expect("a degree").degree;
            for mode in [Mode::Major, Mode::Minor] {
                let key = Key::new(row[0].parse().expect("a tonic"), mode);
                for quality in Quality::ALL {
                    let chord = Numeral::new(degree, quality).chord(key);
                    assert_eq!(chord.root.to_string(), row[2], "{degree} in {key}");
                    let Some(expected) = chords.get(&(row[2].to_owned(), quality)) else {
                        // The tables spell chords on roots with up to two signs; sharp 6 in A# has three.
                        assert_eq!(row[2], "F###");
                        continue;
                    };
                    assert_eq!(&names(&chord), expected, "{chord}");
                    seen += 1;
                }
            }
        }
        assert_eq!(seen, (18 * 16 - 1) * 2 * Quality::ALL.len());
    }
}

#[test]
fn every_key_has_the_signature_and_the_scale_both_libraries_give_it() {
    for table in [MUSIC21, TONAL] {
        let mut seen = 0;
        for row in rows(table, "key") {
            let key: Key = row[0].parse().expect("a key");
            assert_eq!(key.signature().0.to_string(), row[1], "{key}");
            assert_eq!(key.scale().to_string(), row[2], "{key}");
            seen += 1;
        }
        assert_eq!(seen, 30);
    }
}

#[test]
fn roman_numerals_mean_the_chord_and_bass_music21_says() {
    let mut seen = 0;
    for row in rows(MUSIC21, "roman") {
        let key: Key = row[0].parse().expect("a key");
        let chord = roman::parse(row[1], key.mode)
            .unwrap_or_else(|error| panic!("{error}"))
            .chord(key);
        assert_eq!(chord.lowest().to_string(), row[2], "{} in {key}", row[1]);
        assert_eq!(names(&chord), set(row[3]), "{} in {key}", row[1]);
        seen += 1;
    }
    assert_eq!(seen, 50);
}

#[test]
fn every_midi_note_has_the_frequency_both_libraries_give_it() {
    for table in [MUSIC21, TONAL] {
        let mut seen = 0_u8;
        for row in rows(table, "note") {
            let number: u8 = row[0].parse().expect("a number");
            let hertz = NoteNumber(number).height().hertz().0;
            assert_eq!(format!("{hertz:.4}"), row[1], "note {number}");
            seen += 1;
        }
        assert_eq!(seen, 128);
    }
}

/// ISO 16:1975: the A in the treble stave is 440 Hz. OEIS A320304: note 12 is 16.3516 Hz.
#[test]
fn the_standard_pitch_is_that_of_iso_16() {
    assert_eq!(format!("{:.6}", NoteNumber(69).height().hertz().0), "440.000000");
    assert_eq!(format!("{:.4}", NoteNumber(12).height().hertz().0), "16.3516");
}

#[test]
fn a_number_comes_back_from_its_chord_in_every_key_of_the_tables() {
    for row in rows(TONAL, "key") {
        let key: Key = row[0].parse().expect("a key");
        for degree in ["1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"] {
            let degree: ScaleDegree = degree.parse().expect("a degree");
            for quality in Quality::ALL {
                let numeral = Numeral::new(degree, quality);
                assert_eq!(Numeral::of(numeral.chord(key), key), numeral, "{numeral} in {key}");
            }
        }
    }
}

#[test]
fn every_note_is_called_in_german_and_in_italian_as_music21_calls_it() {
    let mut read = 0;
    for row in rows(MUSIC21, "named") {
        let note: NoteName = row[0].parse().unwrap_or_else(|_| panic!("{}", row[0]));
        assert_eq!(Naming::German.name(note), row[1]);
        // music21 writes the signs out: "si bemolle", "fa doppio diesis".
        let (syllable, signs) = row[2].split_once(' ').unwrap_or((row[2], ""));
        let signs = signs.replace("doppio bemolle", "bb").replace("doppio diesis", "##");
        let signs = signs.replace("bemolle", "b").replace("diesis", "#");
        assert_eq!(Naming::Latin.name(note).to_lowercase(), format!("{syllable}{signs}"));
        read += 1;
    }
    assert_eq!(read, 35);
}
