//! A whole pass read: the figures say what was drafted, and what is found dull comes with a change that can be played.

use crate::solo_support::Scene;
use leadbar::solo::reading::{Figures, read};
use leadbar::solo::{Pass, Reviser, playable, rules};
use std::sync::Arc;

fn scene(feel: &str, seed: u64) -> Scene {
    Scene::new(
        "key Bb, 104; 1 1 4 4 / 1 6- 2- 5 / 1 17 4 4- / 1 5 1 1",
        "e9",
        feel,
        seed,
    )
}

fn figures(scene: &Scene, pass: &Pass) -> Figures {
    let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
    Figures::of(pass, &performance, &scene.instrument, &scene.song)
}

const FEELS: [&str; 7] = ["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"];

#[test]
fn a_reading_says_all_five_things_and_how_hard_every_bar_is() {
    for feel in FEELS {
        let scene = scene(feel, 2);
        let brief = scene.brief();
        let reading = read(&scene.pass(), &Reviser::new(&brief));
        let about: Vec<_> = reading.lines.iter().map(|l| l.about).collect();
        assert_eq!(
            about,
            ["Arc", "Register", "Strong beats", "Figure", "Breathing"],
            "{feel}"
        );
        assert_eq!(reading.difficulty.len(), 16);
        assert!(reading.difficulty.iter().all(|d| (0.0..=1.0).contains(&d.part)));
        assert!(reading.difficulty.iter().any(|d| d.part > 0.05), "{feel}");
    }
}

#[test]
fn help_for_what_is_dull_can_be_played() {
    let mut helped = 0;
    for feel in FEELS {
        for seed in 0..4 {
            let scene = scene(feel, seed);
            let (brief, pass) = (scene.brief(), scene.pass());
            for dull in read(&pass, &Reviser::new(&brief)).dull {
                let Some(help) = dull.help else { continue };
                helped += 1;
                let after = help.made_in(&pass);
                let performance = after.performance(&scene.instrument, &scene.limits, scene.song.tempo);
                let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
                assert_eq!(breaches, vec![], "{feel} {seed}: {}", help.words.english());
                assert!(rules::clashes(&performance, &scene.instrument, &scene.song).is_empty());
            }
        }
    }
    assert!(helped > 3, "{helped} helped");
}

#[test]
fn one_move_over_and_over_is_heard_as_dull() {
    let scene = scene("driven", 1);
    let mut pass = scene.pass();
    let first = pass.moves[0].clone();
    let again = |i: usize| {
        let mut action = (*first).clone();
        action.at = scene.song.bars[i].start;
        Arc::new(action)
    };
    pass.moves = (0..16).map(again).collect();
    let brief = scene.brief();
    let reading = read(&pass, &Reviser::new(&brief));
    let words: Vec<_> = reading.dull.iter().map(|d| d.words.english()).collect();
    assert!(words.iter().any(|w| w.contains("16 times running")), "{words:?}");
    assert!(words.iter().any(|w| w.contains("reached 16 times")), "{words:?}");
}

#[test]
fn a_drafted_pass_stands_on_the_chords() {
    for feel in FEELS {
        let figures = figures(&scene(feel, 5), &scene(feel, 5).pass());
        assert!(figures.chord_tones > 0.95, "{feel}: {figures:?}");
    }
}

#[test]
fn the_bottleneck_way_moves_the_bar_and_leaves_the_pedals() {
    let of = |feel: &str| -> (f64, f64) {
        let all = (0..6).map(|seed| {
            let scene = scene(feel, seed);
            figures(&scene, &scene.pass())
        });
        all.fold((0.0, 0.0), |(slid, feet), f| (slid + f.slid, feet + f.footwork))
    };
    let (bottleneck, country) = (of("bottleneck"), of("country"));
    assert!(bottleneck.1 < country.1 * 0.4, "{bottleneck:?} {country:?}");
    assert!(bottleneck.0 > country.0, "{bottleneck:?} {country:?}");
}

#[test]
fn a_blend_lies_between_its_two_feels() {
    let (swing, ambient) = (scene("swing", 1), scene("ambient", 1));
    let strokes = |part: f64| -> f64 {
        let totals = (0..6).map(|seed| {
            let mut scene = scene("swing", seed);
            scene.feel = swing.feel.blended(&ambient.feel, part);
            figures(&scene, &scene.pass()).strokes
        });
        totals.sum()
    };
    assert!(strokes(1.0) < strokes(0.5) && strokes(0.5) < strokes(0.0));
}
