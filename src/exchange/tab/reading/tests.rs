//! What is read of tablature, and that what is written reads back.

use super::*;
use crate::exchange::tab::{Characters, Signs, Tab};
use crate::sample;
use crate::solo::Limits;
use crate::solo::stroke::{Arrival, Attack, Grip, Stroke};
use crate::solo::{Kind, Request};
use crate::steel::{ChangeId, Fret, Instrument, Place as Stand, Slant, Stance, StringNumber};
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
    written_on(&sample::e9(), moves, width)
}

fn written_on(instrument: &Instrument, moves: Vec<Move>, width: usize) -> String {
    let pass = Pass {
        moves: moves.into_iter().map(std::sync::Arc::new).collect(),
        request: Request::default(),
        length: song().length(),
    };
    let performance = pass.performance(instrument, &limits(), song().tempo);
    Tab::of(&performance, instrument, &song(), Signs::Letters).text(Characters(width))
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
        ("4 E |-3*--|\n5 B |-3---|", 2, 7, "begun alike"),
        ("4 E |-3.5-|", 1, 7, "between frets"),
        ("4 E |-99--|", 1, 7, "no fret 99"),
        ("1 F# |-3###-|", 1, 8, "nothing on this instrument"),
        ("count   9\n4 E   |-3-|", 1, 9, "is no count"),
        ("4 E |-3---|\n5 B |-3-|--|", 2, 1, "bar lines"),
    ] {
        let problems = read_sample(text).problems;
        let found = problems
            .iter()
            .any(|p| p.place == Place { line, column } && p.words.english().contains(words));
        assert!(found, "{text:?}: {problems:?}");
    }
}

fn lap() -> Instrument {
    Instrument::shipped("c6-lap-6").expect("a shipped instrument")
}

#[test]
fn frets_that_differ_by_what_a_bar_can_be_slanted_are_read_as_a_slant() {
    let text = "\
count   1       2       3
2 C |-5-------5/6-----6---|
4 G |-6-------6=6-----5---|
";
    let read = read(text, &lap(), &song());
    assert_eq!(read.problems, []);
    let all = strokes(&read);
    let way = |i: usize| {
        let place: Stand = all[i].grip.place;
        (
            place.fret,
            place.slant.map(|s| (s.hold.number(), s.turn.number(), s.frets)),
        )
    };
    assert_eq!(way(0), (5, Some((2, 4, 1))));
    // The next pair is slanted too, and turned straight while it rings.
    assert_eq!(way(2), (6, None));
    assert!(matches!(all[2].arrival, Arrival::Carried { .. }));
    assert_eq!(way(3), (6, Some((2, 4, -1))));
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

#[test]
fn a_rake_comes_back_as_a_rake_at_any_tempo_and_under_a_slant_as_under_a_straight_bar() {
    for (tempo, slant) in [(60, None), (104, None), (60, Some(-1)), (104, Some(1)), (168, Some(1))] {
        let song = crate::theory::chart::parse(&format!("key C, {tempo}; 1 4 5 1"))
            .chart
            .timeline();
        let strings = [2, 3, 4].into_iter().filter_map(StringNumber::new).collect();
        let place = Stand {
            slant: slant.map(|frets| Slant {
                hold: StringNumber::new(2).expect("a string"),
                turn: StringNumber::new(4).expect("a string"),
                frets: frets * 2,
            }),
            ..Stand::straight(7, Stance::OPEN)
        };
        let stroke = Stroke::struck(Grip { place, strings }, Beats::ZERO, Beats(4.0)).begun(Attack::Raked);
        let raked = Move {
            kind: Kind::Rake,
            at: Beats(4.0),
            length: Beats(12.0),
            strokes: vec![stroke],
            locked: false,
        };
        let pass = Pass {
            moves: vec![std::sync::Arc::new(raked)],
            request: Request::default(),
            length: song.length(),
        };
        let performance = pass.performance(&lap(), &limits(), song.tempo);
        let text = Tab::of(&performance, &lap(), &song, Signs::Letters).text(Characters(80));
        assert!(text.contains("raked"), "{text}");
        let read = read(&text, &lap(), &song);
        assert_eq!(read.problems, [], "{text}");
        let back: Vec<(Kind, Attack, Grip)> = read
            .moves
            .iter()
            .flat_map(|m| m.strokes.iter().map(|s| (m.kind, s.attack, s.grip)))
            .collect();
        assert_eq!(back, [(Kind::Rake, Attack::Raked, stroke.grip)], "{text}");
    }
}

/// Strokes of a lap player: the frets of strings 2 and 4, and whether they are plucked or turned to.
fn turns() -> impl Strategy<Value = Vec<(u32, (u8, i8, bool))>> {
    let turn = (4_u8..14, -2_i8..=2, any::<bool>());
    proptest::collection::btree_map(0_u32..8, turn, 1..8)
        .prop_map(|m| m.into_iter().map(|(at, t)| (at * 2, t)).collect())
}

/// Moves two beats or more apart, on strings 2 and 4, each plucked straight or slanted and some turned once more.
fn lapped(turns: &[(u32, (u8, i8, bool))]) -> Vec<Move> {
    let ends = turns.iter().skip(1).map(|(at, _)| *at).chain([16]);
    let place = |fret: u8, frets: i8| Stand {
        slant: (frets != 0).then(|| Slant {
            hold: StringNumber::new(2).expect("a string"),
            turn: StringNumber::new(4).expect("a string"),
            frets,
        }),
        ..Stand::straight(fret, Stance::OPEN)
    };
    let strings = [2, 4].into_iter().filter_map(StringNumber::new).collect();
    turns
        .iter()
        .zip(ends)
        .map(|((at, (fret, frets, turned)), end)| {
            let length = Beats(f64::from(end - at));
            let grip = |frets| Grip {
                place: place(*fret, frets),
                strings,
            };
            let mut all = vec![Stroke::struck(grip(*frets), Beats::ZERO, length)];
            if *turned && *frets != 0 {
                let time = Beats(0.25);
                all.push(Stroke::struck(grip(0), Beats(0.5), length).arriving(Arrival::Carried { time }));
            }
            Move {
                kind: Kind::Strike,
                at: Beats(f64::from(*at)),
                length,
                strokes: all,
                locked: false,
            }
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn tab_with_slants_that_is_read_and_written_again_is_the_same_tab(turns in turns(), width in 50_usize..120) {
        let (moves, lap) = (lapped(&turns), lap());
        let text = written_on(&lap, moves.clone(), width);
        let read = read(&text, &lap, &song());
        prop_assert_eq!(&read.problems, &[], "{}", text);
        let places = |moves: &[Move]| -> Vec<Stand> {
            moves.iter().flat_map(|m| m.strokes.iter().map(|s| s.grip.place)).collect()
        };
        prop_assert_eq!(places(&read.moves), places(&moves), "{}", text);
        let again = written_on(&lap, read.moves, width);
        prop_assert_eq!(&again, &text, "first:\n{}\nagain:\n{}", text, again);
    }

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
