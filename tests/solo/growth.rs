//! How a solo grows out of its figure: it returns with one thing changed, is answered, and chords flow into one another.

use crate::solo_support::Scene;
use leadbar::solo::reading::Figures;
use leadbar::solo::{Pass, notes};
use leadbar::theory::Beats;

const FEELS: [&str; 7] = ["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"];
/// Invented.
const SONG: &str = "key Bb, 104; 1 1 4 4 / 1 6- 2- 5 / 1 17 4 4- / 1 5 1 1";

fn scenes() -> impl Iterator<Item = Scene> {
    let all = FEELS.into_iter().flat_map(|f| (0..6).map(move |seed| (f, seed)));
    all.map(|(feel, seed)| Scene::new(SONG, "e9", feel, seed))
}

fn strokes_in(scene: &Scene, pass: &Pass, bar: usize) -> Vec<i64> {
    let bar = &scene.song.bars[bar];
    let end = bar.start + bar.metre.bar();
    let beats = pass.moves.iter().flat_map(|m| m.beats());
    let inside = beats.filter(|at| *at >= bar.start && *at < end);
    inside.map(|at| ((at - bar.start).0 * 48.0).round() as i64).collect()
}

#[test]
fn the_figure_comes_back_within_its_phrase_with_at_most_one_hit_changed() {
    let (mut changed, mut at) = (0, [0, 0]);
    for scene in scenes() {
        let pass = scene.pass();
        for phrase in [0, 4, 8] {
            let stated = strokes_in(&scene, &pass, phrase);
            let only = |a: &[i64], b: &[i64]| a.iter().filter(|t| !b.contains(t)).count();
            let back = [1, 2].map(|later| strokes_in(&scene, &pass, phrase + later));
            let known = |back: &Vec<i64>| only(&stated, back) <= 1 && only(back, &stated) <= 1;
            let found = back.iter().rposition(known);
            assert!(found.is_some(), "{stated:?} {back:?}");
            let found = found.unwrap_or(0);
            at[found] += 1;
            changed += usize::from(stated != back[found]);
        }
    }
    assert!(changed > 30, "{changed} of 126 returns change the rhythm");
    assert!(
        at.iter().all(|n| *n > 15),
        "returns after one bar and after two: {at:?}"
    );
}

/// The part of its phrase and the strength of every stroke.
fn strengths(scene: &Scene, pass: &Pass) -> Vec<(f64, f64)> {
    let strokes = pass.moves.iter().flat_map(|m| m.timed());
    let phrased = strokes.filter(|s| s.arrival.plucks()).map(|s| {
        let bar = scene.song.bar_index_at(s.at).unwrap();
        let start = scene.song.bars[bar - bar % 4].start;
        ((s.at - start).0 / 16.0, s.strength)
    });
    phrased.collect()
}

#[test]
fn phrases_swell_to_their_goal_and_taper_off() {
    let mean = |all: &[(f64, f64)], within: std::ops::Range<f64>| {
        let own = all.iter().filter(|s| within.contains(&s.0)).map(|s| s.1);
        own.clone().sum::<f64>() / own.count() as f64
    };
    for feel in FEELS {
        let mut all = Vec::new();
        for seed in 0..16 {
            let scene = Scene::new(SONG, "e9", feel, seed);
            all.extend(strengths(&scene, &scene.pass()));
        }
        let [begins, goal, ends] = [0.0..0.2, 0.45..0.7, 0.75..1.0].map(|part| mean(&all, part));
        assert!(begins < goal && ends < goal, "{feel}: {begins} {goal} {ends}");
        assert!(all.iter().all(|s| (0.05..=1.0).contains(&s.1)));
    }
}

#[test]
fn what_is_carried_on_from_the_move_before_is_never_silent() {
    let mut carried = 0;
    for scene in scenes() {
        let pass = scene.pass();
        let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
        let heard = notes(&performance, &scene.instrument, scene.song.tempo);
        for action in pass.moves.iter().filter(|m| !m.strokes[0].arrival.plucks()) {
            let stroke = action.timed().next().unwrap();
            carried += 1;
            let settled = stroke.at + stroke.arrival.settles_after();
            for string in stroke.grip.strings.iter() {
                let rings = |n: &&leadbar::solo::Note| n.string() == string && n.start() < stroke.at;
                let note = heard.iter().rfind(rings).unwrap();
                assert!(note.end >= settled - Beats(1e-6), "{} at {}", action.kind, action.at);
            }
        }
    }
    assert!(carried > 50, "{carried} carried");
}

#[test]
fn a_feel_for_pedals_carries_more_chords_by_feet_alone_than_one_for_the_bar() {
    let of = |feel: &str| -> f64 {
        let all = (0..12).map(|seed| {
            let scene = Scene::new(SONG, "e9", feel, seed);
            let pass = scene.pass();
            let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
            Figures::of(&pass, &performance, &scene.instrument, &scene.song).carried
        });
        all.sum::<f64>() / 12.0
    };
    let (country, bottleneck) = (of("country"), of("bottleneck"));
    assert!(country > 0.1 && country > 3.0 * bottleneck, "{country} {bottleneck}");
}
