//! Change one thing: everything offered can be played, changes one move and leaves the rest the very same.

use crate::solo_support::Scene;
use leadbar::solo::{Aspect, Kind, Limits, Offer, Pass, Reviser, playable, rules};
use proptest::prelude::*;
use std::sync::Arc;

/// Songs of all kinds. Invented.
const SONGS: [&str; 7] = [
    "key A, 132, rock; 1 1 4 1 / b7 4 1 5",
    "key Bb, 100; 1 6- 4 5 / 1 6- (4 5) 1",
    "key F#, 200; 1 4 1 57 / 1 4 57 1",
    "key Dm, 96, 3/4; 1- 4- 57 1- / b6 b7 57 1-",
    "key G, 60, 6/8; 1 5/7 6- 4 / 1 57 1 1",
    "key C, 110, swung; 1 67 2- 57 / 1 4 57 1",
    "key B, 88; 17 #4dim 1+ 4m6 / 7m7b5 57 1 1",
];

/// What is wrong with a pass, in words.
fn faults(scene: &Scene, pass: &Pass) -> Vec<String> {
    let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
    let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
    let clashes = rules::clashes(&performance, &scene.instrument, &scene.song);
    let breaches = breaches.iter().map(|b| format!("{b:?}"));
    breaches.chain(clashes.iter().map(|c| format!("{c:?}"))).collect()
}

/// The moves of a pass before and after those a change names are the very same ones.
fn assert_the_rest_is_shared(pass: &Pass, offer: &Offer) {
    let (after, change) = (offer.made_in(pass), &offer.change);
    let head = pass.moves.iter().zip(&after.moves).take(change.from);
    assert!(head.clone().count() == change.from);
    let tail = pass.moves.iter().rev().zip(after.moves.iter().rev());
    let tail = tail.take(pass.moves.len() - change.from - change.count);
    assert!(
        head.chain(tail).all(|(a, b)| Arc::ptr_eq(a, b)),
        "{}",
        offer.words.english()
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn everything_offered_is_playable_and_changes_one_move_only(
        seed: u64,
        song in prop::sample::select(SONGS.to_vec()),
        instrument in prop::sample::select(vec!["e9", "e9", "c6"]),
        feel in prop::sample::select(vec!["driven", "country", "ballad", "blues"]),
        place: prop::sample::Index,
        locks: u64,
    ) {
        let scene = Scene::new(song, instrument, feel, seed);
        let mut pass = scene.pass();
        for (i, action) in pass.moves.iter_mut().enumerate() {
            Arc::make_mut(action).locked = locks >> (i % 64) & 3 == 3;
        }
        prop_assert_eq!(faults(&scene, &pass), Vec::<String>::new());
        let brief = scene.brief();
        let reviser = Reviser::new(&brief);
        let index = place.index(pass.moves.len());
        let offers = reviser.offers(&pass, index, usize::MAX);
        prop_assert_eq!(offers.is_empty(), pass.moves[index].locked);
        for offer in &offers {
            let after = offer.made_in(&pass);
            prop_assert_eq!(faults(&scene, &after), Vec::<String>::new(), "{}", offer.words.english());
            prop_assert_ne!(&after.moves, &pass.moves, "{}", offer.words.english());
            assert_the_rest_is_shared(&pass, offer);
            // Only the move itself, where the one before it stops, and whether the one after it is plucked.
            let change = &offer.change;
            let (from, to) = (change.from, change.from + change.count);
            prop_assert!(from <= index && index < to && from + 1 >= index && to <= index + 2);
            if from < index {
                let (own, cut) = (&pass.moves[index - 1], &change.moves[0]);
                prop_assert!(!own.locked && cut.length < own.length);
                prop_assert!(cut.strokes.iter().zip(&own.strokes).all(|(a, b)| a.at == b.at && a.grip == b.grip));
            }
            if to > index + 1 {
                let (own, plucked) = (&pass.moves[index + 1], &change.moves[change.moves.len() - 1]);
                prop_assert!(!own.locked && !own.strokes[0].arrival.plucks() && plucked.strokes[0].arrival.plucks());
                prop_assert!(plucked.strokes.iter().zip(&own.strokes).all(|(a, b)| (a.at, a.grip) == (b.at, b.grip)));
            }
            for locked in pass.moves.iter().filter(|m| m.locked) {
                prop_assert!(after.moves.iter().any(|m| Arc::ptr_eq(m, locked)));
            }
        }
        let moves: Vec<_> = offers.iter().map(|o| o.made_in(&pass).moves).collect();
        for (i, one) in moves.iter().enumerate() {
            prop_assert!(moves.iter().skip(i + 1).all(|other| other != one));
        }
        let first = reviser.offers(&pass, index, 12);
        prop_assert_eq!(&first[..], &offers[..first.len()]);
    }

    /// A pass made for a better player than the one who is to play it.
    #[test]
    fn a_mend_takes_its_breach_away_and_makes_no_other(
        seed: u64,
        song in prop::sample::select(SONGS.to_vec()),
        feel in prop::sample::select(vec!["driven", "country", "ballad", "blues"]),
    ) {
        let mut scene = Scene::new(song, "e9", feel, seed);
        let pass = scene.pass();
        scene.limits = Limits::shipped().unwrap().swap_remove(0);
        let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
        let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
        let before = faults(&scene, &pass);
        let brief = scene.brief();
        let reviser = Reviser::new(&brief);
        for breach in breaches.iter().take(3) {
            for offer in reviser.mends(&pass, breach, 3) {
                let after = faults(&scene, &offer.made_in(&pass));
                prop_assert!(after.len() < before.len(), "{}: {:?}, was {:?}", offer.words.english(), after, before);
                prop_assert!(!after.contains(&format!("{breach:?}")), "{}", offer.words.english());
                prop_assert!(after.iter().all(|f| before.contains(f)), "{}: {:?}, was {:?}", offer.words.english(), after, before);
            }
        }
    }
}

/// What is offered for the first move of a kind.
fn offers_for(scene: &Scene, kind: Kind) -> Vec<Offer> {
    let pass = scene.pass();
    let index = pass.moves.iter().position(|m| m.kind == kind).unwrap();
    let brief = scene.brief();
    Reviser::new(&brief).offers(&pass, index, usize::MAX)
}

/// The aspects of offers and, of the aspects asked for, the words.
fn words(offers: &[Offer], aspects: &[Aspect]) -> Vec<String> {
    let wanted = offers.iter().filter(|o| aspects.contains(&o.aspect));
    wanted.map(|o| o.words.english()).collect()
}

#[test]
fn a_slide_can_come_from_elsewhere_take_other_time_or_be_left_away() {
    let slides: Vec<String> = (0..4)
        .flat_map(|seed| {
            let scene = Scene::new(SONGS[1], "e9", "driven", seed);
            words(&offers_for(&scene, Kind::SlideIn), &[Aspect::Start, Aspect::Time])
        })
        .collect();
    for said in ["Strike it, no slide", "Half as long a slide", "Twice as long a slide"] {
        assert!(slides.iter().any(|w| w == said), "{said}: {slides:?}");
    }
    assert!(slides.iter().any(|w| w.starts_with("Slide in from ")), "{slides:?}");
}

#[test]
fn the_first_dozen_shows_many_sides_of_a_move() {
    for (feel, seed) in [("driven", 1), ("country", 2), ("ballad", 3), ("blues", 4)] {
        let scene = Scene::new(SONGS[1], "e9", feel, seed);
        let pass = scene.pass();
        let brief = scene.brief();
        let reviser = Reviser::new(&brief);
        for (index, action) in pass.moves.iter().enumerate() {
            let offers = reviser.offers(&pass, index, 12);
            let mut aspects: Vec<_> = offers.iter().map(|o| o.aspect).collect();
            aspects.sort_unstable();
            aspects.dedup();
            assert!(
                offers.len() == 12 && aspects.len() >= 5,
                "{feel}, {} at {}: {} offers, {aspects:?}",
                action.kind,
                action.at,
                offers.len()
            );
        }
    }
}

#[test]
fn every_offer_says_another_thing() {
    let scene = Scene::new(SONGS[5], "e9", "country", 5);
    let pass = scene.pass();
    let brief = scene.brief();
    let reviser = Reviser::new(&brief);
    for index in 0..pass.moves.len() {
        let mut said: Vec<_> = reviser
            .offers(&pass, index, usize::MAX)
            .into_iter()
            .map(|o| o.words.english())
            .collect();
        let count = said.len();
        said.sort();
        said.dedup();
        assert_eq!(said.len(), count, "{said:?}");
    }
}

#[test]
fn a_move_that_is_not_there_has_no_offers() {
    let scene = Scene::new(SONGS[0], "e9", "blues", 1);
    let pass = scene.pass();
    let brief = scene.brief();
    assert!(Reviser::new(&brief).offers(&pass, pass.moves.len(), 12).is_empty());
}

#[test]
fn whatever_is_too_fast_for_a_beginner_has_a_mend() {
    let mut found = 0;
    for song in SONGS {
        for feel in ["driven", "country", "ballad", "blues"] {
            let mut scene = Scene::new(song, "e9", feel, 3);
            let pass = scene.pass();
            scene.limits = Limits::shipped().unwrap().swap_remove(0);
            let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
            let brief = scene.brief();
            let reviser = Reviser::new(&brief);
            for breach in playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits) {
                found += 1;
                assert!(
                    !reviser.mends(&pass, &breach, 1).is_empty(),
                    "{song}, {feel}: {breach:?}"
                );
            }
        }
    }
    assert!(found > 20, "{found} breaches");
}

#[test]
fn a_held_stroke_can_be_raked_touched_as_a_harmonic_swelled_in_and_let_fall_off() {
    // The planner may have had the same idea, and said it first.
    let wanted = [
        ["Rake it with the thumb", "A rake over"],
        ["Touch it as a harmonic, an octave up", "A harmonic on"],
        [
            "Pluck it unheard and swell in",
            "Swelled in on the volume pedal instead",
        ],
        ["Let it fall off at the end", "Held and let fall off instead"],
    ];
    let mut said: Vec<String> = Vec::new();
    let offered = |said: &[String], words: &[&str; 2]| said.iter().any(|s| words.iter().any(|w| s.starts_with(w)));
    for seed in 0..20 {
        let scene = Scene::new("key G, 66; 1 4 5 1", "e9", "ballad", seed);
        let (brief, pass) = (scene.brief(), scene.pass());
        let reviser = Reviser::new(&brief);
        let offers = (0..pass.moves.len()).flat_map(|i| reviser.offers(&pass, i, usize::MAX));
        said.extend(offers.map(|o| o.words.english()));
        if wanted.iter().all(|w| offered(&said, w)) {
            return;
        }
    }
    let missing: Vec<_> = wanted.iter().filter(|w| !offered(&said, w)).collect();
    panic!("never offered: {missing:?}");
}

#[test]
fn a_held_chord_can_be_led_by_the_bar_alone_or_by_the_pedals() {
    let (mut by_bar, mut by_feet) = (0, 0);
    for seed in 0..6 {
        let scene = Scene::new(SONGS[0], "e9", "country", seed);
        let pass = scene.pass();
        let brief = scene.brief();
        let reviser = Reviser::new(&brief);
        for index in 0..pass.moves.len() {
            for offer in reviser.offers(&pass, index, usize::MAX) {
                let led = |words: &str| offer.words.english().contains(words);
                let (bar, feet) = (led("Led by the bar alone"), led("Led by the pedals"));
                if !(bar || feet) {
                    continue;
                }
                let pressed = |p: &Pass| p.moves[index].strokes[0].grip.place.stance.pressed().count();
                let after = offer.made_in(&pass);
                assert_eq!(bar, pressed(&after) == 0, "{}", offer.words.english());
                assert_eq!(feet, pressed(&pass) == 0, "{}", offer.words.english());
                by_bar += usize::from(bar);
                by_feet += usize::from(feet);
            }
        }
    }
    assert!(by_bar > 3 && by_feet > 3, "{by_bar} by the bar, {by_feet} by the feet");
}
