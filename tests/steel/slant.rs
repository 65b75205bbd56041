//! Slanted bars: what follows from the lengths. Source: Mersenne's law and equal temperament for where frets lie;
//! the figures named below were reckoned outside the crate.

use leadbar::steel::hold::essential;
use leadbar::steel::neck::Way;
use leadbar::steel::slant::IN_TUNE;
use leadbar::steel::{Fret, Instrument, Lie, Millimetres, Place, Slant, Spacing, Stance, StringNumber, StringSet};
use leadbar::theory::{Cents, Chord, NoteName, Quality};
use proptest::prelude::*;

fn lap() -> Instrument {
    Instrument::shipped("c6-lap-6").unwrap()
}

fn string(number: u8) -> StringNumber {
    StringNumber::new(number).unwrap()
}

fn slanted(fret: u8, hold: u8, turn: u8, frets: i8) -> Place {
    Place {
        slant: Some(Slant {
            hold: string(hold),
            turn: string(turn),
            frets,
        }),
        ..Place::straight(fret, Stance::OPEN)
    }
}

/// Three evenly spaced strings at frets m, m + 1, m + 2 leave the middle one 2.5 to 2.9 cents off: it lies half way
/// between 2^(-m/12) and 2^(-(m + 2)/12), so at -12 log2 of their mean; the same at every fret.
#[test]
fn three_even_strings_a_fret_apart_leave_the_middle_one_under_three_cents_off() {
    let even = Spacing {
        nut: Millimetres(9.0),
        bridge: Millimetres(9.0),
    };
    let lap = Instrument { spacing: even, ..lap() };
    let mean = (1.0 + (-2.0_f64 / 12.0).exp2()) / 2.0;
    let off = (-12.0 * mean.log2() - 1.0) * 100.0;
    assert!((off.abs() - 2.886).abs() < 0.01, "{off}");
    for fret in 1..=15 {
        let place = slanted(fret, 1, 3, 2);
        let (worst, cents) = place
            .worst_of(&lap, [1, 2, 3].into_iter().map(string).collect())
            .unwrap();
        assert_eq!(worst, string(2));
        assert!((cents.0 - off).abs() < 1e-6, "fret {fret}: {cents}");
    }
}

/// With frets m, m and m + 1 on neighbouring strings no bar is in tune.
#[test]
fn uneven_steps_are_told_to_be_out_of_tune() {
    let lap = lap();
    let place = slanted(5, 1, 3, 1);
    assert_eq!(place.whole_fret_on(&lap, string(1)), Some(5));
    assert_eq!(place.whole_fret_on(&lap, string(3)), Some(6));
    assert_eq!(place.whole_fret_on(&lap, string(2)), None);
}

/// The angle of a slant over a skipped string, 0.34 in gaps, one fret at fret 12 of a 24.25 in scale: 45 degrees.
#[test]
fn a_place_is_turned_as_far_as_the_bare_lengths_say() {
    let even = Spacing {
        nut: Millimetres(0.34 * 25.4),
        bridge: Millimetres(0.34 * 25.4),
    };
    let lap = Instrument {
        spacing: even,
        scale_length: Millimetres(615.95),
        ..lap()
    };
    let turned = slanted(12, 3, 1, 1).lie(&lap).turned(&lap).0;
    assert!((turned - 45.0).abs() < 0.51, "{turned}");
}

#[test]
fn a_slant_is_forward_when_its_far_string_is_stopped_higher() {
    let way = |hold, turn, frets| slanted(5, hold, turn, frets).slant.unwrap().way();
    assert_eq!(way(1, 3, -1), Way::Forward);
    assert_eq!(way(3, 1, 1), Way::Forward);
    assert_eq!(way(1, 3, 1), Way::Reverse);
    assert_eq!(way(3, 1, -1), Way::Reverse);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_slanted_bar_is_exact_on_its_two_strings_and_between_them_lies_between(
        id in prop::sample::select(vec!["c6-lap-6", "c6-lap-8", "open-d", "open-e", "open-g", "e9", "universal"]),
        fret in 1_u8..=19, hold in 1_u8..=6, turn in 1_u8..=6, frets in -4_i8..=4,
    ) {
        let instrument = Instrument::shipped(id).unwrap();
        let other = i16::from(fret) + i16::from(frets);
        prop_assume!(hold != turn && frets != 0 && other >= 1);
        let place = slanted(fret, hold, turn, frets);
        let lie = place.lie(&instrument);
        // A line too steep for the neck is no bar.
        let on_neck = |f: Fret| (0.0..=24.0).contains(&f.0);
        prop_assume!(on_neck(lie.far) && on_neck(lie.near));
        let on = |s: u8| lie.on(&instrument, string(s)).0;
        prop_assert!((on(hold) - f64::from(fret)).abs() < 1e-6);
        prop_assert!((on(turn) - f64::from(other)).abs() < 1e-6);
        for between in hold.min(turn) + 1..hold.max(turn) {
            let (low, high) = (on(hold).min(on(turn)), on(hold).max(on(turn)));
            prop_assert!((low..=high).contains(&on(between)));
        }
        // What counts as a note is within the tolerance; the two strings always do.
        for s in instrument.string_numbers() {
            let off = Cents((on(s.number()) - on(s.number()).round()) * 100.0);
            let whole = place.whole_fret_on(&instrument, s);
            prop_assert!(whole.is_none() || off.0.abs() <= IN_TUNE.0 + 1e-6);
            prop_assert_eq!(whole.is_some(), instrument.note(s, place).is_some());
        }
        let two: StringSet = [hold, turn].into_iter().map(string).collect();
        prop_assert!(place.worst_of(&instrument, two).unwrap().1.0.abs() < 1e-6);
    }

    #[test]
    fn any_slant_that_a_file_may_hold_gives_figures_and_no_panic(
        id in prop::sample::select(vec!["c6-lap-6", "e9", "universal"]), fret in any::<u8>(), hold in 1_u8..=14,
        turn in 1_u8..=14, frets in any::<i8>(), nut in 0.1_f64..60.0, bridge in 0.1_f64..60.0,
    ) {
        let spacing = Spacing { nut: Millimetres(nut), bridge: Millimetres(bridge) };
        let instrument = Instrument { spacing, ..Instrument::shipped(id).unwrap() };
        let place = slanted(fret, hold, turn, frets);
        let lie = place.lie(&instrument);
        prop_assert!(lie.far.0.is_finite() && lie.near.0.is_finite() && lie.turned(&instrument).0.is_finite());
        for s in instrument.string_numbers() {
            prop_assert!(lie.on(&instrument, s).0.is_finite() && place.fret_on(&instrument, s).0.is_finite());
            let _ = instrument.note(s, place);
        }
    }

    #[test]
    fn a_straight_lie_stops_every_string_at_its_fret(fret in 0.0_f64..24.0, number in 1_u8..=10) {
        let e9 = Instrument::shipped("e9").unwrap();
        prop_assert_eq!(Lie::straight(Fret(fret)).on(&e9, string(number)), Fret(fret));
    }
}

/// Strings of a straight or slanted bar that sound the essential tones of a chord: two or three within the reach of a
/// hand, the bar turned by no more than 60 degrees.
fn reaches(instrument: &Instrument, chord: &Chord, slants: bool) -> bool {
    let wanted: Vec<_> = essential(chord)
        .iter()
        .map(|t| chord.root.class().number() + t.0.size().0 as u8)
        .collect();
    let strings: Vec<StringNumber> = instrument.string_numbers().collect();
    let places = |far: StringNumber, near: StringNumber| {
        let straight = (1..=12).map(|fret| Place::straight(fret, Stance::OPEN));
        let turned =
            (1..=12_u8).flat_map(move |fret| (-4..=4).map(move |by| slanted(fret, far.number(), near.number(), by)));
        straight.chain(turned.filter(move |p| {
            let lie = p.lie(instrument);
            let on_neck = |f: Fret| (0.0..=24.0).contains(&f.0);
            slants
                && p.slant.unwrap().is_sound()
                && on_neck(lie.far)
                && on_neck(lie.near)
                && lie.turned(instrument).0 <= 60.0
        }))
    };
    let sounds = |place: Place, set: &[StringNumber]| {
        let heard: Option<Vec<u8>> = set
            .iter()
            .map(|s| Some(instrument.note(*s, place)?.class().number()))
            .collect();
        let heard = heard.unwrap_or_default();
        wanted.iter().all(|w| heard.contains(&(w % 12)))
    };
    strings.iter().enumerate().any(|(i, far)| {
        strings.iter().skip(i + 1).take(4).any(|near| {
            let between: Vec<StringNumber> = strings.iter().copied().filter(|s| s > far && s < near).collect();
            let sets: Vec<Vec<StringNumber>> = between
                .iter()
                .map(|s| vec![*far, *s, *near])
                .chain([vec![*far, *near]])
                .collect();
            places(*far, *near).any(|place| sets.iter().any(|set| sounds(place, set)))
        })
    })
}

/// Shown beside the straight grips: what slants add on every shipped instrument without pedals. Computed.
#[test]
fn slants_add_chords_that_no_straight_bar_has() {
    let qualities = [
        Quality::Major,
        Quality::Minor,
        Quality::Seven,
        Quality::MinorSeven,
        Quality::MajorSeven,
        Quality::Six,
        Quality::MinorSix,
        Quality::Diminished,
        Quality::Augmented,
        Quality::Sus4,
        Quality::Nine,
    ];
    for id in ["c6-lap-6", "c6-lap-8", "open-d", "open-e", "open-g"] {
        let instrument = Instrument::shipped(id).unwrap();
        let having = |slants: bool| -> Vec<&str> {
            let chord = |q: &Quality| Chord::new("C".parse::<NoteName>().unwrap(), *q);
            let found = qualities.iter().filter(|q| reaches(&instrument, &chord(q), slants));
            found.map(|q| q.suffix()).collect()
        };
        let (straight, both) = (having(false), having(true));
        let added: Vec<&&str> = both.iter().filter(|q| !straight.contains(q)).collect();
        println!(
            "{id}: {} of {} straight {straight:?}, {} with slants, added {added:?}",
            straight.len(),
            qualities.len(),
            both.len()
        );
        assert!(straight.iter().all(|q| both.contains(q)));
        assert!(both.len() > straight.len(), "{id}");
    }
}

/// Pairs a harmonised scale is made of: how many of the four thirds and sixths each pair of strings gives.
#[test]
fn slants_give_thirds_and_sixths_on_pairs_that_a_straight_bar_fixes_to_one() {
    for id in ["c6-lap-6", "c6-lap-8", "open-d", "open-e", "open-g"] {
        let instrument = Instrument::shipped(id).unwrap();
        let count = |slants: bool| -> usize {
            let strings: Vec<StringNumber> = instrument.string_numbers().collect();
            let pairs = strings
                .iter()
                .enumerate()
                .flat_map(|(i, far)| strings.iter().skip(i + 1).take(3).map(move |near| (*far, *near)));
            let gives = |(far, near): (StringNumber, StringNumber), width: i16| {
                (1..=12_u8).any(|fret| {
                    (-4..=4_i8).any(|by| {
                        let place = if by == 0 {
                            Place::straight(fret, Stance::OPEN)
                        } else {
                            slanted(fret, far.number(), near.number(), by)
                        };
                        let fits = by == 0
                            || slants
                                && place.lie(&instrument).turned(&instrument).0 <= 60.0
                                && i16::from(fret) + i16::from(by) >= 1;
                        let note = |s| instrument.note(s, place);
                        fits && note(far)
                            .zip(note(near))
                            .is_some_and(|(a, b)| a.above(b).0.abs() == width)
                    })
                })
            };
            pairs
                .map(|pair| [3, 4, 8, 9].into_iter().filter(|w| gives(pair, *w)).count())
                .sum()
        };
        let (straight, both) = (count(false), count(true));
        println!("{id}: {straight} thirds and sixths on pairs straight, {both} with slants");
        assert!(both >= 2 * straight, "{id}: {straight} {both}");
    }
}

#[test]
fn the_largest_turn_a_file_can_write_is_no_slant() {
    let lap = Instrument::shipped("c6-lap-6").unwrap();
    for frets in [i8::MIN, i8::MAX, 0] {
        assert!(!slanted(5, 1, 3, frets).slant.unwrap().is_of(&lap), "{frets}");
    }
}
