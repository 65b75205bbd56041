//! A thousand tasks with right phrases and a thousand with wrong ones of each kind: no right one is refused, no wrong
//! one passes.
//!
//! Phrases are made here, slow and near enough for any hand, from places found by trying every one; what makes them
//! right or wrong is put in on purpose.

use crate::teach_support::*;
use leadbar::solo::stroke::{Arrival, Grip, Stroke};
use leadbar::steel::Fret;
use leadbar::teach::exercise::{Answer, Exercise, Input, Kind, Shown, Task};
use leadbar::theory::Beats;

/// Every hold of the chords of a task's bars.
struct Places {
    task: Task,
}

impl Places {
    fn bar(&self, at: Beats) -> &str {
        let bars = self.task.setting.chart.split_once("; ").unwrap().1;
        bars.split(' ').nth((at.0 / 4.0) as usize).unwrap()
    }

    /// The holds at a moment, from fret 1, within five frets of `near`.
    fn at(&self, at: Beats, near: Option<Grip>) -> Vec<Grip> {
        let chord = classes(self.bar(at), self.task.setting.key);
        let (right, _) = &*sorted_places(&self.task.setting.instrument, &chord);
        right
            .iter()
            .copied()
            .filter(|g| (1..=14).contains(&g.place.fret))
            .filter(|g| near.is_none_or(|n| n.place.fret.abs_diff(g.place.fret) <= 5))
            .collect()
    }

    fn answer(&self, strokes: &[Stroke]) -> Answer {
        Answer::phrase(strokes, &self.task.setting)
    }

    /// Whether a grip has a string foreign to the chord of a moment.
    fn is_foreign(&self, at: Beats, grip: Grip) -> bool {
        let chord = classes(self.bar(at), self.task.setting.key);
        notes(&self.task.setting.instrument, grip)
            .iter()
            .any(|n| !chord.contains(&n.rem_euclid(12)))
    }
}

/// Runs `each` for task after task of a kind with its places, until a thousand are right and a thousand wrong.
fn phrases(kind: Kind, mut each: impl FnMut(&Places, &mut fastrand::Rng, &mut Tally)) {
    thousand(kind, |task, rng, tally| {
        each(&Places { task: task.clone() }, rng, tally)
    });
}

fn struck(grip: Grip, at: f64, until: f64) -> Stroke {
    Stroke::struck(grip, Beats(at), Beats(until))
}

/// The stroke moved a fret, so that all its strings are foreign to the chord.
fn moved(stroke: Stroke) -> Stroke {
    let mut moved = stroke;
    moved.grip.place.fret += 1;
    moved.arrival = Arrival::Struck;
    moved
}

fn slide(rng: &mut fastrand::Rng, stroke: Stroke) -> Stroke {
    let by = f64::from(rng.u8(1..=2))
        * if stroke.grip.place.fret > 3 && rng.bool() {
            -1.0
        } else {
            1.0
        };
    let from = Fret(f64::from(stroke.grip.place.fret) + by);
    stroke.arriving(Arrival::Slid { from, time: Beats(0.4) })
}

#[test]
fn any_chord_led_into_by_a_slide_is_an_entrance_and_a_cold_or_late_one_is_not() {
    phrases(Kind::Entrance, |places, rng, tally| {
        let grip = one(rng, &places.at(Beats(4.0), None));
        let lead = slide(rng, struck(grip, 4.0, 8.0));
        tally.right(&places.task, &places.answer(&[lead]));
        let wrong = match rng.u8(0..3) {
            0 => vec![struck(grip, 4.0, 8.0)],
            1 => vec![slide(rng, struck(grip, 6.0, 8.0))],
            _ => vec![moved(lead)],
        };
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn any_stairs_from_here_to_there_are_a_climb_and_fewer_or_falling_ones_are_not() {
    phrases(Kind::Climb, |places, rng, tally| {
        let instrument = &places.task.setting.instrument;
        let Input::Phrase(start) = places.task.input() else {
            panic!("a phrase")
        };
        let question = places.task.question().english();
        let fret: u8 = question
            .split("be at fret ")
            .nth(1)
            .unwrap()
            .split(' ')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        let first = start[0].grip;
        let rises = |g: &Grip, from: Grip| top(instrument, *g) > top(instrument, from);
        let ends: Vec<Grip> = places
            .at(Beats(4.0), None)
            .into_iter()
            .filter(|g| g.place.fret == fret && rises(g, first))
            .collect();
        let last = one(rng, &ends);
        let between: Vec<Grip> = places
            .at(Beats(2.0), Some(first))
            .into_iter()
            .filter(|g| rises(g, first) && rises(&last, *g) && g.place.fret.abs_diff(fret) <= 7)
            .collect();
        if between.is_empty() {
            return;
        }
        let middle = one(rng, &between);
        let stairs = [
            struck(first, 0.0, 2.0),
            struck(middle, 2.0, 4.0),
            struck(last, 4.0, 8.0),
        ];
        tally.right(&places.task, &places.answer(&stairs));
        let wrong = match rng.u8(0..4) {
            0 => vec![stairs[0], stairs[2]],
            1 => vec![stairs[0], struck(first, 2.0, 4.0), stairs[2]],
            2 => vec![stairs[0], stairs[1], moved(stairs[2])],
            _ => vec![
                struck(first, 0.0, 1.0),
                struck(middle, 1.0, 2.0),
                struck(last, 2.0, 8.0),
            ],
        };
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn any_phrase_with_the_questions_rhythm_that_ends_at_home_is_an_answer() {
    phrases(Kind::Answer, |places, rng, tally| {
        let instrument = &places.task.setting.instrument;
        let Shown::Strokes(question) = places.task.shown() else {
            panic!("strokes")
        };
        let mut strokes: Vec<Stroke> = Vec::new();
        for asked in &question {
            let at = asked.at + Beats(8.0);
            let near = strokes.last().map(|s| s.grip);
            let ways = places.at(at, near);
            strokes.push(struck(one(rng, &ways), at.0, at.0 + 1.0));
        }
        if strokes
            .iter()
            .zip(&question)
            .all(|(a, q)| top(instrument, a.grip) == top(instrument, q.grip))
        {
            return;
        }
        tally.right(&places.task, &places.answer(&strokes));
        let wrong: Vec<Stroke> = match rng.u8(0..3) {
            0 => strokes
                .iter()
                .map(|s| Stroke {
                    at: s.at + Beats(0.5),
                    until: s.until + Beats(0.5),
                    ..*s
                })
                .collect(),
            1 => strokes
                .iter()
                .map(|s| Stroke {
                    at: s.at - Beats(6.5),
                    until: s.until - Beats(6.5),
                    ..*s
                })
                .collect(),
            _ => {
                let mut off = strokes;
                let end = off.len() - 1;
                off[end] = moved(off[end]);
                off
            }
        };
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn one_stroke_changed_is_a_variation_and_none_or_two_are_not() {
    phrases(Kind::Variation, |places, rng, tally| {
        let Shown::Strokes(phrase) = places.task.shown() else {
            panic!("strokes")
        };
        let index = rng.usize(0..phrase.len());
        let changed = |rng: &mut fastrand::Rng, index: usize| -> Stroke {
            let stroke = phrase[index];
            let ways = places.at(stroke.at, Some(phrase[index.saturating_sub(1)].grip));
            let near = |g: &Grip| {
                *g != stroke.grip
                    && phrase
                        .get(index + 1)
                        .is_none_or(|n| n.grip.place.fret.abs_diff(g.place.fret) <= 5)
            };
            let ways: Vec<Grip> = ways.into_iter().filter(near).collect();
            if rng.bool() || ways.is_empty() {
                slide(rng, stroke)
            } else {
                Stroke {
                    grip: one(rng, &ways),
                    ..stroke
                }
            }
        };
        let mut once = phrase.clone();
        once[index] = changed(rng, index);
        tally.right(&places.task, &places.answer(&once));
        let mut wrong = once.clone();
        let other = (index + 1) % phrase.len();
        match rng.u8(0..3) {
            0 => wrong.clone_from(&phrase),
            1 => wrong[other] = slide(rng, phrase[other]),
            _ => wrong[index] = moved(phrase[index]),
        }
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn any_last_chord_with_its_root_that_rings_is_an_end() {
    phrases(Kind::Ending, |places, rng, tally| {
        let firsts = places.at(Beats(0.0), None);
        if firsts.is_empty() {
            return;
        }
        let first = one(rng, &firsts);
        let ends = places.at(Beats(4.0), Some(first));
        if ends.is_empty() {
            return;
        }
        let last = one(rng, &ends);
        let strokes = [
            struck(first, 0.0, 4.0),
            struck(last, 4.0, 6.0 + f64::from(rng.u8(0..=2))),
        ];
        tally.right(&places.task, &places.answer(&strokes));
        let wrong = match rng.u8(0..4) {
            0 => vec![strokes[0]],
            1 => vec![strokes[0], struck(last, 4.0, 5.0)],
            2 => vec![strokes[0], struck(last, 5.0, 8.0)],
            _ => vec![strokes[0], moved(strokes[1])],
        };
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn bars_are_mended_by_anything_playable_that_keeps_their_tune() {
    phrases(Kind::FixBar, |places, rng, tally| {
        let instrument = &places.task.setting.instrument;
        let Shown::Strokes(broken) = places.task.shown() else {
            panic!("strokes")
        };
        let mut mended: Vec<Stroke> = Vec::new();
        for stroke in &broken {
            let wanted = top(instrument, stroke.grip);
            let near = mended.last().map(|s: &Stroke| s.grip);
            let ways: Vec<Grip> = places
                .at(stroke.at, near)
                .into_iter()
                .filter(|g| top(instrument, *g) == wanted)
                .collect();
            if ways.is_empty() {
                return;
            }
            mended.push(Stroke {
                arrival: Arrival::Struck,
                grip: one(rng, &ways),
                ..*stroke
            });
        }
        tally.right(&places.task, &places.answer(&mended));
        let index = rng.usize(0..mended.len());
        let mut wrong = mended;
        match rng.u8(0..4) {
            0 => wrong = broken.iter().map(|s| Stroke { strength: 0.45, ..*s }).collect(),
            1 => drop(wrong.remove(index)),
            2 => wrong[index] = moved(wrong[index]),
            _ => wrong[index].grip.place.fret += 12,
        }
        tally.wrong(&places.task, &places.answer(&wrong));
    });
}

#[test]
fn a_move_by_a_fret_is_foreign_to_every_chord_these_tests_use() {
    for kind in [Kind::Ending, Kind::Entrance] {
        for seed in 100..200 {
            let task = Exercise::of(kind).task(seed).unwrap();
            let places = Places { task };
            for grip in places.at(Beats(4.0), None) {
                assert!(places.is_foreign(Beats(4.0), moved(struck(grip, 4.0, 8.0)).grip));
            }
        }
    }
}
