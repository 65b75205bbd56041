//! Where chords lie on an E9 ten-string: tables of the trade, recomputed. Source: they follow from the tuning and its
//! changes (Wikipedia, "Copedent") by arithmetic, done by hand outside the crate.

use leadbar::steel::hold::{HoldQuery, Tones, enumerate};
use leadbar::steel::{Hold, Instrument, Inversion, Place, Stance, StringNumber, StringSet};
use leadbar::theory::{Chord, NoteNumber, PitchClass};

/// The basic grips.
const GRIPS: [&str; 6] = ["3-4-5", "4-5-6", "5-6-8", "6-8-10", "3-5-8", "4-6-10"];

fn e9() -> Instrument {
    Instrument::shipped("e9").unwrap()
}

fn grip(text: &str) -> StringSet {
    text.split('-')
        .map(|n| StringNumber::new(n.parse().unwrap()).unwrap())
        .collect()
}

/// "A+B", "½A+B" with a half press, or "none".
fn stance(instrument: &Instrument, text: &str) -> Stance {
    text.split('+')
        .filter(|name| *name != "none")
        .fold(Stance::OPEN, |stance, name| {
            let id = |name| {
                instrument
                    .change_named(name)
                    .unwrap_or_else(|| panic!("no change {name}"))
            };
            name.strip_prefix('½')
                .map_or_else(|| stance.with(id(name)), |half| stance.with_half(id(half)))
        })
}

/// The hold of a chord at a place on exactly these strings, if they sound nothing but its tones.
fn hold(instrument: &Instrument, chord: &str, fret: u8, pressed: &str, strings: &str) -> Option<Hold> {
    let strings = grip(strings);
    let query = HoldQuery {
        frets: fret..=fret,
        strings: strings.len()..=strings.len(),
        reach: StringNumber::MOST,
        tones: Tones::Any,
        needed: false,
        stances: Some(vec![stance(instrument, pressed)]),
    };
    let found = enumerate(instrument, &chord.parse::<Chord>().unwrap(), &query);
    found.into_iter().find(|hold| hold.strings == strings)
}

fn labels(hold: &Hold) -> String {
    hold.voices.iter().map(|v| v.tone.label()).collect::<Vec<_>>().join("-")
}

/// What is pressed, the chord at the nut, then for each basic grip its tones from the lowest up and the inversion;
/// where a grip sounds another chord, that chord first.
const INVERSIONS: &str = "
none   E    | 5-1-3 2    | 3-5-1 1    | 1-3-5 R    | 5-1-3 2    | 1-5-3 R    | 5-3-1 2
A+F    C#   | 1-3-5 R    | 5-1-3 2    | 3-5-1 1    | 1-3-5 R    | 3-1-5 1    | 1-5-3 R
A+B    A    | 3-5-1 1    | 1-3-5 R    | 5-1-3 2    | 3-5-1 1    | 5-3-1 2    | 3-1-5 1
A      C#m  | 1-b3-5 R   | 5-1-b3 2   | b3-5-1 1   | 1-b3-5 R   | b3-1-5 1   | 1-5-b3 R
B+C    F#m  | 5-1-b3 2   | b3-5-1 1   | A 5-1-3 2  | Asus2 2-5-1 1 | A 5-3-1 2  | B7 1-b7-5 R
E      G#m  | b3-5-1 1   | 1-b3-5 R   | 5-1-b3 2   | b3-5-1 1   | 5-b3-1 2   | b3-1-5 1
½A+B   Am   | b3-5-1 1   | 1-b3-5 R   | 5-1-b3 2   | b3-5-1 1   | 5-b3-1 2   | b3-1-5 1
F      Fdim | b5-1-b3 2  | b3-b5-1 1  | 1-b3-b5 R  | b5-1-b3 2  | 1-b5-b3 R  | b5-b3-1 2
½A     E+   | #5-1-3 2   | 3-#5-1 1   | 1-3-#5 R   | #5-1-3 2   | 1-#5-3 R   | #5-3-1 2
A+B+F  A+   | 3-#5-1 1   | 1-3-#5 R   | #5-1-3 2   | 3-#5-1 1   | #5-3-1 2   | 3-1-#5 1
B+E    B7   | 1-3-b7 R   | b7-1-3 3   | 3-b7-1 1   | 1-3-b7 R   | 3-1-b7 1   | 1-b7-3 R
";

#[test]
fn every_basic_grip_gives_its_inversion_in_every_position() {
    let e9 = e9();
    for row in INVERSIONS.trim().lines() {
        let mut cells = row.split('|').map(str::split_whitespace);
        let head: Vec<&str> = cells.next().unwrap().collect();
        for (strings, cell) in GRIPS.iter().zip(cells) {
            let cell: Vec<&str> = cell.collect();
            let chord = if cell.len() == 3 { cell[0] } else { head[1] };
            let inversion = match cell[cell.len() - 1] {
                "R" => Inversion::Root,
                "1" => Inversion::First,
                "2" => Inversion::Second,
                _ => Inversion::Third,
            };
            let found = hold(&e9, chord, 0, head[0], strings);
            let found = found.map(|h| (labels(&h), h.inversion));
            assert_eq!(
                found,
                Some((cell[cell.len() - 2].to_owned(), inversion)),
                "{row}: {strings}"
            );
        }
    }
}

#[test]
fn b_and_c_give_their_minor_chord_only_where_strings_4_and_5_are_picked() {
    let e9 = e9();
    for strings in ["3-4-5", "4-5-6", "5-6-7", "1-3-5"] {
        assert!(hold(&e9, "F#m", 0, "B+C", strings).is_some(), "{strings}");
    }
    for strings in ["5-6-8", "6-8-10", "3-5-8", "4-6-10"] {
        assert_eq!(hold(&e9, "F#m", 0, "B+C", strings), None, "{strings}");
    }
    let triads = PitchClass::all().flat_map(|class| {
        let root = "C".parse::<Chord>().unwrap().spell(class);
        [format!("{root}"), format!("{root}m")]
    });
    for triad in triads {
        assert_eq!(hold(&e9, &triad, 0, "B+C", "6-8-10"), None, "{triad}");
    }
}

/// What is pressed, kind of chord, grips, and how many frets above the no-pedal fret of its root it lies.
const POSITIONS: [(&str, &str, &[&str], u8); 9] = [
    ("none", "", &GRIPS, 0),
    ("A+F", "", &GRIPS, 3),
    ("A+B", "", &GRIPS, 7),
    ("E", "", &["1-4-5", "5-7-8", "7-8-10"], 5),
    ("A", "m", &GRIPS, 3),
    ("B+C", "m", &["3-4-5", "4-5-6", "5-6-7", "1-3-5"], 10),
    ("E", "m", &GRIPS, 8),
    ("½A+B", "m", &GRIPS, 7),
    ("A+B", "m", &["1-3-5", "5-6-7", "6-7-10"], 10),
];

#[test]
fn every_position_has_its_distance_from_the_no_pedal_fret_in_all_keys() {
    let e9 = e9();
    for root in ["E", "F", "F#", "G", "Ab", "A", "Bb", "B", "C", "C#", "D", "Eb"]
        .into_iter()
        .zip(0_u8..)
    {
        for (pressed, kind, grips, above) in POSITIONS {
            let chord = format!("{}{kind}", root.0);
            for strings in grips {
                for fret in 0..=24 {
                    let sounds = hold(&e9, &chord, fret, pressed, strings).is_some();
                    let here = fret % 12 == (root.1 + above) % 12;
                    assert_eq!(sounds, here, "{chord} with {pressed} on {strings} at {fret}");
                }
            }
        }
    }
}

/// Chord, what is pressed, strings, and the tones that are missing.
const COLOURS: [(&str, &str, &str, &str); 23] = [
    ("E7", "none", "5-6-8-9", ""),
    ("E7", "none", "5-6-9", "1"),
    ("E7", "½D", "2-3-4-5", ""),
    ("E7", "½D", "2-3-5", "1"),
    ("B7", "B", "1-2-3-5", ""),
    ("B7", "B+E", "4-5-6", "5"),
    ("Emaj7", "none", "2-3-4-5", ""),
    ("G#m7", "none", "1-2-3-5", ""),
    ("C#m7", "C", "5-6-8-10", ""),
    ("C#m7", "D", "2-3-4-5", ""),
    ("F#m7", "B+C", "4-5-6-8", ""),
    ("F#m7", "A+B", "5-6-7-8", ""),
    ("Bm7", "B", "1-3-5-9", ""),
    ("Fdim7", "F", "3-4-5-9", ""),
    ("Fdim7", "F", "5-6-8-9", ""),
    ("G#dim7", "F", "3-4-5-9", ""),
    ("Bdim7", "F", "3-4-5-9", ""),
    ("Ddim7", "F", "3-4-5-9", ""),
    ("G#m7b5", "none", "1-3-5-9", ""),
    ("Dmaj7", "A+B", "1-3-5-9", ""),
    ("C#maj7", "½A+F", "4-5-6", "1"),
    ("C#7", "F", "4-5-6", "1"),
    ("Edim", "none", "4-5-6", "no hold"),
];

#[test]
fn sevenths_and_colours_lie_where_the_table_says() {
    let e9 = e9();
    for (name, pressed, strings, lacks) in COLOURS {
        let chord: Chord = name.parse().unwrap();
        let missing = hold(&e9, name, 0, pressed, strings).map_or("no hold".to_owned(), |hold| {
            hold.missing(&chord).map(|t| t.label()).collect::<Vec<_>>().join(" ")
        });
        assert_eq!(missing, lacks, "{name} with {pressed} on {strings}");
    }
}

/// The note of a string in a major key: its no-pedal fret `k`, a degree from 1.
fn degree(k: u8, degree: usize) -> PitchClass {
    const SCALE: [i16; 7] = [0, 2, 4, 5, 7, 9, 11];
    let e = "E".parse::<Chord>().unwrap().root.class();
    PitchClass::new(i16::from(e.number()) + i16::from(k) + SCALE[degree - 1])
}

fn note(instrument: &Instrument, string: u8, fret: u8, pressed: &str) -> NoteNumber {
    let place = Place::straight(fret, stance(instrument, pressed));
    instrument.note(StringNumber::new(string).unwrap(), place).unwrap()
}

#[test]
fn the_harmonised_scale_runs_in_sixths_on_5_and_3_and_in_thirds_on_6_and_5() {
    let e9 = e9();
    // Degree on string 3, degree on string 5, frets above the no-pedal fret, what is pressed.
    let rows = [
        (3, 5, 0, "none"),
        (4, 6, 0, "A+B"),
        (5, 7, 2, "A+B"),
        (6, 1, 5, "none"),
        (7, 2, 7, "none"),
        (1, 3, 7, "A+B"),
        (2, 4, 10, "none"),
        (3, 5, 12, "none"),
    ];
    for k in 0..12 {
        for (third, fifth, above, pressed) in rows {
            let at = |string| note(&e9, string, k + above, pressed);
            assert_eq!(at(3).class(), degree(k, third), "string 3, {above} above {k}");
            assert_eq!(at(5).class(), degree(k, fifth), "string 5, {above} above {k}");
            assert_eq!(at(3).above(at(6)).0, 12, "string 6 is an octave below string 3");
            assert!(
                (8..=9).contains(&at(3).above(at(5)).0),
                "strings 5 and 3 are a sixth apart"
            );
            assert!(
                (3..=4).contains(&at(5).above(at(6)).0),
                "strings 6 and 5 are a third apart"
            );
        }
    }
}

#[test]
fn the_triads_of_a_key_lie_where_the_table_says() {
    let e9 = e9();
    // In G: k is 3. Chord, what is pressed, frets from k.
    let rows = [
        ("G", "none", 0),
        ("G", "A+B", 7),
        ("Am", "B+C", 0),
        ("Bm", "B+C", 2),
        ("Bm", "E", 0),
        ("C", "A+B", 0),
        ("D", "A+B", 2),
        ("Em", "A", 0),
        ("Em", "B+C", 7),
        ("F#dim", "F", -2),
    ];
    for (chord, pressed, from_k) in rows {
        for strings in ["3-4-5", "4-5-6"] {
            let fret = u8::try_from(3 + from_k).unwrap();
            let found = hold(&e9, chord, fret, pressed, strings);
            let complete = found.is_some_and(|h| h.missing(&chord.parse().unwrap()).next().is_none());
            assert!(complete, "{chord} with {pressed} at {fret} on {strings}");
        }
    }
    assert!(hold(&e9, "F#dim", 10, "none", "5-6-9").is_some());
}

#[test]
fn a_major_scale_can_be_played_without_moving_the_bar() {
    let e9 = e9();
    let steps = [
        (8, "none", 1),
        (7, "none", 2),
        (6, "none", 3),
        (6, "B", 4),
        (5, "none", 5),
        (5, "A", 6),
        (2, "none", 7),
        (4, "E", 7),
        (4, "none", 1),
    ];
    for k in 0..12 {
        for (string, pressed, wanted) in steps {
            assert_eq!(
                note(&e9, string, k, pressed).class(),
                degree(k, wanted),
                "string {string} with {pressed}"
            );
        }
    }
}

#[test]
fn unisons_are_had_with_the_bar_still() {
    let e9 = e9();
    let low_6 = e9.with_option("right-knee-left", "1-2-6").unwrap();
    let unisons = [
        (&e9, 1, 3, "G", "G#4"),
        (&e9, 2, 4, "G", "E4"),
        (&e9, 4, 1, "C", "F#4"),
        (&e9, 4, 2, "E", "D#4"),
        (&e9, 2, 5, "D+A", "C#4"),
        (&low_6, 6, 7, "G", "F#3"),
        (&e9, 9, 10, "D+A", "C#3"),
    ];
    for (instrument, one, other, pressed, pitch) in unisons {
        let pitch: leadbar::theory::Pitch = pitch.parse().unwrap();
        for string in [one, other] {
            assert_eq!(
                Some(note(instrument, string, 0, pressed)),
                pitch.number(),
                "string {string} with {pressed}"
            );
        }
    }
}

#[test]
fn every_shipped_instrument_is_tuned_as_the_trade_tunes_it() {
    // Note numbers from string 1. Common practice, no source; E9: Wikipedia, "Copedent".
    let tunings: [(&str, &[u8]); 9] = [
        ("e9", &[66, 63, 68, 64, 59, 56, 54, 52, 50, 47]),
        ("e9-3-3", &[66, 63, 68, 64, 59, 56, 54, 52, 50, 47]),
        ("c6", &[67, 64, 60, 57, 55, 52, 48, 45, 41, 36]),
        ("universal", &[66, 63, 68, 64, 59, 56, 54, 52, 47, 44, 40, 35]),
        ("c6-lap-6", &[64, 60, 57, 55, 52, 48]),
        ("c6-lap-8", &[67, 64, 60, 57, 55, 52, 48, 45]),
        ("open-d", &[62, 57, 54, 50, 45, 38]),
        ("open-e", &[64, 59, 56, 52, 47, 40]),
        ("open-g", &[62, 59, 55, 50, 47, 43]),
    ];
    let named = tunings.len();
    assert_eq!(
        leadbar::steel::shipped::ids().len(),
        named,
        "an instrument lacks its tuning in this table"
    );
    for (id, notes) in tunings {
        let instrument = Instrument::shipped(id).unwrap();
        let open: Vec<u8> = instrument.strings.iter().map(|s| s.pitch.number().unwrap().0).collect();
        assert_eq!(open, notes, "{id}");
    }
}

/// Source: Wikipedia, "Universal tuning": with the Es lowered the universal tuning is B6, a C6 one semitone down.
#[test]
fn the_universal_with_its_es_lowered_is_c6_a_semitone_down() {
    let (universal, c6) = (
        Instrument::shipped("universal").unwrap(),
        Instrument::shipped("c6").unwrap(),
    );
    // Pedals of C6, and the lever that lowers its C, with those that do the same on the universal.
    let pairs = [
        ("none", "E"),
        ("P4", "E+P4"),
        ("P6", "E+P6"),
        ("P7", "E+P7"),
        ("P8", "E+P8"),
        ("P5", "E+P5"),
        ("LKL", "E+V"),
    ];
    let low = c6.with_option("p5", "low").unwrap();
    for (on_c6, on_universal) in pairs {
        for string in 2..=10 {
            let there = note(&universal, string + 2, 1, on_universal);
            let here = note(&low, string, 0, on_c6);
            // The universal's lever lowers both of its Bs, where the C6's lowers only the upper C.
            if on_c6 == "LKL" && string == 7 {
                assert_eq!(here.above(there).0, 1);
            } else {
                assert_eq!(there, here, "string {string} with {on_c6}");
            }
        }
    }
}
