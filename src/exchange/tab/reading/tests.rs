//! What is read of tablature, and that what is written reads back.

use super::*;
use crate::exchange::tab::{Characters, Signs, Tab};
use crate::sample;
use crate::solo::Limits;
use crate::solo::stroke::{Arrival, Attack, Grip, Stroke};
use crate::solo::{Kind, Request};
use crate::steel::{ChangeId, Fret, Place as Stand, Stance, StringNumber};
use crate::theory::Beats;
use proptest::prelude::*;

fn limits() -> Limits {
    Limits::parse(include_str!("../../../../static/limits/pro.toml")).expect("the limits")
}

fn song() -> Timeline {
    sample::song()
}

/// The tab of moves, as text.
fn written(moves: Vec<Move>, width: usize) -> String {
    let pass = Pass {
        moves: moves.into_iter().map(std::sync::Arc::new).collect(),
        request: Request::default(),
        length: song().length(),
    };
    let performance = pass.performance(&sample::e9(), &limits(), song().tempo);
    Tab::of(&performance, &sample::e9(), &song(), Signs::Letters).text(Characters(width))
}

fn read_sample(text: &str) -> ReadTab {
    read(text, &sample::e9(), &song())
}

fn strokes(read: &ReadTab) -> Vec<Stroke> {
    read.moves.iter().flat_map(Move::timed).collect()
}

#[test]
fn a_typed_line_without_a_count_shares_the_bar_by_place() {
    let read = read_sample("bar 2\n5 |-3---3A--3---3A-|\n");
    assert_eq!(read.problems, []);
    let at: Vec<f64> = strokes(&read).iter().map(|s| s.at.0).collect();
    assert_eq!(at, [4.0, 5.0, 6.25, 7.25]);
    assert_eq!(strokes(&read)[1].grip.place.stance, Stance::OPEN.with(ChangeId(0)));
}

#[test]
fn slides_squeezes_and_stops_are_read() {
    let text = "\
bar 1
count   1           3   4
 4 E  |-1/3---------3---x---|
 5 B  |-1/3---------3~3A----|
";
    let read = read_sample(text);
    assert_eq!(read.problems, []);
    let all = strokes(&read);
    assert!(
        matches!(all[0].arrival, Arrival::Slid { from: Fret(1.0), .. }),
        "{:?}",
        all[0]
    );
    assert_eq!(all[0].grip.place.fret, 3);
    assert_eq!(all[1].at, Beats(2.0));
    assert!(
        all.iter()
            .any(|s| s.arrival != Arrival::Struck && s.grip.place.stance != Stance::OPEN && s.at >= Beats(2.0))
    );
    let stopped = |s: &&Stroke| s.grip.strings.iter().eq(StringNumber::new(4)) && s.until == Beats(3.0);
    assert!(
        all.iter().any(|s| stopped(&s)),
        "string 4 stops on the last count alone: {all:?}"
    );
}

#[test]
fn lap_players_accidentals_and_lower_case_letters_find_their_change() {
    let a = Stance::OPEN.with(ChangeId(0));
    for typed in ["3##", "3a", "3A"] {
        let read = read_sample(&format!("5 B |-{typed}---|"));
        assert_eq!(
            (read.problems.len(), strokes(&read)[0].grip.place.stance),
            (0, a),
            "{typed}"
        );
    }
}

#[test]
fn every_doubt_has_its_line_and_column() {
    for (text, line, column, words) in [
        ("bar 1\n4 E |-3-q-|", 2, 9, "is no sign of tab"),
        ("bar 9\n4 E |-3---|", 2, 6, "there is no bar 9"),
        ("4 E |-3---|\n5 B |-5---|", 2, 7, "one fret at a time"),
        ("4 E |-~3--|", 1, 7, "does not ring here"),
        ("4 E |-3*4-|", 1, 7, "12, 7 or 5 frets"),
        ("4 E |-3*--|\n5 B |-3---|", 2, 7, "touched or none"),
        ("4 E |-3.5-|", 1, 7, "between frets"),
        ("4 E |-99--|", 1, 7, "no fret 99"),
        ("1 F# |-3###-|", 1, 8, "nothing on this instrument"),
        ("count   9\n4 E   |-3-|", 1, 9, "is no count"),
        ("4 E |-3---|\n5 B |-3-|--|", 2, 1, "bar lines"),
    ] {
        let problems = read_sample(text).problems;
        let found = problems
            .iter()
            .any(|p| p.place == Place { line, column } && p.words.contains(words));
        assert!(found, "{text:?}: {problems:?}");
    }
}

#[test]
fn a_harmonic_is_read_with_how_far_up_it_is_touched() {
    for (text, above) in [("4 E |-3*--|", 12), ("4 E |-3*7-|", 7), ("4 E |-3*5-|\n5 B |-3*5-|", 5)] {
        let read = read_sample(text);
        assert!(read.problems.is_empty(), "{text}: {:?}", read.problems);
        assert_eq!(strokes(&read)[0].attack, Attack::Harmonic(above), "{text}");
    }
}

#[test]
fn the_sample_solo_is_read_pick_by_pick() {
    let text = Tab::of(&sample::solo(), &sample::e9(), &song(), Signs::Letters).text(Characters(80));
    let read = read_sample(&text);
    assert!(read.problems.is_empty(), "{:?}", read.problems);
    let picks: usize = strokes(&read)
        .iter()
        .filter(|s| s.arrival.plucks())
        .map(|s| s.grip.strings.len())
        .sum();
    assert_eq!(picks, sample::solo().plucks.len());
}

/// A stroke on the grid of a typed tab: strings, fret, whether A is pressed, and how it arrives.
#[derive(Debug, Clone)]
struct Wish {
    strings: Vec<u8>,
    fret: u8,
    pedal: bool,
    arrival: u8,
}

fn wishes() -> impl Strategy<Value = Vec<(u32, Wish)>> {
    let wish = (
        proptest::sample::subsequence(vec![3_u8, 4, 5, 6, 8], 1..=3),
        1_u8..14,
        any::<bool>(),
        0_u8..4,
    )
        .prop_map(|(strings, fret, pedal, arrival)| Wish {
            strings,
            fret,
            pedal,
            arrival,
        });
    proptest::collection::btree_map(0_u32..15, wish, 1..8).prop_map(|m| m.into_iter().collect())
}

/// Moves a beat or more apart, each with one stroke.
fn asked(wishes: &[(u32, Wish)]) -> Vec<Move> {
    let ends = wishes.iter().skip(1).map(|(at, _)| *at).chain([16]);
    wishes
        .iter()
        .zip(ends)
        .map(|((at, wish), end)| {
            let length = Beats(f64::from(end - at));
            let stance = if wish.pedal {
                Stance::OPEN.with(ChangeId(0))
            } else {
                Stance::OPEN
            };
            let grip = Grip {
                place: Stand::straight(wish.fret, stance),
                strings: wish.strings.iter().copied().filter_map(StringNumber::new).collect(),
            };
            let time = Beats(0.2);
            let arrival = match wish.arrival {
                0 => Arrival::Slid {
                    from: Fret(f64::from(wish.fret) + 2.0),
                    time,
                },
                1 => Arrival::Squeezed {
                    from: if wish.pedal {
                        Stance::OPEN
                    } else {
                        Stance::OPEN.with(ChangeId(0))
                    },
                    time,
                },
                _ => Arrival::Struck,
            };
            Move {
                kind: Kind::Strike,
                at: Beats(f64::from(*at)),
                length,
                strokes: vec![Stroke::struck(grip, Beats::ZERO, length).arriving(arrival)],
                locked: false,
            }
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn tab_that_is_read_and_written_again_is_the_same_tab(wishes in wishes(), width in 50_usize..120) {
        let text = written(asked(&wishes), width);
        let read = read_sample(&text);
        prop_assert_eq!(&read.problems, &[], "{}", text);
        let again = written(read.moves, width);
        prop_assert_eq!(&again, &text, "first:\n{}\nagain:\n{}", text, again);
    }

    #[test]
    fn any_text_is_read_without_a_panic(text in "([ -~½\n]|[0-9/~x|-]){0,300}") {
        let _ = read_sample(&text);
    }

    #[test]
    fn any_rows_are_read_without_a_panic(rows in proptest::collection::vec("[0-9/\\\\~xAB½.|-]{0,40}", 1..6)) {
        let text: String = rows.iter().enumerate().map(|(i, row)| format!("{} E |{row}\n", i + 3)).collect();
        let _ = written(read_sample(&text).moves, 80);
    }
}
