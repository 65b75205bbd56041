//! Slants in solos: an instrument without pedals gets passes with the chords that straight grips cannot give, and
//! all of them can be played. `-- --nocapture` prints how many chords that is.
#![allow(clippy::unwrap_used)] // a test may fail by panicking

mod solo_support;

use leadbar::solo::stroke::Grip;
use leadbar::solo::{Kind, Limits, Pass, draft, notes, playable, reasons, request::Slants, rules};
use leadbar::steel::{Instrument, Place, slant};
use leadbar::theory::{Cents, NoteNumber};
use proptest::prelude::*;
use solo_support::Scene;
use std::collections::BTreeSet;

/// Invented.
const SONGS: [&str; 4] = [
    "key G, 92; 1 1 4 1 / 5 5 1 1 / 4 4- 1 67 / 2- 5 1 1",
    "key A, 66; 1 4 1 57 / 6- 4 57 1",
    "key F, 104, swung; 1 67 2-7 57 / 1 4 57 1",
    "key D, 76; 1 3- 4 1 / 4 5 1 1",
];
const LAPS: [&str; 5] = ["c6-lap-6", "c6-lap-8", "open-d", "open-e", "open-g"];

fn grips(pass: &Pass) -> impl Iterator<Item = Grip> + '_ {
    pass.moves.iter().flat_map(|m| m.strokes.iter().map(|s| s.grip))
}

/// What is woven holds what was meant: every string of every stroke of a pass sounds the note of its place.
fn assert_playable(scene: &Scene, pass: &Pass) {
    let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
    let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
    assert_eq!(breaches, vec![]);
    assert_eq!(rules::clashes(&performance, &scene.instrument, &scene.song), vec![]);
    let heard = notes(&performance, &scene.instrument, scene.song.tempo);
    for action in &pass.moves {
        let struck = action
            .timed()
            .filter(|s| s.arrival == leadbar::solo::stroke::Arrival::Struck);
        for stroke in struck.filter(|s| s.grip.place.slant.is_some()) {
            for string in stroke.grip.strings.iter() {
                let note = heard
                    .iter()
                    // A rake takes its time.
                    .find(|n| n.string() == string && n.start().0 > stroke.at.0 - 1e-6)
                    .unwrap();
                let meant: NoteNumber = scene.instrument.note(string, stroke.grip.place).unwrap();
                let Cents(off) = note.height.above(meant.height());
                assert!(off.abs() <= slant::IN_TUNE.0 + 1e-6, "{stroke:?}: {off}");
            }
        }
    }
}

#[test]
fn players_without_pedals_get_slants_that_can_be_played_and_are_explained() {
    let mut kinds = BTreeSet::new();
    for id in LAPS {
        let (mut slanted, mut all, mut forward, mut reverse) = (0, 0, 0, 0);
        for (song, feel) in SONGS
            .iter()
            .flat_map(|s| ["country", "ballad", "swing"].map(|f| (s, f)))
        {
            let scene = Scene::new(song, id, feel, 3);
            for pass in draft(&scene.brief()).unwrap().passes {
                assert_playable(&scene, &pass);
                for (index, action) in pass.moves.iter().enumerate() {
                    let turned = action.strokes.iter().find_map(|s| s.grip.place.slant);
                    all += 1;
                    let Some(turned) = turned else { continue };
                    slanted += 1;
                    kinds.insert(action.kind);
                    match turned.way() {
                        slant::Way::Forward => forward += 1,
                        slant::Way::Reverse => reverse += 1,
                    }
                    let why = reasons::why(&pass, index, &scene.song, &scene.instrument);
                    assert!(why.contains("slanted") && why.contains("degrees"), "{why}");
                }
            }
        }
        println!("{id}: {slanted} of {all} moves slanted, {forward} forward, {reverse} reverse");
        assert!(slanted > 0 && slanted < all, "{id}: {slanted} of {all}");
    }
    assert!(kinds.contains(&Kind::Slant), "{kinds:?}");
    println!("{kinds:?}");
}

#[test]
fn slants_are_left_out_where_they_are_not_wanted_or_there_are_pedals_and_taken_where_they_are_asked_for() {
    let count = |id: &str, slants: Slants| -> usize {
        let mut scene = Scene::new(SONGS[0], id, "ballad", 3);
        scene.request.slants = slants;
        let passes = draft(&scene.brief()).unwrap().passes;
        passes.iter().for_each(|p| assert_playable(&scene, p));
        passes
            .iter()
            .map(|p| grips(p).filter(|g| g.place.slant.is_some()).count())
            .sum()
    };
    assert_eq!(count("c6-lap-6", Slants::Never), 0);
    assert!(count("c6-lap-6", Slants::WithoutPedals) > 0);
    assert_eq!(count("e9", Slants::WithoutPedals), 0);
    assert!(count("e9", Slants::Always) > 0);
}

#[test]
fn a_beginner_is_asked_for_no_slant_steeper_than_a_beginner_can_hold() {
    let levels = Limits::shipped().unwrap();
    let mut steepest = Vec::new();
    for limits in levels {
        let most = limits.slant.0;
        let mut found = 0.0_f64;
        for song in SONGS {
            let mut scene = Scene::new(song, "c6-lap-6", "swing", 5);
            scene.limits = limits.clone();
            for pass in draft(&scene.brief()).unwrap().passes {
                assert_playable(&scene, &pass);
                for grip in grips(&pass) {
                    found = found.max(grip.place.lie(&scene.instrument).turned(&scene.instrument).0);
                }
            }
        }
        assert!(found <= most, "{}: {found}", limits.id);
        steepest.push(found);
    }
    println!("steepest by level: {steepest:?}");
    assert!(steepest.first() < steepest.last());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_asked_nothing_unplayable_is_drafted(
        lap in 0_usize..LAPS.len(), song in 0_usize..SONGS.len(), level in 0_usize..3, seed in 0_u64..1000,
        start in 1_u8..12, density in 0.0_f64..1.0,
    ) {
        let mut scene = Scene::new(SONGS[song], LAPS[lap], "country", seed);
        scene.limits = Limits::shipped().unwrap()[level].clone();
        scene.request.start_fret = start;
        scene.request.density = density;
        for pass in draft(&scene.brief()).unwrap().passes {
            assert_playable(&scene, &pass);
        }
    }
}

#[test]
fn a_place_written_before_there_were_slants_is_still_read() {
    let old = r#"{"fret":5,"stance":{"full":0,"half":0}}"#;
    let place: Place = serde_json::from_str(old).unwrap();
    assert_eq!(place, Place::straight(5, leadbar::steel::Stance::OPEN));
    assert_eq!(serde_json::to_string(&place).unwrap(), old);
    let lap = Instrument::shipped("c6-lap-6").unwrap();
    assert!(place.lie(&lap).is_straight());
}
