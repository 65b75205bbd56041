//! Laws of instruments and holds over random ones: a hold sounds what it says, none is forgotten, nothing panics.

use leadbar::steel::hold::{HoldQuery, Tones, enumerate, essential, homes};
use leadbar::steel::instrument::{IN_TUNE, parse, shipped};
use leadbar::steel::{ChangeId, Fret, Hold, Instrument, Place, Stance, StringNumber, StringSet, Travel, body, slant};
use leadbar::theory::{Cents, Chord, ChordTone, NoteName, Quality};
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeSet;
use std::fmt::Write;

const CONTROLS: [&str; 8] = ["P1", "P2", "P3", "P4", "LKL", "LKR", "LKV", "RKL"];

/// Text that means harm: signs of the format, numbers that no instrument has, and anything else.
fn hostile() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        select(vec![
            "[[strings]]",
            "[[changes]]",
            "[",
            "]]",
            "{",
            "}",
            "=",
            "\n",
            "\"",
            "'''",
            "#",
            "pitch",
            "gauge",
            "moves",
            "frets",
            "control",
            "id = \"x\"",
            "name = 3",
            "gauge = 1e400",
            "gauge = -0",
            "gauge = nan",
            "frets = 99999999999999999999",
            "pitch = \"H4\"",
            "pitch = \"C99\"",
            "scale-length-mm = inf",
            "moves = { 1 = 300, 99 = 1 }",
            "half-stop = 9",
            "control = \"P0\"",
            "string-spacing-mm = { nut = 0, bridge = -1 }",
            "\u{feff}",
            "\0",
            "\u{1d11e}",
        ])
        .prop_map(str::to_owned),
        "\\PC{0,6}",
        "[0-9.eE+-]{0,8}",
    ];
    prop::collection::vec(word, 0..30).prop_map(|words| words.join(" "))
}

/// A player's own file: strings with offsets, changes with parts of the way and half places.
fn own_file() -> impl Strategy<Value = String> {
    let string = (
        2_i8..=5,
        select(vec!["C", "C#", "D", "Eb", "E", "F#", "G", "Ab", "A", "B"]),
        -20_i32..=20,
    );
    let strings = prop::collection::vec(string, 1..=12);
    let pull = (
        1_usize..=12,
        select(vec![-2.0, -1.0, 1.0, 2.0, 3.0, 0.95, -1.1, 0.5]),
        any::<bool>(),
    );
    let change = (
        prop::collection::vec(pull, 1..=4),
        select(vec!["", "half-stop = 0.5", "half-by-ear = 0.4"]),
    );
    let changes = prop::collection::vec(change, 0..=6);
    (strings, changes).prop_map(|(strings, changes)| {
        let mut text = "id = \"own\"\nname = \"Own\"\nscale-length-mm = 600\n".to_owned();
        for (octave, name, offset) in &strings {
            let _ = writeln!(
                text,
                "[[strings]]\npitch = \"{name}{octave}\"\ngauge = 20\noffset-cents = {offset}"
            );
        }
        for ((pulls, half), control) in changes.iter().zip(CONTROLS) {
            let _ = writeln!(
                text,
                "[[changes]]\nname = \"{control}\"\ncontrol = \"{control}\"\n{half}"
            );
            let mut moved = BTreeSet::new();
            let mut moves = Vec::new();
            for (string, by, late) in pulls {
                let string = (string - 1) % strings.len() + 1;
                if moved.insert(string) {
                    let from = if *late { 0.5 } else { 0.0 };
                    moves.push(format!("{string} = {{ by = {by}, from = {from} }}"));
                }
            }
            let _ = writeln!(text, "moves = {{ {} }}", moves.join(", "));
        }
        text
    })
}

/// A shipped instrument with one of its choices taken, or a player's own.
fn instrument() -> impl Strategy<Value = Instrument> {
    let ids: Vec<_> = shipped::ids().collect();
    let chosen = (select(ids), any::<prop::sample::Index>(), any::<prop::sample::Index>());
    let chosen = chosen.prop_map(|(id, choice, option)| {
        let instrument = Instrument::shipped(id).unwrap();
        if instrument.choices.is_empty() {
            return instrument;
        }
        let choice = choice.get(&instrument.choices);
        instrument
            .with_option(&choice.id, &option.get(&choice.options).id)
            .unwrap()
    });
    prop_oneof![chosen, own_file().prop_map(|text| parse(&text).unwrap())]
}

fn chord() -> impl Strategy<Value = Chord> {
    let roots: Vec<_> = NoteName::all_within(1).collect();
    (select(roots), select(Quality::ALL.to_vec())).prop_map(|(root, quality)| Chord::new(root, quality))
}

fn query() -> impl Strategy<Value = HoldQuery> {
    let tones = select(vec![Tones::All, Tones::Essential, Tones::Any]);
    (
        0_u8..=24,
        0_u8..=13,
        1_usize..=3,
        0_usize..=1,
        1_usize..=8,
        tones,
        any::<bool>(),
    )
        .prop_map(|(first, more, least, most, reach, tones, needed)| HoldQuery {
            frets: first..=first + more,
            strings: least..=least + most,
            reach,
            tones,
            needed,
            stances: None,
        })
}

fn required(chord: &Chord, tones: Tones) -> Vec<ChordTone> {
    match tones {
        Tones::All => chord.tones().map(|(tone, _)| tone).collect(),
        Tones::Essential => essential(chord).into_iter().collect(),
        Tones::Any => Vec::new(),
    }
}

/// Whether strings at a place are what a query asks for, reckoned string by string.
fn answers(instrument: &Instrument, chord: &Chord, query: &HoldQuery, place: Place, strings: StringSet) -> bool {
    let tone = |s| instrument.note(s, place).and_then(|note| chord.tone_of(note.class()));
    let Some(tones) = strings.iter().map(tone).collect::<Option<Vec<ChordTone>>>() else {
        return false;
    };
    let (Some(first), Some(last)) = (strings.iter().next(), strings.iter().next_back()) else {
        return false;
    };
    let moves = |id: ChangeId| {
        let travel = instrument.travel(place.stance, id);
        let pulls = &instrument.change(id).unwrap().pulls;
        pulls
            .iter()
            .any(|p| strings.contains(p.string) && p.at(travel).0.abs() > 0.0)
    };
    query.strings.contains(&strings.len())
        && last.index() - first.index() < query.reach
        && required(chord, query.tones).iter().all(|tone| tones.contains(tone))
        && (!query.needed || place.stance.pressed().all(moves))
}

fn sounds_what_it_says(instrument: &Instrument, chord: &Chord, hold: &Hold) {
    let place = hold.place;
    assert_eq!(
        hold.voices.iter().map(|v| v.string).collect::<StringSet>(),
        hold.strings
    );
    assert!(hold.voices.windows(2).all(|w| w[0].note <= w[1].note));
    for voice in &hold.voices {
        assert_eq!(instrument.note(voice.string, place), Some(voice.note));
        assert_eq!(chord.tone_of(voice.note.class()), Some(voice.tone));
        // As it is heard, the player's tuning offset apart.
        let travel = |id| instrument.travel(place.stance, id);
        let heard = instrument
            .height(voice.string, place.fret_on(instrument, voice.string), travel)
            .unwrap();
        let offset = instrument.strings[voice.string.index()].offset;
        let off = heard.above(voice.note.height()) - offset;
        let slanted = if place.slant.is_some() {
            slant::IN_TUNE
        } else {
            Cents(0.0)
        };
        assert!(off.0.abs() <= IN_TUNE.0 + slanted.0 + 1e-6, "{off:?}");
    }
    let missing: Vec<_> = hold.missing(chord).collect();
    for (tone, _) in chord.tones() {
        assert_ne!(missing.contains(&tone), hold.voices.iter().any(|v| v.tone == tone));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_hold_sounds_what_it_says_and_is_what_was_asked(
        instrument in instrument(), chord in chord(), query in query()
    ) {
        let found = enumerate(&instrument, &chord, &query);
        let mut once = BTreeSet::new();
        for hold in &found {
            sounds_what_it_says(&instrument, &chord, hold);
            prop_assert!(query.frets.contains(&hold.place.fret) && hold.place.fret <= instrument.frets);
            prop_assert!(body::can_hold(&instrument, hold.place.stance).is_ok());
            prop_assert!(answers(&instrument, &chord, &query, hold.place, hold.strings));
            prop_assert!(once.insert((hold.place, hold.strings)), "found twice: {:?}", hold);
        }
        prop_assert!(found.windows(2).all(|w| w[0].place.fret <= w[1].place.fret));
    }

    #[test]
    fn no_hold_is_forgotten(instrument in instrument(), chord in chord(), query in query(), stance in any::<prop::sample::Index>()) {
        let stance = *stance.get(&body::stances(&instrument));
        let query = HoldQuery { stances: Some(vec![stance]), ..query };
        let found: BTreeSet<_> = enumerate(&instrument, &chord, &query)
            .iter()
            .map(|hold| (hold.place.fret, hold.strings))
            .collect();
        let strings: Vec<StringNumber> = instrument.string_numbers().collect();
        let subset = |bits: u32| -> StringSet { strings.iter().copied().filter(|s| bits >> s.index() & 1 == 1).collect() };
        let sets: Vec<StringSet> = (1..1_u32 << strings.len()).filter(|bits| bits.count_ones() <= 4).map(subset).collect();
        for fret in query.frets.clone().filter(|fret| *fret <= instrument.frets) {
            let place = Place::straight(fret, stance);
            for strings in &sets {
                let wanted = answers(&instrument, &chord, &query, place, *strings);
                prop_assert_eq!(wanted, found.contains(&(fret, *strings)), "{} at {:?}", strings, place);
            }
        }
    }

    #[test]
    fn homes_are_holds_that_sound_what_they_say(instrument in instrument(), chord in chord()) {
        let every = enumerate(&instrument, &chord, &HoldQuery::default());
        for home in homes(&instrument, &chord) {
            sounds_what_it_says(&instrument, &chord, &home);
            if home.place.slant.is_some() {
                continue; // Only straight holds are enumerated.
            }
            let here = every.iter().filter(|h| h.place.fret == home.place.fret);
            prop_assert_eq!(here.map(|h| h.effort).min(), Some(home.effort));
        }
    }

    #[test]
    fn any_text_is_an_instrument_or_its_faults_are_told_by_line(
        text in hostile(), id in select(shipped::ids().collect::<Vec<_>>()), at in any::<prop::sample::Index>(),
        length in 0_usize..40, put in hostile(),
    ) {
        // Text of any kind, and a sound file with a piece of it overwritten.
        let sound = Instrument::shipped(id).unwrap().text();
        let chars: Vec<char> = sound.chars().collect();
        let from = at.index(chars.len());
        let to = (from + length).min(chars.len());
        let broken: String = chars[..from].iter().chain(put.chars().collect::<Vec<_>>().iter()).chain(&chars[to..]).collect();
        for text in [text, broken] {
            match parse(&text) {
                Ok(instrument) => prop_assert_eq!(parse(&instrument.text()).unwrap(), instrument),
                Err(error) => {
                    prop_assert!(!error.faults().is_empty());
                    let lines: Vec<&str> = text.split('\n').collect();
                    for fault in error.faults() {
                        let line = lines.get(fault.line - 1);
                        prop_assert!(line.is_some(), "line {} of {}", fault.line, lines.len());
                        let width = line.unwrap().chars().count();
                        prop_assert!(fault.column >= 1 && fault.column <= width + 1, "{}: {fault}", line.unwrap());
                        let told = format!("line {}", fault.line);
                        prop_assert!(fault.to_string().starts_with(&told));
                    }
                }
            }
        }
    }

    #[test]
    fn nothing_panics_for_any_stance_string_or_fret(
        instrument in instrument(), full in any::<u16>(), half in any::<u16>(), fret in any::<u8>(),
        change in any::<u8>(), travel in -2.0..=2.0_f64
    ) {
        let json = format!("{{\"full\":{full},\"half\":{half}}}");
        let stance: Stance = serde_json::from_str(&json).unwrap();
        let place = Place::straight(fret, stance);
        for number in 1..=14 {
            let string = StringNumber::new(number).unwrap();
            let note = instrument.note(string, place);
            let height = instrument.height(string, Fret(f64::from(fret)), |_| Travel(travel));
            prop_assert!(note.is_none() || usize::from(number) <= instrument.strings.len());
            prop_assert_eq!(height.is_some(), usize::from(number) <= instrument.strings.len());
            prop_assert!(height.is_none_or(|h| h.0.is_finite()));
        }
        let id = ChangeId(change);
        prop_assert_eq!(stance.with(id).without(id).travel(id), Travel::UP);
        let _ = body::can_hold(&instrument, stance.with_half(id));
        let query = HoldQuery { stances: Some(vec![stance]), frets: fret..=u8::MAX, ..HoldQuery::default() };
        let chord: Chord = "C13".parse().unwrap();
        let reached = enumerate(&instrument, &chord, &query);
        prop_assert!(reached.iter().all(|hold| hold.place.fret <= instrument.frets));
    }

    #[test]
    fn what_can_be_held_can_be_held_with_less(instrument in instrument(), stance in any::<prop::sample::Index>()) {
        let stance = *stance.get(&body::stances(&instrument));
        for id in stance.pressed() {
            prop_assert!(body::can_hold(&instrument, stance.without(id)).is_ok());
        }
    }

    #[test]
    fn a_spoiled_file_is_read_or_told_where_it_is_wrong(
        id in select(shipped::ids().collect::<Vec<_>>()), at in any::<prop::sample::Index>(),
        cut in 0_usize..=12, put in "[ -~\n]{0,6}"
    ) {
        let mut text = shipped::text(id).unwrap().to_owned();
        let start = at.index(text.len());
        let end = (start + cut).min(text.len());
        prop_assume!(text.is_char_boundary(start) && text.is_char_boundary(end));
        text.replace_range(start..end, &put);
        if let Err(error) = parse(&text) {
            let lines = text.matches('\n').count() + 1;
            prop_assert!(!error.faults().is_empty());
            for fault in error.faults() {
                prop_assert!((1..=lines).contains(&fault.line), "{fault}");
                let length = text.lines().nth(fault.line - 1).map_or(0, |l| l.chars().count());
                prop_assert!((1..=length + 1).contains(&fault.column), "{fault}");
            }
        }
    }
}
