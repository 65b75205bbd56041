//! Editing by hand: where handles go, what comes of it, and a bar that is typed.

use super::*;
use crate::app::proposal::{AskMends, Proposal, mends};
use crate::app::{feels, planning};
use crate::solo::Request;
use crate::solo::Shape;
use crate::steel::{Slant, StringNumber};
use crate::theory::chart;
use std::sync::Arc;

struct Scene {
    song: Timeline,
    instrument: Instrument,
    pass: Pass,
}

fn scene(text: &str) -> Scene {
    seeded(text, 0)
}

fn seeded(text: &str, seed: u64) -> Scene {
    scene_on(text, "e9", seed)
}

fn scene_on(text: &str, instrument: &str, seed: u64) -> Scene {
    let instrument = Instrument::shipped(instrument).unwrap();
    let song = chart::parse(text).chart.timeline();
    let ask = planning::Ask {
        song: song.clone(),
        instrument: instrument.clone(),
        request: Request {
            seed,
            ..Request::default()
        },
    };
    let pass = planning::plan(&ask).unwrap().passes.swap_remove(0);
    Scene { song, instrument, pass }
}

/// The same on an instrument without pedals.
fn lapped(text: &str) -> Scene {
    scene_on(text, "c6-lap-6", 0)
}

fn common() -> Scene {
    scene("key D, 100; 1 4 5 1 / 6- 4 5 1")
}

impl Scene {
    fn hand<'a>(&'a self, index: usize, action: &'a Move) -> InHand<'a> {
        InHand {
            pass: &self.pass,
            index,
            action,
            stroke: 0,
            song: &self.song,
            instrument: &self.instrument,
        }
    }

    fn typed(&self, bar: usize) -> TypedBar<'_> {
        TypedBar {
            pass: &self.pass,
            bar,
            song: &self.song,
            instrument: &self.instrument,
        }
    }
}

fn limits() -> &'static crate::solo::Limits {
    feels::limits(crate::solo::Level::default()).unwrap()
}

#[test]
fn a_slide_comes_from_where_its_start_is_dragged_and_a_struck_note_can_be_pulled_into_one() {
    let struck = |m: &Move| {
        let own = &m.strokes[0];
        m.kind == Kind::Strike && m.strokes.len() == 1 && own.arrival == Arrival::Struck && own.grip.place.fret > 3
    };
    let drafts = (0..20).map(|seed| seeded("key D, 100; 1 4 5 1 / 6- 4 5 1", seed));
    let mut found = drafts.filter_map(|s| Some((s.pass.moves.iter().position(|m| struck(m))?, s)));
    let (index, scene) = found.next().expect("a struck move");
    let own = &scene.pass.moves[index];
    let hand = scene.hand(index, own);
    let start = hand.setting(Handle::From).unwrap();
    let slid = hand.set(hand.dragged(start, Beats::ZERO, Fret(-2.2))).unwrap();
    let fret = own.strokes[0].grip.place.bar();
    assert!(matches!(slid.strokes[0].arrival, Arrival::Slid { from, .. } if from == Fret(fret.0 - 2.0)));
    assert_eq!(slid.kind, Kind::SlideIn);
    let back = scene.hand(index, &slid);
    let back = back.set(Setting::From(fret)).unwrap();
    assert_eq!(back.strokes[0].arrival, Arrival::Struck);
    assert_eq!(back.kind, Kind::Strike);
}

#[test]
fn a_note_comes_to_rest_on_the_grid_and_never_before_its_neighbour() {
    for text in [
        "key D, 100; 1 4 5 1",
        "key D, 100, swing; 1 4 5 1",
        "key D, 6/8, 60; 1 4 5 1",
    ] {
        let scene = scene(text);
        for (index, own) in scene.pass.moves.iter().enumerate() {
            let hand = scene.hand(index, own);
            let at = hand.setting(Handle::When).unwrap();
            for far in [-40.0, -0.6, 0.3, 40.0] {
                let Setting::When(to) = hand.dragged(at, Beats(far), Fret(0.0)) else {
                    panic!()
                };
                let moved = hand.set(Setting::When(to)).unwrap();
                assert_eq!(moved.at, to);
                let change = crate::solo::Change::by_hand(&scene.pass, index, moved);
                let after = change.expect("stands").made_in(&scene.pass);
                let strokes: Vec<Beats> = after.moves.iter().flat_map(|m| m.timed()).map(|s| s.at).collect();
                assert!(
                    strokes.windows(2).all(|w| w[0] < w[1]),
                    "{text} {index} {far}: {strokes:?}"
                );
            }
        }
    }
}

#[test]
fn a_step_leads_from_between_the_grid_to_its_next_moment() {
    let scene = common();
    assert_eq!(snap::along(&scene.song, Beats(1.1), 1), Beats(1.25));
    assert_eq!(snap::along(&scene.song, Beats(1.1), -1), Beats(1.0));
    assert_eq!(snap::along(&scene.song, Beats(1.25), 1), Beats(1.5));
    assert_eq!(snap::shape(Shape::Early, -1), Shape::Early);
    assert_eq!(snap::shape(Shape::Even, 9), Shape::Late);
    assert_eq!(snap::length(Beats(0.1), 0), Beats(0.125));
    assert_eq!(grid(&scene.song, Beats(5.0)).first(), Some(&Beats(4.0)));
}

#[test]
fn every_edit_is_one_change_that_leaves_all_other_moves_the_very_same() {
    let scene = common();
    for (index, own) in scene.pass.moves.iter().enumerate() {
        let hand = scene.hand(index, own);
        for hold in hand.holds() {
            let Some(edited) = hand.set(hand.stepped(hold.setting, 1)) else {
                continue;
            };
            let Some(proposal) = Proposal::by_hand(&scene.pass, index, &edited, &scene.song, &scene.instrument) else {
                continue;
            };
            assert_eq!(proposal.pass.moves.len(), scene.pass.moves.len());
            let others = scene.pass.moves.iter().zip(&proposal.pass.moves).enumerate();
            for (i, (old, new)) in others.filter(|(i, _)| *i != index && i + 1 != index) {
                assert!(Arc::ptr_eq(old, new), "move {i} changed by an edit of {index}");
            }
            let words = proposal.words.english();
            assert!(words.starts_with("Bar ") && !words.ends_with(", "), "{words}");
        }
    }
}

#[test]
fn a_locked_move_has_no_handles_and_is_never_cut() {
    let mut scene = common();
    Arc::make_mut(&mut scene.pass.moves[1]).locked = true;
    let locked = scene.pass.moves[1].clone();
    assert!(scene.hand(1, &locked).holds().is_empty());
    let next = scene.pass.moves[2].clone();
    let hand = scene.hand(2, &next);
    let early = hand
        .set(hand.dragged(Setting::When(next.at), Beats(-9.0), Fret(0.0)))
        .unwrap();
    assert!(
        early.at >= locked.end() - Beats(1e-9),
        "{} before {}",
        early.at,
        locked.end()
    );
}

#[test]
fn what_a_body_can_not_do_is_told_at_once_with_a_change_that_mends_it() {
    let scene = common();
    let mut mended = 0;
    for (index, own) in scene.pass.moves.iter().enumerate() {
        let hand = scene.hand(index, own);
        let Some(Setting::From(fret)) = hand.setting(Handle::From) else {
            continue;
        };
        let Some(far) = hand.set(Setting::From(Fret(fret.0 + 12.0))) else {
            continue;
        };
        let short = scene.hand(index, &far).set(Setting::Length(Beats(0.0625))).unwrap();
        let Some(proposal) = Proposal::by_hand(&scene.pass, index, &short, &scene.song, &scene.instrument) else {
            continue;
        };
        for breach in &proposal.breaches {
            let ask = AskMends {
                song: scene.song.clone(),
                instrument: scene.instrument.clone(),
                pass: (*proposal.pass).clone(),
                breach: breach.clone(),
                most: 3,
            };
            for offer in mends(&ask).unwrap() {
                let after = proposal
                    .mended(&scene.pass, &offer, &scene.song, &scene.instrument)
                    .unwrap();
                assert!(!after.breaches.contains(breach), "{}", offer.words.english());
                mended += 1;
            }
        }
        if mended > 0 {
            break;
        }
    }
    assert!(mended > 0, "no breach was made and mended");
}

#[test]
fn a_bar_typed_as_it_stands_changes_nothing() {
    let scene = common();
    for bar in 0..scene.song.bars.len() {
        let typed = scene.typed(bar);
        let read = typed.read(&typed.text(limits()), limits());
        assert_eq!((read.change, read.problems), (None, Vec::new()), "bar {}", bar + 1);
    }
}

#[test]
fn a_typed_bar_replaces_that_bar_and_no_other() {
    let scene = common();
    let text = "count   1   3\n4 E   |-5---7---|\n5 B   |-5---7A--|\n";
    let read = scene.typed(2).read(text, limits());
    assert_eq!(read.problems, Vec::new());
    let after = read.change.expect("another bar").made_in(&scene.pass);
    let strokes = |pass: &Pass, inside: bool| -> Vec<Stroke> {
        let all = pass.moves.iter().flat_map(|m| m.timed());
        let own = |s: &Stroke| (Beats(8.0)..Beats(12.0)).contains(&s.at);
        all.filter(|s| own(s) == inside).collect()
    };
    let typed = strokes(&after, true);
    assert_eq!(
        typed.iter().map(|s| (s.at.0, s.grip.place.fret)).collect::<Vec<_>>(),
        [(8.0, 5), (10.0, 7)]
    );
    let places = |pass: &Pass| {
        strokes(pass, false)
            .iter()
            .map(|s| (s.at.0, s.grip))
            .collect::<Vec<_>>()
    };
    assert_eq!(places(&after), places(&scene.pass));
    let ends: Vec<_> = after.moves.windows(2).map(|w| (w[0].end(), w[1].at)).collect();
    assert!(ends.iter().all(|(end, next)| *end <= *next + Beats(1e-6)), "{ends:?}");
}

#[test]
fn what_is_not_retyped_keeps_its_colour() {
    let scene = common();
    let typed = scene.typed(1);
    let text = typed.text(limits());
    // Another number on one string of one column: all the other strokes of the bar stay.
    let (start, end) = (Beats(4.0), Beats(8.0));
    let before: Vec<Stroke> = scene
        .pass
        .moves
        .iter()
        .flat_map(|m| m.timed())
        .filter(|s| s.at >= start && s.at < end)
        .collect();
    let without_last_block = text.replace("x", "-");
    let read = typed.read(&without_last_block, limits());
    let after = read
        .change
        .map_or_else(|| scene.pass.clone(), |c| c.made_in(&scene.pass));
    for old in before {
        let new = after
            .moves
            .iter()
            .flat_map(|m| m.timed())
            .find(|s| (s.at - old.at).0.abs() < 0.03);
        let new = new.expect("still there");
        assert_eq!((new.strength, new.wave, new.shape), (old.strength, old.wave, old.shape));
    }
}

#[test]
fn a_typing_error_is_told_by_its_line_and_column_in_the_typed_text() {
    let scene = common();
    let read = scene.typed(3).read("count   1\n4 E   |-?---|\n", limits());
    let place = read.problems.first().map(|p| (p.place.line, p.place.column));
    assert_eq!(place, Some((2, 9)), "{:?}", read.problems);
}

#[test]
fn a_bar_with_a_locked_move_is_not_typed() {
    let mut scene = common();
    Arc::make_mut(&mut scene.pass.moves[0]).locked = true;
    let read = scene.typed(0).read("4 E |-3-|", limits());
    assert_eq!(read.change, None);
    assert!(read.problems[0].words.english().contains("locked"));
}

#[test]
fn the_bar_is_turned_over_a_grips_outer_strings_by_step_and_by_drag_and_comes_back_straight() {
    let scene = lapped("key G, 92; 1 67 4 57 / 1 4 57 1");
    let (mut turned, mut single) = (0, 0);
    for (index, own) in scene.pass.moves.iter().enumerate() {
        let hand = scene.hand(index, own);
        let grip = own.strokes[0].grip;
        let Some(Setting::Slant(slant)) = hand.setting(Handle::Slant) else {
            assert!(grip.strings.len() < 2 || grip.place.fret == 0);
            single += 1;
            continue;
        };
        let straight = hand.set(Setting::Slant(Slant { frets: 0, ..slant })).unwrap();
        assert_eq!(straight.strokes[0].grip.place.slant, None);
        let hand = scene.hand(index, &straight);
        let start = hand.setting(Handle::Slant).unwrap();
        for frets in [1.0, -1.0, 2.2, 99.0, -99.0] {
            let to = hand.dragged(start, Beats::ZERO, Fret(frets));
            let made = hand.set(to).unwrap();
            let place = made.strokes[0].grip.place;
            let Some(slant) = place.slant else {
                // At the nut and at the last fret there is no room to one side.
                assert!([1, scene.instrument.frets].contains(&place.fret));
                continue;
            };
            turned += 1;
            assert!(slant.is_of(&scene.instrument));
            let end = place.fret_on(&scene.instrument, slant.turn).0;
            assert!((1.0..=f64::from(scene.instrument.frets)).contains(&end));
            if frets.abs() < 2.0 {
                assert_eq!(end, place.bar().0 + frets);
                assert_eq!(to, hand.stepped(start, frets as i32));
                let words = difference(&straight, &made, &scene.song).english();
                assert!(words.contains("bar slanted") && words.contains("1 fret"), "{words}");
            }
            let back = scene.hand(index, &made).set(start).unwrap();
            assert_eq!(back, straight);
            // What the hand makes can be sent: nobody's check refuses it.
            let change = crate::solo::Change::by_hand(&scene.pass, index, made).expect("stands");
            assert_eq!(crate::exchange::trust::pass(&change.made_in(&scene.pass)), Ok(()));
        }
    }
    println!("{turned} turned, {single} of one string");
    assert!(turned > 20);
}

#[test]
fn a_slant_too_steep_for_a_hand_is_told_and_a_gentle_one_sounds_as_it_is_turned() {
    let scene = lapped("key G, 92; 1 4 57 1");
    let two = |m: &Move| {
        let own = &m.strokes[0];
        m.strokes.len() == 1 && own.grip.strings.len() == 2 && own.grip.place.fret > 4
    };
    let index = scene.pass.moves.iter().position(|m| two(m)).expect("a double stop");
    let own = &scene.pass.moves[index];
    let hand = scene.hand(index, own);
    let Some(Setting::Slant(slant)) = hand.setting(Handle::Slant) else {
        panic!("no handle")
    };
    let words = |frets: i8| {
        let made = hand.set(Setting::Slant(Slant { frets, ..slant })).unwrap();
        let holds = scene.hand(index, &made).holds();
        let hold = holds.iter().find(|h| h.setting.handle() == Handle::Slant).unwrap();
        (made, hold.words.clone())
    };
    let (gentle, told) = words(1);
    let told = told.english();
    assert!(told.contains("1 fret") && told.contains('°'), "{told}");
    let performance = crate::solo::Change::by_hand(&scene.pass, index, gentle.clone())
        .unwrap()
        .made_in(&scene.pass)
        .performance(&scene.instrument, limits(), scene.song.tempo);
    let at = gentle.at + gentle.strokes[0].arrival.settles_after() + Beats(0.01);
    let on = |s: StringNumber| performance.fret_on(&scene.instrument, s, at).0;
    let turned = on(slant.turn) - on(slant.hold);
    assert!((turned - 1.0).abs() < 1e-6, "{turned}");
    let (steep, _) = words(4);
    let change = crate::solo::Change::by_hand(&scene.pass, index, steep).unwrap();
    let after = change.made_in(&scene.pass);
    let performance = after.performance(&scene.instrument, limits(), scene.song.tempo);
    let breaches = crate::solo::playable::report(&performance, &scene.instrument, scene.song.tempo, limits());
    assert!(
        breaches.iter().any(|b| b.trouble.said().english().contains("slant")),
        "{breaches:?}"
    );
}
