//! What the player asks for is what is drafted; what can't be had is said, with what to do.
#![allow(clippy::unwrap_used)] // a test may fail by panicking

mod solo_support;

use leadbar::app::passes::remark_words;
use leadbar::solo::plan::{Point, Remark};
use leadbar::solo::{Draft, Motif, draft, playable, rules};
use leadbar::steel::{StringNumber, StringSet};
use solo_support::Scene;

/// Invented.
const SONG: &str = "key G, 96; 1 1 4 1 / 5 5 1 1 / 4 4 1 6- / 2- 5 1 1";

fn asked(feel: &str, seed: u64, ask: impl Fn(&mut leadbar::solo::Request)) -> (Scene, Draft) {
    let mut scene = Scene::new(SONG, "e9", feel, seed);
    ask(&mut scene.request);
    let drafted = draft(&scene.brief()).unwrap();
    for pass in &drafted.passes {
        let performance = pass.performance(&scene.instrument, &scene.limits, scene.song.tempo);
        let breaches = playable::report(&performance, &scene.instrument, scene.song.tempo, &scene.limits);
        assert_eq!(breaches, vec![], "{feel} {seed}");
        assert_eq!(rules::clashes(&performance, &scene.instrument, &scene.song), vec![]);
    }
    (scene, drafted)
}

#[test]
fn a_motif_of_the_players_own_opens_every_phrase_on_its_degrees() {
    // Over G: B, D, G.
    let motif: Motif = "3 5 1:2".parse().unwrap();
    for feel in ["driven", "country", "blues"] {
        let (scene, drafted) = asked(feel, 2, |r| r.motif = Some(motif.clone()));
        for pass in &drafted.passes {
            let bar = &scene.song.bars[0];
            let strokes = pass.moves.iter().flat_map(|m| m.timed());
            let inside: Vec<_> = strokes.filter(|s| s.at < bar.metre.bar()).collect();
            let heard: Vec<(f64, u8)> = inside
                .iter()
                .filter(|s| (s.at.0 - s.at.0.round()).abs() < 1e-6)
                .map(|s| {
                    let notes = s
                        .grip
                        .strings
                        .iter()
                        .map(|n| scene.instrument.note(n, s.grip.place).unwrap());
                    (s.at.0, notes.max().unwrap().class().number())
                })
                .collect();
            let wanted = [(0.0, 11), (1.0, 2), (2.0, 7)];
            assert!(wanted.iter().all(|w| heard.contains(w)), "{feel}: {heard:?}");
        }
        for remark in &drafted.remarks {
            // The high point may need another note than the motif's.
            if let Remark::MotifUnmet { missed, of, .. } = remark {
                assert!(missed * 10 < *of, "{remark:?}");
            }
        }
    }
}

#[test]
fn a_foreign_note_of_a_motif_on_a_strong_beat_is_told_with_its_bar() {
    let (_, drafted) = asked("country", 1, |r| r.motif = "4:4".parse().ok());
    let told = drafted
        .remarks
        .iter()
        .find(|r| matches!(r, Remark::MotifUnmet { .. }))
        .unwrap();
    let words = remark_words(told);
    assert!(
        words.contains("the first in bar 1") && words.contains("Put that note off the beat"),
        "{words}"
    );
}

#[test]
fn a_motif_longer_than_a_bar_is_cut_and_told() {
    let (_, drafted) = asked("country", 1, |r| r.motif = "3 5 6 5 3 1".parse().ok());
    assert!(
        drafted.remarks.contains(&Remark::MotifCut { beats: 4 }),
        "{:?}",
        drafted.remarks
    );
}

#[test]
fn favoured_strings_are_played_more() {
    let strings: StringSet = [3, 4, 5].into_iter().filter_map(StringNumber::new).collect();
    let part = |favoured: StringSet| -> f64 {
        let (mut on, mut all) = (0, 0);
        for seed in 0..3 {
            let (_, drafted) = asked("country", seed, |r| r.favoured = favoured);
            for stroke in drafted.passes.iter().flat_map(|p| &p.moves).flat_map(|m| &m.strokes) {
                on += stroke.grip.strings.and(strings).len();
                all += stroke.grip.strings.len();
            }
        }
        f64::from(u32::try_from(on).unwrap()) / f64::from(u32::try_from(all).unwrap())
    };
    let (plain, asked) = (part(StringSet::EMPTY), part(strings));
    assert!(asked > 0.75 && asked > plain + 0.2, "{asked} against {plain}");
}

#[test]
fn strings_that_cannot_carry_the_song_and_places_far_from_the_wish_are_told() {
    let ninth: StringSet = StringNumber::new(9).into_iter().collect();
    let (_, drafted) = asked("country", 1, |r| r.favoured = ninth);
    let told = |wanted: fn(&Remark) -> bool| drafted.remarks.iter().any(wanted);
    assert!(
        told(|r| matches!(r, Remark::StringsUnmet { .. })),
        "{:?}",
        drafted.remarks
    );
    let (_, drafted) = asked("country", 1, |r| r.high_fret = 24);
    let high = drafted
        .remarks
        .iter()
        .find(|r| matches!(r, Remark::PlaceUnmet { point: Point::High, .. }));
    let words = remark_words(high.unwrap());
    assert!(
        words.starts_with("It is highest at fret ") && words.contains("not near 24"),
        "{words}"
    );
}
