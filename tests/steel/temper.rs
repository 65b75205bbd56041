//! The temperament solver against published tables.
//!
//! Sources: the just column of the published E9 tuning schemes; J. Neurosci. 32(35), 12251 (2012), table 1, for
//! beat rates of equal-tempered intervals; beats of tempered thirds worked out from |5 f1 - 4 f2|.

use leadbar::steel::temper::{Anchor, Quest, Scheme, Tone, Wanted, judged, solve};
use leadbar::steel::{Fret, Instrument, StringNumber};
use leadbar::theory::{Cents, Height, Ratio};
use proptest::prelude::*;

fn e9() -> Instrument {
    Instrument::shipped("e9").unwrap()
}

fn string(number: u8) -> StringNumber {
    StringNumber::new(number).unwrap()
}

fn quest(nearness: f64) -> Quest {
    let anchor = Anchor {
        string: string(4),
        at: Cents(0.0),
    };
    Quest {
        anchor,
        nearness,
        drop: Cents(0.0),
    }
}

/// Low string, high string, ratio, under the changes named.
fn want(e9: &Instrument, changes: &[&str], low: u8, high: u8, ratio: (u32, u32)) -> Wanted {
    let stance = e9.stance_of(changes).unwrap();
    let tone = |number| Tone {
        string: string(number),
        stance,
    };
    Wanted {
        low: tone(low),
        high: tone(high),
        fret: Fret(0.0),
        ratio: Ratio::new(ratio.0, ratio.1).unwrap(),
        weight: 1.0,
    }
}

/// Changes pressed, low string, high string, ratio.
type Row<'a> = (&'a [&'a str], u8, u8, (u32, u32));

/// The intervals that make up the just tuning, chord by chord.
fn just_wants(e9: &Instrument) -> Vec<Wanted> {
    let rows: &[Row] = &[
        // The open E chord, its ninth and its sevenths.
        (&[], 8, 6, (5, 4)),
        (&[], 6, 5, (6, 5)),
        (&[], 5, 4, (4, 3)),
        (&[], 4, 3, (5, 4)),
        (&[], 8, 5, (3, 2)),
        (&[], 10, 5, (2, 1)),
        (&[], 8, 7, (9, 8)),
        (&[], 7, 1, (2, 1)),
        (&[], 5, 2, (5, 4)),
        (&[], 8, 4, (2, 1)),
        (&[], 9, 8, (10, 9)),
        // The A chord on the pedals: root on string 6, third on 5, fifth on 4.
        (&["A", "B"], 6, 5, (5, 4)),
        (&["A", "B"], 5, 4, (6, 5)),
        (&["A", "B"], 6, 3, (2, 1)),
        (&["A", "B"], 10, 5, (2, 1)),
        // F# minor under B and C: root on string 4, its third on string 3 above.
        (&["B", "C"], 4, 3, (6, 5)),
        (&["B", "C"], 5, 4, (4, 3)),
        // The lever's third over the A pedal's C#.
        (&["A", "F"], 5, 4, (5, 4)),
        (&["A", "F"], 8, 4, (2, 1)),
        // Strings 4 and 8 lowered: D#, a third above B.
        (&["E"], 5, 4, (5, 4)),
        (&["E"], 8, 4, (2, 1)),
        // String 5 lowered to A#, a third above F#.
        (&["V"], 7, 5, (5, 4)),
    ];
    rows.iter()
        .map(|(changes, low, high, ratio)| want(e9, changes, *low, *high, *ratio))
        .collect()
}

#[test]
fn asked_only_for_the_just_tunings_intervals_the_solver_gives_its_published_table() {
    let e9 = e9();
    let solution = solve(&e9, &just_wants(&e9), &quest(0.0));
    // The column "Just" of the published E9 schemes, in cents over the E strings.
    let strings = [
        (4, 0.0),
        (8, 0.0),
        (5, 2.0),
        (10, 2.0),
        (3, -13.7),
        (6, -13.7),
        (1, 3.9),
        (7, 3.9),
        (2, -11.7),
        (9, 17.6),
    ];
    for (number, cents) in strings {
        let found = solution.temper.string(string(number)).0;
        assert!(
            (found - cents).abs() < 0.1,
            "string {number}: {found:.2}, published {cents}"
        );
    }
    let pulls = [
        ("A", 5, -15.6),
        ("B", 3, -2.0),
        ("C", 4, -17.6),
        ("F", 4, -29.3),
        ("E", 4, -11.7),
        ("V", 5, -9.8),
    ];
    for (change, number, cents) in pulls {
        let found = solution
            .temper
            .pulled(e9.change_named(change).unwrap(), string(number))
            .0;
        assert!(
            (found - cents).abs() < 0.1,
            "{change} on {number}: {found:.2}, published {cents}"
        );
    }
    assert!(solution.impurity.0 < 0.05, "{}", solution.impurity);
}

#[test]
fn equal_tempered_intervals_beat_as_published() {
    // J. Neurosci. 32(35), 12251 (2012), table 1.
    let rows = [
        (53.0, 57.0, (5, 4), 6.9),
        (57.0, 61.0, (5, 4), 8.7),
        (60.0, 64.0, (5, 4), 10.4),
        (57.0, 64.0, (3, 2), 0.7),
    ];
    for (low, high, (over, under), published) in rows {
        let beats = Ratio::new(over, under)
            .unwrap()
            .beats(Height(low).hertz(), Height(high).hertz());
        assert!(
            (beats.0 - published).abs() < 0.1,
            "{low} {high}: {beats}, published {published}"
        );
    }
}

#[test]
fn a_third_tuned_flatter_beats_slower_by_the_worked_table() {
    let e9 = e9();
    let third = want(&e9, &[], 8, 6, (5, 4));
    for (off, beats) in [(0.0, 6.54), (-4.0, 4.62), (-8.0, 2.71), (-11.0, 1.28), (-13.686, 0.0)] {
        let mut temper = Scheme::Equal.temper(&e9);
        temper.strings[5] = Cents(off);
        let found = third.beats(&e9, &temper, Cents(0.0)).unwrap().0;
        assert!((found - beats).abs() < 0.011, "{off}: {found}");
    }
}

#[test]
fn meantone_has_pure_thirds_and_fifths_narrow_by_three_and_a_half_cents() {
    let e9 = e9();
    let temper = Scheme::Meantone.temper(&e9);
    let off = |low, high, ratio| {
        want(&e9, &[], low, high, ratio)
            .off(&e9, &temper, Cents(0.0))
            .unwrap()
            .0
    };
    assert!(off(8, 6, (5, 4)).abs() < 1e-6);
    // A just fifth is 1.955 wider than an equal one; meantone's is 3.422 narrower than equal.
    assert!((off(8, 5, (3, 2)) + 5.377).abs() < 0.001);
}

#[test]
fn the_nearer_to_equal_temperament_the_less_pure() {
    let e9 = e9();
    let wants = just_wants(&e9);
    let found: Vec<_> = (0..40)
        .map(|i| solve(&e9, &wants, &quest(f64::from(i) * 0.1)))
        .collect();
    for pair in found.windows(2) {
        assert!(pair[1].impurity.0 >= pair[0].impurity.0 - 1e-3);
        assert!(pair[1].departure.0 <= pair[0].departure.0 + 1e-3);
    }
    assert!(found[39].impurity.0 > found[0].impurity.0 + 3.0);
}

#[test]
fn what_the_body_gives_under_the_pedals_is_made_up_for() {
    let e9 = e9();
    let wants = [
        want(&e9, &["A", "B"], 5, 4, (6, 5)),
        want(&e9, &["A", "B"], 6, 5, (5, 4)),
    ];
    let asked = Quest {
        drop: Cents(3.0),
        ..quest(0.0)
    };
    let solution = solve(&e9, &wants, &asked);
    // String 4 falls by 3 cents under A and B, so everything that is tuned to it lies 3 cents lower.
    let a = e9.change_named("A").unwrap();
    let pulled = solution.temper.pulled(a, string(5)).0;
    assert!((pulled - (-15.64 - 3.0)).abs() < 0.05, "{pulled}");
    let beats = wants[0].beats(&e9, &solution.temper, asked.drop).unwrap();
    assert!(beats.0 < 0.01, "{beats}");
}

proptest! {
    #[test]
    fn no_scheme_beats_the_solver_at_its_own_question(
        picks in prop::collection::vec((0_usize..22, 0.1_f64..5.0), 1..20),
        nearness in 0.0_f64..2.0,
    ) {
        let e9 = e9();
        let all = just_wants(&e9);
        let wants: Vec<Wanted> = picks.iter().map(|(i, weight)| Wanted { weight: *weight, ..all[*i] }).collect();
        let asked = quest(nearness);
        let cost = |s: &leadbar::steel::temper::Solution| s.impurity.0.powi(2) + nearness * s.departure.0.powi(2);
        let found = cost(&solve(&e9, &wants, &asked));
        for scheme in Scheme::ALL {
            let rival = cost(&judged(&e9, &wants, &asked, scheme.temper(&e9)));
            // The faint wish for pure octaves may cost a little.
            prop_assert!(found <= rival + 1.0, "{scheme:?}: {rival} against {found}");
        }
    }

    #[test]
    fn the_anchor_stays_where_it_is_put(cents in -12.0_f64..12.0, nearness in 0.0_f64..2.0) {
        let e9 = e9();
        let mut asked = quest(nearness);
        asked.anchor.at = Cents(cents);
        let solution = solve(&e9, &just_wants(&e9), &asked);
        prop_assert_eq!(solution.temper.string(string(4)), Cents(cents));
        let unknown = Quest { anchor: Anchor { string: string(14), at: Cents(cents) }, ..asked };
        prop_assert!(solve(&e9, &just_wants(&e9), &unknown).temper.strings.iter().all(|c| c.0.is_finite()));
    }
}

#[test]
fn what_is_never_heard_keeps_its_place_in_the_just_scale() {
    let e9 = e9();
    let solution = solve(&e9, &[], &quest(0.0));
    let just = Scheme::Just.temper(&e9);
    for string in e9.string_numbers() {
        let (found, place) = (solution.temper.string(string).0, just.string(string).0);
        assert!((found - place).abs() < 1e-6, "{string}: {found} {place}");
    }
    assert!(solution.heard_strings.is_empty() && solution.heard_pulls.is_empty());
}
