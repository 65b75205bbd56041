//! What the player asks for is what is drafted; what can't be had is said, with what to do.

use crate::solo_support::Scene;
use leadbar::app::passes::remark_words;
use leadbar::solo::plan::{Point, Remark};
use leadbar::solo::{Draft, Melody, Motif, draft, playable, rules};
use leadbar::steel::{StringNumber, StringSet};

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
    let words = remark_words(told).english();
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

/// The top notes of what is struck or carried, by moment.
fn tops(scene: &Scene, pass: &leadbar::solo::Pass) -> Vec<(f64, u8)> {
    let strokes = pass.moves.iter().flat_map(|m| m.timed());
    let top = |s: leadbar::solo::stroke::Stroke| {
        let notes = s
            .grip
            .strings
            .iter()
            .filter_map(|n| scene.instrument.note(n, s.grip.place));
        Some((s.at.0, notes.max()?.0))
    };
    strokes.filter_map(top).collect()
}

#[test]
fn a_melody_is_shadowed_note_by_note_and_answered_where_it_is_silent() {
    // Over G G C G, D D G G: chord tones on the strong beats, others in between, two bars of silence.
    let melody: Melody = "3 5:0.5 6:0.5 5:2 | 3:4 | +1:1.5 6:0.5 1:2 | 3:4 | | | 3 2 1:2"
        .parse()
        .unwrap();
    let scale = [7, 9, 11, 0, 2, 4, 6];
    let (mut met, mut all, mut right_way, mut ways) = (0, 0, 0, 0);
    for (feel, seed) in ["driven", "country", "ballad", "blues", "swing", "ambient"]
        .into_iter()
        .zip(0..)
    {
        let (scene, drafted) = asked(feel, seed, |r| r.melody = Some(melody.clone()));
        for pass in &drafted.passes {
            let tops = tops(&scene, pass);
            let mut before = None;
            for bar in 0..melody.bars() {
                let start = scene.song.bars[bar].start.0;
                for sung in melody.bar(bar) {
                    let class = scale[usize::from(sung.degree.number() - 1)];
                    let heard = tops
                        .iter()
                        .find(|(at, _)| (at - start - sung.at).abs() < 1e-6)
                        .map(|t| t.1);
                    all += 1;
                    met += u32::from(heard.is_some_and(|n| n % 12 == class));
                    if let (Some(from), Some(to), true) = (before, heard, sung.step != 0) {
                        ways += 1;
                        right_way += u32::from((i16::from(to) - i16::from(from)).signum() == i16::from(sung.step));
                    }
                    before = heard.or(before);
                }
            }
            let answered = tops.iter().filter(|(at, _)| (16.0..24.0).contains(at)).count();
            assert!(answered > 0, "{feel}: nothing answers the silence");
        }
    }
    println!("{met} of {all} notes met, {right_way} of {ways} the right way");
    assert!(met * 100 >= all * 95, "{met} of {all} notes met");
    assert!(right_way * 100 >= ways * 85, "{right_way} of {ways} the right way");
}

#[test]
fn what_of_a_melody_finds_no_room_is_told() {
    let told = |text: &str| asked("country", 1, |r| r.melody = text.parse().ok()).1.remarks;
    assert!(told("1 | 3 5 6 5 3").contains(&Remark::MelodyCut { bar: 2, beats: 4 }));
    assert!(told(&"1 |".repeat(17)).contains(&Remark::MelodyLong { bars: 16 }));
    let foreign = told("4:4 | 1");
    let foreign: Vec<_> = foreign
        .iter()
        .filter(|r| matches!(r, Remark::MelodyUnmet { .. }))
        .collect();
    assert!(
        remark_words(foreign[0]).english().contains("the first in bar 1"),
        "{foreign:?}"
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
    let words = remark_words(high.unwrap()).english();
    assert!(
        words.starts_with("It is highest at fret ") && words.contains("not near 24"),
        "{words}"
    );
}
