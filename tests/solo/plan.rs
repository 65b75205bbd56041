//! The planner on songs, keys, instruments and wishes of all kinds: what it drafts can be played and makes sense.

use leadbar::solo::plan::Remark;
use leadbar::solo::{
    Brief, Draft, Ending, Entry, Feel, Kind, Limits, PlanError, Request, draft, notes, playable, reasons, rules,
};
use leadbar::steel::Instrument;
use leadbar::steel::instrument::shipped;
use leadbar::theory::{Beats, ChordSpan, Hit, Key, Metre, Numeral, Swing, Tempo, Timeline, TimelineBar};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// A song of one number a bar ("1"), or several that share it ("1,4").
fn song(key: &str, tempo: f64, metre: Metre, bars: &str) -> Timeline {
    let key: Key = key.parse().unwrap();
    let mut timeline = Timeline {
        key,
        tempo: Tempo(tempo),
        swing: Swing::Straight,
        style: None,
        bars: Vec::new(),
        spans: Vec::new(),
    };
    let mut start = Beats::ZERO;
    for (index, bar) in bars.split_whitespace().enumerate() {
        timeline.bars.push(TimelineBar {
            start,
            metre,
            section: None,
            written: index,
        });
        let numbers: Vec<&str> = bar.split(',').collect();
        let length = metre.bar().scaled(1.0 / numbers.len() as f64);
        for (i, number) in numbers.iter().enumerate() {
            let numeral: Numeral = number.parse().unwrap();
            timeline.spans.push(ChordSpan {
                start: start + length.scaled(i as f64),
                length,
                bar: index,
                key,
                numeral,
                chord: numeral.chord(key),
                hit: Hit::Played,
                pushed: false,
            });
        }
        start += metre.bar();
    }
    timeline
}

fn planned(timeline: &Timeline, instrument: &Instrument, feel: &str, request: &Request) -> Result<Draft, PlanError> {
    let feels = Feel::shipped().unwrap();
    let feel = feels.iter().find(|f| f.id == feel).unwrap();
    let limits = Limits::steady().unwrap();
    draft(&Brief {
        timeline,
        instrument,
        feel,
        limits: &limits,
        request,
    })
}

fn shipped() -> Vec<Instrument> {
    shipped::ids().map(|id| Instrument::shipped(id).unwrap()).collect()
}

/// Songs of all kinds. Invented.
const SONGS: [(&str, f64, Metre, &str); 9] = [
    ("A", 132.0, Metre::COMMON, "1 1 4 1 b7 4 1 5"),
    ("Bb", 100.0, Metre::COMMON, "1 6- 4 5 1 6- 4,5 1 b7 4 1 5 4 5 1 1"),
    ("Bb", 76.0, Metre::COMMON, "1 6- 4 5 1 6- 2-,5 1"),
    ("F#", 210.0, Metre::COMMON, "1 4 1 57 1 4 57 1 4 4 1"),
    ("Dm", 96.0, Metre { count: 3, unit: 4 }, "1- 4- 57 1- b6 b7 1-"),
    ("G", 60.0, Metre { count: 6, unit: 8 }, "1 5/7 6- 4 1 57 1"),
    ("Eb", 118.0, Metre { count: 5, unit: 4 }, "1maj7 2m7 3m7 6m7 2m7 57sus4"),
    ("C", 150.0, Metre { count: 2, unit: 4 }, "1 1 4 4 5 5 1 1"),
    ("B", 88.0, Metre::COMMON, "17 #4dim 1+ 4m6 7m7b5 b39 1"),
];

fn request(seed: u64, entry: Entry, ending: Ending, frets: [u8; 3], density: f64) -> Request {
    let [start_fret, high_fret, end_fret] = frets;
    Request {
        seed,
        entry,
        ending,
        start_fret,
        high_fret,
        end_fret,
        density,
        ..Request::default()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever is asked, over whatever song, on whatever instrument.
    #[test]
    fn no_draft_is_ever_unplayable_or_clashes_with_the_song(
        seed: u64,
        song_index in 0..SONGS.len(),
        instrument_index in 0_usize..16,
        feel in prop::sample::select(vec!["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"]),
        entry in prop::sample::select(vec![Entry::Any, Entry::Slide, Entry::Struck, Entry::Squeeze, Entry::Run]),
        ending in prop::sample::select(vec![Ending::Any, Ending::RingOut, Ending::Unison, Ending::Stop]),
        frets: [u8; 3],
        density in 0.0..=1.0_f64,
    ) {
        let (key, tempo, metre, bars) = SONGS[song_index];
        let timeline = song(key, tempo, metre, bars);
        let all = shipped();
        let instrument = &all[instrument_index % all.len()];
        let limits = Limits::steady().unwrap();
        let request = request(seed, entry, ending, frets.map(|f| f % 25), density);
        let draft = planned(&timeline, instrument, feel, &request).unwrap();
        prop_assert!(!draft.passes.is_empty());
        for pass in &draft.passes {
            prop_assert!(!pass.moves.is_empty());
            let performance = pass.performance(instrument, &limits, timeline.tempo);
            prop_assert!(!performance.plucks.is_empty());
            prop_assert_eq!(playable::report(&performance, instrument, timeline.tempo, &limits), vec![]);
            prop_assert_eq!(rules::clashes(&performance, instrument, &timeline), vec![]);
            for index in 0..pass.moves.len() {
                prop_assert!(!reasons::why(pass, index, &timeline, instrument).is_empty());
            }
        }
    }
}

/// The heights that performance's plucks come to rest on, with their moments.
fn tops(draft: &Draft, index: usize, timeline: &Timeline, instrument: &Instrument) -> Vec<(Beats, i64)> {
    let limits = Limits::steady().unwrap();
    let performance = draft.passes[index].performance(instrument, &limits, timeline.tempo);
    let heard = notes(&performance, instrument, timeline.tempo);
    heard
        .iter()
        .flat_map(|n| n.rests().collect::<Vec<_>>())
        .map(|(at, h)| (at, (h.0 * 100.0).round() as i64))
        .collect()
}

#[test]
fn a_solo_has_one_high_point_a_returning_figure_a_breath_and_ends_on_the_last_chord() {
    let timeline = song("A", 132.0, Metre::COMMON, "1 1 4 1 b7 4 1 5 1 1 4 1 b7 4 5 1");
    let e9 = Instrument::shipped("e9").unwrap();
    for seed in 0..12 {
        let draft = planned(
            &timeline,
            &e9,
            "driven",
            &Request {
                seed,
                ..Request::default()
            },
        )
        .unwrap();
        for (index, pass) in draft.passes.iter().enumerate() {
            let tops = tops(&draft, index, &timeline, &e9);
            let highest = tops.iter().map(|t| t.1).max().unwrap();
            let owner = |at: Beats| pass.move_at(at);
            let peaks: BTreeSet<_> = tops
                .iter()
                .filter(|t| t.1 == highest)
                .filter_map(|t| owner(t.0))
                .collect();
            assert_eq!(
                peaks.len(),
                1,
                "seed {seed}: the highest note belongs to moves {peaks:?}"
            );

            let rhythm = |bar: usize| -> Vec<i64> {
                let start = timeline.bars[bar].start;
                let beats = pass.moves.iter().flat_map(|m| m.beats());
                beats
                    .map(|at| ((at - start).0 * 48.0).round() as i64)
                    .filter(|t| (0..192).contains(t))
                    .collect()
            };
            let first = rhythm(0);
            let returns = (1..16).filter(|bar| rhythm(*bar) == first).count();
            assert!(
                returns >= 3,
                "seed {seed}: the figure {first:?} returns {returns} times"
            );

            let sounding = |at: f64| {
                pass.moves
                    .iter()
                    .flat_map(|m| m.timed().collect::<Vec<_>>())
                    .any(|s| s.at.0 <= at && at < s.until.0)
            };
            let silent_bars = (0..16).filter(|bar| !sounding(f64::from(*bar) * 4.0 + 3.9)).count();
            assert!(silent_bars >= 2, "seed {seed}: no room to breathe");

            let last = pass.moves.last().unwrap();
            let chord = timeline.spans.last().unwrap().chord;
            // A fall-off leaves the chord it has held.
            let grip = last.strokes.first().unwrap().grip;
            assert!(last.at >= timeline.bars[15].start);
            for string in grip.strings.iter() {
                assert!(chord.tone_of(e9.note(string, grip.place).unwrap().class()).is_some());
            }
        }
    }
}

#[test]
fn the_same_request_gives_the_same_passes_and_another_seed_gives_others() {
    let timeline = song("A", 132.0, Metre::COMMON, "1 1 4 1 b7 4 1 5");
    let e9 = Instrument::shipped("e9").unwrap();
    let at = |seed| {
        planned(
            &timeline,
            &e9,
            "country",
            &Request {
                seed,
                ..Request::default()
            },
        )
        .unwrap()
    };
    assert_eq!(at(7), at(7));
    assert_ne!(at(7).passes, at(8).passes);
    let draft = at(7);
    assert_eq!(draft.passes.len(), 3);
    assert_ne!(draft.passes[0].moves, draft.passes[1].moves);
}

#[test]
fn the_wishes_for_entry_ending_and_register_are_met() {
    let timeline = song("C", 100.0, Metre::COMMON, "1 6- 4 5 1 6- 5 1");
    let e9 = Instrument::shipped("e9").unwrap();
    for (entry, kinds) in [
        (Entry::Slide, vec![Kind::SlideIn, Kind::Grace]),
        (Entry::Squeeze, vec![Kind::Squeeze, Kind::PreBend]),
        (
            Entry::Run,
            vec![
                Kind::Run,
                Kind::Walk,
                Kind::PedalWalk,
                Kind::Chromatic,
                Kind::DoubleRun,
                Kind::OpenRun,
            ],
        ),
        (Entry::Struck, vec![Kind::Strike, Kind::DoubleStop, Kind::Blocked]),
    ] {
        let draft = planned(
            &timeline,
            &e9,
            "country",
            &Request {
                entry,
                ..Request::default()
            },
        )
        .unwrap();
        assert!(
            draft.passes.iter().all(|p| kinds.contains(&p.moves[0].kind)),
            "{entry:?}"
        );
    }
    for (ending, kind) in [
        (Ending::RingOut, Kind::RingOut),
        (Ending::Unison, Kind::Unison),
        (Ending::FallOff, Kind::FallOff),
    ] {
        let draft = planned(
            &timeline,
            &e9,
            "driven",
            &Request {
                ending,
                ..Request::default()
            },
        )
        .unwrap();
        assert!(
            draft.passes.iter().all(|p| p.moves.last().unwrap().kind == kind),
            "{ending:?}"
        );
    }
    let mean_fret = |frets: [u8; 3]| {
        let asked = request(3, Entry::Any, Ending::Any, frets, 0.5);
        let draft = planned(&timeline, &e9, "driven", &asked).unwrap();
        let frets: Vec<f64> = draft.passes[0]
            .moves
            .iter()
            .flat_map(|m| &m.strokes)
            .map(|s| f64::from(s.grip.place.fret))
            .collect();
        frets.iter().sum::<f64>() / frets.len() as f64
    };
    assert!(mean_fret([3, 8, 3]) + 3.0 < mean_fret([10, 17, 12]));
}

#[test]
fn a_busy_wish_gives_more_notes_than_a_sparse_one() {
    let timeline = song("D", 100.0, Metre::COMMON, "1 4 5 1 1 4 5 1");
    let e9 = Instrument::shipped("e9").unwrap();
    let strokes = |density| {
        let draft = planned(
            &timeline,
            &e9,
            "country",
            &Request {
                density,
                ..Request::default()
            },
        )
        .unwrap();
        draft.passes[0].moves.iter().map(|m| m.strokes.len()).sum::<usize>()
    };
    assert!(strokes(0.0) < strokes(1.0), "{} against {}", strokes(0.0), strokes(1.0));
}

#[test]
fn avoided_changes_are_never_pressed() {
    let timeline = song("G", 100.0, Metre::COMMON, "1 4 5 1 6- 2- 5 1");
    let e9 = Instrument::shipped("e9").unwrap();
    let avoided: Vec<_> = ["C", "G", "V", "D"]
        .iter()
        .map(|n| e9.change_named(n).unwrap())
        .collect();
    for seed in 0..8 {
        let asked = Request {
            avoided: avoided.clone(),
            seed,
            ..Request::default()
        };
        for pass in planned(&timeline, &e9, "country", &asked).unwrap().passes {
            let performance = pass.performance(&e9, &Limits::steady().unwrap(), timeline.tempo);
            for change in &avoided {
                assert!(performance.travels[change.index()].turns.is_empty());
            }
        }
    }
}

#[test]
fn what_cannot_be_planned_is_said_with_what_to_do() {
    let e9 = Instrument::shipped("e9").unwrap();
    let empty = song("A", 132.0, Metre::COMMON, "");
    let said = planned(&empty, &e9, "driven", &Request::default()).unwrap_err();
    assert_eq!(said, PlanError::EmptyChart);
    assert!(said.to_string().contains("write some numbers, such as 1 4 5 1"));
    let four = song("A", 132.0, Metre::COMMON, "1 4 5 1");
    let outside = Request {
        bars: Some(2..9),
        ..Request::default()
    };
    let said = planned(&four, &e9, "driven", &outside).unwrap_err().to_string();
    assert_eq!(
        said,
        "bars 3 to 9 are not in this song, which has 4: choose bars within it"
    );
    let mut bare = e9;
    bare.strings.clear();
    assert_eq!(
        planned(&four, &bare, "driven", &Request::default()).unwrap_err(),
        PlanError::NoStrings
    );
}

#[test]
fn a_chord_the_instrument_cannot_sound_whole_is_thinned_and_said() {
    let mut one = Instrument::shipped("e9").unwrap();
    one.strings.truncate(1);
    one.changes.clear();
    let timeline = song("A", 100.0, Metre::COMMON, "1 6- 4 1");
    let draft = planned(&timeline, &one, "driven", &Request::default()).unwrap();
    let thinned = |n: &str, c: &str| Remark::Thinned {
        number: n.to_owned(),
        chord: c.to_owned(),
    };
    for (number, chord) in [("1", "A"), ("6-", "F#m"), ("4", "D")] {
        assert!(draft.remarks.contains(&thinned(number, chord)), "{:?}", draft.remarks);
    }
    assert!(!draft.passes[0].moves.is_empty());
}

#[test]
fn shipped_feels_and_limits_are_read_without_a_fault() {
    let ids: Vec<String> = Feel::shipped().unwrap().into_iter().map(|f| f.id).collect();
    assert_eq!(
        ids,
        ["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"]
    );
    let levels: Vec<String> = Limits::shipped().unwrap().into_iter().map(|l| l.id).collect();
    assert_eq!(levels, ["beginner", "steady", "pro"]);
}

#[test]
fn hardly_a_move_has_to_be_left_out() {
    let e9 = Instrument::shipped("e9").unwrap();
    let (mut moves, mut left_out) = (0, 0);
    for (key, tempo, metre, bars) in SONGS {
        let timeline = song(key, tempo, metre, bars);
        for feel in ["driven", "country", "ballad", "blues", "swing", "ambient", "bottleneck"] {
            let draft = planned(&timeline, &e9, feel, &Request::default()).unwrap();
            moves += draft.passes.iter().map(|p| p.moves.len()).sum::<usize>();
            left_out += draft
                .remarks
                .iter()
                .filter(|r| matches!(r, Remark::LeftOut { .. }))
                .count();
        }
    }
    assert!(left_out * 500 < moves, "{left_out} left out of {moves}");
}
