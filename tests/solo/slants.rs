//! Slants in solos: an instrument without pedals gets passes with the chords that straight grips cannot give, and
//! all of them can be played. `-- --nocapture` prints how many chords that is.

use crate::solo_support::Scene;
use leadbar::solo::stroke::Grip;
use leadbar::solo::{Kind, Limits, Pass, draft, notes, playable, reasons, request::Slants, rules};
use leadbar::steel::{Instrument, Place, neck, slant};
use leadbar::theory::{Cents, NoteNumber};
use proptest::prelude::*;
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
                        neck::Way::Forward => forward += 1,
                        neck::Way::Reverse => reverse += 1,
                    }
                    let why = reasons::why(&pass, index, &scene.song, &scene.instrument).english();
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

/// Invented; a chord of each kind that songs of the trade are made of.
const COLOURS: &str = "key G, 84; 1maj7 6-7 2-7 57 / 1 17 4 4-6 / 3-7 67 2-7 5sus4 / 16 4-6 57 1";

#[test]
fn with_slants_sevenths_and_sixths_are_sounded_with_their_third_more_often() {
    let (mut straight, mut slanted) = ([0; 2], [0; 2]);
    for id in LAPS {
        let never = full_strokes(id, Slants::Never);
        let wanted = full_strokes(id, Slants::WithoutPedals);
        println!(
            "{id}: third with sixth or seventh, of strokes of two strings or more: {never:?} straight, {wanted:?} with slants"
        );
        for i in 0..2 {
            straight[i] += never[i];
            slanted[i] += wanted[i];
        }
    }
    println!("all: {straight:?} straight, {slanted:?} with slants");
    // As a share of the strokes, without division.
    assert!(slanted[0] * straight[1] > straight[0] * slanted[1]);
}

/// Strokes of two strings or more that hold the third and the sixth or seventh of their chord, and all such strokes.
fn full_strokes(id: &str, slants: Slants) -> [usize; 2] {
    let mut found = [0; 2];
    for (seed, feel) in (1..=4).flat_map(|seed| ["ballad", "swing", "country"].map(|f| (seed, f))) {
        let mut scene = Scene::new(COLOURS, id, feel, seed);
        scene.request.slants = slants;
        for pass in draft(&scene.brief()).unwrap().passes {
            assert_playable(&scene, &pass);
            for stroke in pass
                .moves
                .iter()
                .flat_map(|m| m.timed())
                .filter(|s| s.grip.strings.len() > 1)
            {
                let span = scene.song.span_at(stroke.at + leadbar::theory::Beats(1e-6)).unwrap();
                let tones = stroke.grip.strings.iter();
                let tones = tones.filter_map(|s| scene.instrument.note(s, stroke.grip.place));
                let tones = tones.filter_map(|n| span.chord.tone_of(n.class()));
                let steps: Vec<i16> = tones.map(|t| t.0.steps()).collect();
                let full = steps.contains(&2) && steps.iter().any(|s| matches!(s, 5 | 6));
                found[0] += usize::from(full);
                found[1] += 1;
            }
        }
    }
    found
}
