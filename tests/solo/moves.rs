//! Every kind of move is what its name says, can be played, and is liked by some feel.

use crate::solo_support::Scene;
use leadbar::solo::stroke::Attack;
use leadbar::solo::{Finger, Kind, Move, Performance, Touch, draft, playable, reasons, rules};
use leadbar::steel::{Control, Stance, Travel};
use leadbar::theory::Beats;
use std::collections::BTreeSet;

/// Invented.
const SONGS: [&str; 5] = [
    "key G, 92; 1 1 4 1 / 5 5 1 1 / 4 4- 1 67 / 2- 5 1 1",
    // Its 57 is what the open strings of an E9 sound.
    "key A, 120; 57 57 1 57 / 57 57 1 1",
    "key A, 66; 1 4 1 57 / 6- 4 57 1",
    "key B, 126; 17 47 17 17 / 47 57 17 1",
    "key C, 104, swung; 1 67 2-7 57 / 1 4 57 1",
];
const FEELS: [&str; 7] = ["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"];
/// Seeds tried before a kind counts as one that no feel makes.
const SEEDS: u64 = 12;

#[test]
fn every_kind_of_move_is_made_by_some_feel_and_is_what_its_name_says() {
    let mut seen: BTreeSet<Kind> = BTreeSet::new();
    for seed in 0..SEEDS {
        let on_pedals = SONGS.iter().flat_map(|s| FEELS.map(|f| (s, f, "e9")));
        // Where there are no pedals the bar is slanted.
        let without = FEELS.map(|f| (&SONGS[0], f, "c6-lap-6"));
        for (song, feel, instrument) in on_pedals.chain(without) {
            let mut scene = Scene::new(song, instrument, feel, seed);
            if seed % 2 == 1 {
                // Low on the neck, where open strings lie.
                scene.request.start_fret = 1;
                scene.request.high_fret = 5;
                scene.request.end_fret = 1;
            }
            for pass in draft(&scene.brief()).unwrap().passes {
                let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
                let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
                assert_eq!(breaches, vec![], "{song} {feel} {seed}");
                assert_eq!(rules::clashes(&performance, &scene.instrument, &scene.song), vec![]);
                for (index, action) in pass.moves.iter().enumerate() {
                    seen.insert(action.kind);
                    let is = is_what_it_says(action, &scene, &performance);
                    assert!(is, "{song} {feel} {seed}: {action:?}");
                    assert!(!reasons::why(&pass, index, &scene.song, &scene.instrument).is_empty());
                }
            }
        }
        if Kind::ALL.iter().all(|k| seen.contains(k)) {
            return;
        }
    }
    let missing: Vec<_> = Kind::ALL.iter().filter(|k| !seen.contains(k)).collect();
    panic!("no feel makes {missing:?}");
}

fn is_what_it_says(action: &Move, scene: &Scene, performance: &Performance) -> bool {
    let strokes: Vec<_> = action.timed().collect();
    let frets: Vec<i16> = strokes.iter().map(|s| i16::from(s.grip.place.fret)).collect();
    let still = strokes.iter().all(|s| s.grip.place.fret == strokes[0].grip.place.fret);
    let first = strokes[0];
    let plucks: Vec<_> = performance.plucks.iter().filter(|p| p.at >= first.at).collect();
    let pair = |s: Stance| {
        let pedal = |c| match scene.instrument.change(c).unwrap().control {
            Control::Pedal(number) if s.travel(c) == Travel::DOWN => Some(number),
            _ => None,
        };
        let down: Vec<_> = s.pressed().map(pedal).collect();
        matches!(down[..], [Some(a), Some(b)] if a.abs_diff(b) == 1)
    };
    let tops = || {
        let top = |s: &leadbar::solo::stroke::Stroke| {
            let notes = s
                .grip
                .strings
                .iter()
                .map(|n| scene.instrument.note(n, s.grip.place).unwrap());
            i16::from(notes.max().unwrap().0)
        };
        strokes.iter().map(top).collect::<Vec<i16>>()
    };
    match action.kind {
        Kind::Rake => {
            let swept = &plucks[..first.grip.strings.len()];
            let up = swept.windows(2).all(|w| w[0].at < w[1].at && w[0].string > w[1].string);
            first.grip.strings.is_unbroken() && up && swept.iter().all(|p| p.finger == Finger::Thumb)
        }
        Kind::Harmonic => {
            let Touch::Harmonic(above) = plucks[0].touch else {
                return false;
            };
            first.grip.place.fret + above <= scene.instrument.frets
        }
        Kind::Swell => {
            let loud = |at: Beats| performance.volume.value(at);
            loud(first.at) < 0.01 && loud(Beats((first.at.0 + first.until.0) / 2.0)) > 0.3
        }
        Kind::FallOff => {
            let end = strokes.last().unwrap().until;
            frets[0] - frets.last().unwrap() >= 3 && performance.blocks.iter().any(|b| (b.at - end).0.abs() < 0.2)
        }
        Kind::PreBend => still && strokes.len() == 2 && !strokes[1].arrival.plucks(),
        Kind::PedalRoll => still && strokes.iter().all(|s| pair(s.grip.place.stance)),
        Kind::PedalWalk => strokes.iter().any(|s| pair(s.grip.place.stance)),
        Kind::Chromatic => frets.windows(2).all(|w| (w[1] - w[0]).abs() == 1),
        Kind::OpenRun => frets.iter().all(|f| *f == 0) && first.grip.strings.len() == 1,
        Kind::DoubleRun => still && strokes.iter().all(|s| s.grip.strings.len() == 2),
        Kind::Slant => {
            let slanted = |s: &leadbar::solo::stroke::Stroke| s.grip.place.slant.is_some();
            let held = strokes[1..]
                .iter()
                .all(|s| !s.arrival.plucks() && s.grip.strings == first.grip.strings);
            held && strokes.windows(2).all(|w| slanted(&w[0]) != slanted(&w[1]))
        }
        Kind::CallAnswer => {
            let tops = tops();
            let way = |a: usize| (tops[a + 1] - tops[a]).signum();
            still && way(0) == way(2) && tops[..2].iter().min() > tops[2..].iter().max()
        }
        _ => strokes.iter().all(|s| s.attack == Attack::Plain),
    }
}

#[test]
fn a_thumb_drawn_over_neighbours_is_quicker_than_a_finger_that_jumps() {
    let scene = Scene::new(SONGS[0], "e9", "ballad", 1);
    let pluck = |at: f64, string: u8, finger: Finger| leadbar::solo::Pluck {
        at: Beats(at),
        string: leadbar::steel::StringNumber::new(string).unwrap(),
        finger,
        strength: 0.7,
        touch: Touch::Plain,
    };
    let report = |plucks: [leadbar::solo::Pluck; 2]| {
        let mut performance = Performance::silent(Beats(8.0), scene.instrument.changes.len());
        performance.plucks = plucks.to_vec();
        playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits).len()
    };
    let swept = Beats(0.05);
    assert_eq!(
        report([pluck(1.0, 6, Finger::Thumb), pluck(1.0 + swept.0, 5, Finger::Thumb)]),
        0
    );
    assert_eq!(
        report([pluck(1.0, 6, Finger::Thumb), pluck(1.0 + swept.0, 4, Finger::Thumb)]),
        1
    );
    assert_eq!(
        report([pluck(1.0, 6, Finger::Index), pluck(1.0 + swept.0, 5, Finger::Index)]),
        1
    );
}

#[test]
fn a_harmonic_beyond_the_last_fret_cannot_be_played() {
    let scene = Scene::new(SONGS[0], "e9", "ballad", 1);
    let report = |fret: f64| {
        let mut performance = Performance::silent(Beats(8.0), scene.instrument.changes.len());
        performance.bar.first = fret;
        performance.plucks = vec![leadbar::solo::Pluck {
            at: Beats(1.0),
            string: leadbar::steel::StringNumber::new(5).unwrap(),
            finger: Finger::Thumb,
            strength: 0.7,
            touch: Touch::Harmonic(12),
        }];
        playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits)
    };
    assert_eq!(report(12.0), vec![]);
    let beyond = report(13.0);
    assert!(beyond[0].trouble.said().english().contains("fret 25"), "{beyond:?}");
}
