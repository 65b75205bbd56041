//! Instrument files: those that are shipped, and what is said of those that are wrong.

use leadbar::steel::instrument::{ControlError, parse, shipped};
use leadbar::steel::{Control, Fret, Instrument, Place, Stance, StringNumber, Travel};
use leadbar::theory::{Cents, NoteNumber, Semitones};

fn string(number: u8) -> StringNumber {
    StringNumber::new(number).unwrap()
}

fn e9() -> Instrument {
    Instrument::shipped("e9").unwrap()
}

#[test]
fn every_shipped_instrument_is_read_without_a_fault() {
    for id in shipped::ids() {
        let instrument = parse(shipped::text(id).unwrap()).unwrap_or_else(|e| panic!("{id}:\n{e}"));
        assert_eq!(instrument.id, id);
        for choice in &instrument.choices {
            assert!(
                choice.options[0].holds_for(&instrument),
                "{id}: the first option of {} is not how it is written",
                choice.id
            );
            for option in &choice.options {
                let chosen = instrument.with_option(&choice.id, &option.id).unwrap();
                assert!(option.holds_for(&chosen));
                let back = chosen.with_option(&choice.id, &choice.options[0].id).unwrap();
                assert_eq!(back, instrument, "{id}: {} cannot be undone", option.id);
            }
        }
    }
}

#[test]
fn the_d_lever_stops_at_d_and_ends_at_c_sharp_with_string_9() {
    let e9 = e9();
    let d = e9.change_named("D").unwrap();
    let at = |number, travel| e9.pulled(string(number), |c| if c == d { Travel(travel) } else { Travel::UP });
    assert_eq!(at(2, 0.5), Cents(-100.0));
    assert_eq!(at(9, 0.5), Cents(0.0));
    assert_eq!(at(2, 1.0), Cents(-200.0));
    assert_eq!(at(9, 1.0), Cents(-100.0));
    let half = Stance::OPEN.with_half(d);
    assert_eq!(e9.shift(string(2), half), Some(Semitones(-1)));
}

#[test]
fn of_two_raises_the_longer_wins_and_a_raise_and_a_lower_both_act() {
    let e9 = e9();
    let shift = |names: &[&str], number| e9.shift(string(number), e9.stance_of(names).unwrap());
    assert_eq!(shift(&["A", "C"], 5), Some(Semitones(2)));
    assert_eq!(shift(&["F", "C"], 4), Some(Semitones(2)));
    assert_eq!(shift(&["A", "V"], 5), Some(Semitones(1)));
}

#[test]
fn a_string_between_two_notes_has_no_note() {
    let e9 = e9();
    let half_f = Stance::OPEN.with_half(e9.change_named("F").unwrap());
    assert_eq!(e9.shift(string(4), half_f), None);
    assert_eq!(e9.shift(string(3), half_f), Some(Semitones(0)));
    let place = Place::straight(3, half_f);
    assert_eq!(e9.note(string(4), place), None);
    assert_eq!(e9.note(string(3), place), Some(NoteNumber(71)));
    assert_eq!(e9.note(string(11), place), None);
}

#[test]
fn height_follows_bar_travel_and_offset_continuously() {
    let mut e9 = e9();
    e9.strings[4].offset = Cents(-3.0);
    let a = e9.change_named("A").unwrap();
    let height = e9
        .height(
            string(5),
            Fret(3.25),
            |c| if c == a { Travel(0.25) } else { Travel::UP },
        )
        .unwrap();
    assert!((height.0 - (59.0 + 3.25 + 0.5 - 0.03)).abs() < 1e-12);
}

#[test]
fn every_control_reads_back_as_it_is_written() {
    for short in ["P1", "P8", "P12", "LKL", "LKR", "LKV", "RKL", "RKR", "RKV"] {
        assert_eq!(short.parse::<Control>().unwrap().to_string(), short);
    }
    for wrong in ["", "P0", "P13", "P", "knee", "P-1"] {
        assert_eq!(wrong.parse::<Control>(), Err(ControlError(wrong.to_owned())));
    }
}

#[test]
fn the_mirrored_pedal_order_moves_pedals_and_keeps_changes() {
    let e9 = e9();
    let cba = e9.with_option("pedals", "cba").unwrap();
    let control = |i: &Instrument, name: &str| i.change(i.change_named(name).unwrap()).unwrap().control;
    assert_eq!(control(&e9, "A"), Control::Pedal(1));
    assert_eq!(control(&cba, "A"), Control::Pedal(3));
    assert_eq!(control(&cba, "B"), Control::Pedal(2));
    assert_eq!(cba.change_named("A"), e9.change_named("A"));
    let said = e9.with_option("pedals", "bca").unwrap_err().to_string();
    assert_eq!(said, "\"Pedal order\" cannot be \"bca\"; it can be abc, cba");
}

/// A small instrument that is right, to spoil line by line.
const GOOD: &str = r#"id = "two"
name = "Two strings"
scale-length-mm = 600
[[strings]]
pitch = "E4"
gauge = 14
[[strings]]
pitch = "C4"
gauge = 17
[[changes]]
name = "A"
control = "P1"
moves = { 2 = 2 }
"#;

fn faults(text: &str) -> String {
    parse(text).unwrap_err().to_string()
}

#[test]
fn a_fault_says_where_what_and_what_to_write() {
    assert!(parse(GOOD).is_ok());
    let cases = [
        (
            "pitch = \"E4\"",
            "pitch = \"H4\"",
            "line 5, column 9: \"H4\" is not a note name: write a letter A to G, then # or b if needed, as in F# or Bb",
        ),
        (
            "pitch = \"E4\"",
            "pitch = \"E\"",
            "line 5, column 9: \"E\" needs an octave from -1 to 9 after the name, as in E4",
        ),
        (
            "pitch = \"E4\"",
            "pitch = \"E9\"",
            "line 5, column 9: no string sounds E9; write a pitch from C0 to C7",
        ),
        (
            "gauge = 14",
            "gauge = 0.014",
            "line 6, column 9: 0.014 cannot be right for a gauge; write a number from 6 to 90 \
             (thousandths of an inch: a .012 string is 12)",
        ),
        (
            "gauge = 14",
            "gage = 14",
            "line 4, column 1: `gauge` is missing; write for example gauge = 14\n\
             line 6, column 1: `gage` means nothing here; known are pitch, gauge, wound, offset-cents",
        ),
        (
            "scale-length-mm = 600",
            "scale-length-mm = \"600\"",
            "line 3, column 19: a number is wanted here, not text",
        ),
        (
            "control = \"P1\"",
            "control = \"LKX\"",
            "line 12, column 11: \"LKX\" is no pedal or lever; write P1 to P12 for a pedal, LKL, LKR or LKV for the \
             left knee, RKL, RKR or RKV for the right",
        ),
        (
            "{ 2 = 2 }",
            "{ 3 = 2 }",
            "line 13, column 11: there is no string 3; the instrument has 2",
        ),
        (
            "{ 2 = 2 }",
            "{}",
            "line 13, column 9: this moves nothing; write for example moves = { 5 = 2, 10 = 2 }",
        ),
        (
            "{ 2 = 2 }",
            "{ 2 = { by = 1, from = 0.7, to = 0.5 } }",
            "line 13, column 15: `from` must be less than `to`; both are travels from 0 (released) to 1 (at the stop)",
        ),
        (
            "{ 2 = 2 }",
            "{ 2 = 2 }\n[[changes]]\nname = \"B\"\ncontrol = \"P1\"\nmoves = { 1 = 1 }",
            "line 14, column 1: P1 works \"A\" and \"B\"; give each its own pedal or lever",
        ),
    ];
    for (good, bad, said) in cases {
        assert_eq!(faults(&GOOD.replacen(good, bad, 1)), said, "for {bad}");
    }
}

#[test]
fn all_faults_are_told_at_once() {
    let text = GOOD
        .replacen("E4", "X", 1)
        .replacen("17", "170", 1)
        .replacen("P1", "P99", 1);
    let error = parse(&text).unwrap_err();
    let lines: Vec<_> = error.faults().iter().map(|f| f.line).collect();
    assert_eq!(lines, [5, 9, 12]);
}

#[test]
fn a_text_that_is_not_toml_is_told_where() {
    let said = faults("id = \"two\nname = 3");
    assert!(said.starts_with("line 1, column "), "{said}");
    assert!(said.contains("this is not TOML"), "{said}");
}
