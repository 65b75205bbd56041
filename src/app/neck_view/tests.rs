//! What the neck shows.

use super::{Hold, NeckFrame, Role, cells, different_chords, grip, lone_chord, under_bar};
use crate::sample::{A, B, e9, song, string};
use crate::steel::{Fret, Travel};

#[test]
fn fret_spaces_shrink_by_the_twelfth_root_of_two() {
    let frame = NeckFrame::of(&e9());
    let spaces: Vec<f64> = frame.frets.windows(2).map(|w| w[1].along - w[0].along).collect();
    for pair in spaces.windows(2) {
        assert!((pair[0] / pair[1] - 2.0_f64.powf(1.0 / 12.0)).abs() < 1e-9);
    }
    assert!((frame.frets[12].along / frame.frets[24].along - (0.5 / 0.75)).abs() < 1e-12);
}

#[test]
fn a_slanted_bar_names_each_string_where_it_crosses_it() {
    use crate::steel::{Instrument, Place, Slant, Stance};
    let lap = Instrument::shipped("c6-lap-6").unwrap();
    let slant = Slant {
        hold: string(1),
        turn: string(4),
        frets: 1,
    };
    let place = Place {
        slant: Some(slant),
        ..Place::straight(15, Stance::OPEN)
    };
    let hold = Hold::holding(place, &lap);
    // In G the E4 at fret 15 is the root and the G3 at fret 16 the third.
    let song = crate::theory::chart::parse("key G; 1").chart.timeline();
    let under = under_bar(&lap, &hold, Some(&song.spans[0]));
    let figure = |s: u8| under[string(s).index()].as_ref().map(|d| d.called.number.clone());
    assert_eq!((figure(1).as_deref(), figure(4).as_deref()), (Some("1"), Some("3")));
    assert_eq!(hold.nearest_fret(), None);
    assert_eq!(hold.straight(Fret(7.0)).nearest_fret(), Some(7));
}

#[test]
fn a_place_along_the_neck_gives_back_its_fret() {
    let frame = NeckFrame::of(&e9());
    for fret in [1.0, 3.0, 7.5, 12.0, 23.5, 24.0] {
        assert!((frame.fret_at(frame.along(Fret(fret))).0 - fret).abs() < 1e-9, "{fret}");
    }
    assert_eq!(frame.fret_at(-1.0), Fret(0.0));
    assert_eq!(frame.fret_at(2.0), Fret(24.0));
    assert_eq!(
        frame.fret_at(frame.along(Fret(5.1))),
        Fret(5.0),
        "near a fret means the fret"
    );
}

#[test]
fn cells_cover_the_neck_without_overlap() {
    let frame = NeckFrame::of(&e9());
    for fret in 0..24 {
        assert!((frame.cell(fret).1 - frame.cell(fret + 1).0).abs() < 1e-12);
    }
}

#[test]
fn a_place_is_named_for_ear_and_eye_alike() {
    let (instrument, timeline) = (e9(), song());
    let four = &timeline.spans[1];
    let open = Hold::at(Fret(3.0), &instrument);
    let pressed = open.clone().with(A, Travel::DOWN).with(B, Travel::DOWN);
    let found = cells(&instrument, &pressed.travels, Some(four));
    // Fret 3 with A and B is the 4 in G: string 5 sounds E, the third of C.
    let cell = &found[4][3];
    assert_eq!(cell.spoken, "String 5, fret 3, E, 3, third of the 4");
    assert_eq!(
        cell.degree.as_ref().map(|d| (d.called.number.as_str(), d.role)),
        Some(("3", Role::Tone))
    );
    assert_eq!(found[5][3].degree.as_ref().map(|d| d.role), Some(Role::Root));
    assert!(found[0][0].spoken.english().starts_with("String 1, open, fret 0"));
}

#[test]
fn every_spoken_name_holds_the_figure_that_is_drawn() {
    let (instrument, timeline) = (e9(), song());
    for cell in cells(&instrument, &[], Some(&timeline.spans[0])).iter().flatten() {
        let figure = &cell.degree.as_ref().expect("every whole fret is a note").called.number;
        assert!(
            cell.spoken.english().contains(&format!(", {figure},")),
            "{:?}",
            cell.spoken
        );
    }
}

#[test]
fn a_string_between_two_notes_has_no_degree() {
    let (instrument, timeline) = (e9(), song());
    let between = under_bar(&instrument, &Hold::at(Fret(3.5), &instrument), Some(&timeline.spans[0]));
    assert!(between.iter().all(Option::is_none));
    let there = under_bar(&instrument, &Hold::at(Fret(3.0), &instrument), Some(&timeline.spans[0]));
    assert!(there.iter().all(Option::is_some));
}

#[test]
fn a_stance_is_named_by_its_letters() {
    let instrument = e9();
    let open = Hold::at(Fret(3.0), &instrument);
    assert_eq!(open.stance_name(&instrument), "no pedals");
    let lean = open.with(A, Travel::HALF).with(B, Travel::DOWN);
    assert_eq!(lean.stance_name(&instrument), "A½ B");
}

#[test]
fn a_grip_is_three_near_strings_of_the_chord() {
    let (instrument, timeline) = (e9(), song());
    let hold = Hold::at(Fret(3.0), &instrument);
    let strings = |n: u8| -> Vec<u8> {
        grip(&instrument, &hold, Some(&timeline.spans[0]), string(n))
            .iter()
            .map(|s| s.number())
            .collect()
    };
    assert_eq!(strings(4), [3, 4, 5]);
    assert_eq!(
        strings(1),
        [1],
        "string 1 at fret 3 is the 2 of G: no grip of the chord"
    );
}

#[test]
fn a_song_has_each_of_its_chords_once() {
    let numbers: Vec<String> = different_chords(&song())
        .iter()
        .map(|c| c.numeral.to_string())
        .collect();
    assert_eq!(numbers, ["1", "4", "5"]);
}

#[test]
fn any_number_is_a_chord_of_the_key() {
    let four = lone_chord("4-".parse().expect("a number"), song().key);
    assert_eq!(four.chord.to_string(), "Cm");
}
