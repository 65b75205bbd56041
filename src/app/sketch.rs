//! A phrase under the hand: strokes put down, moved and taken away over a song, each step of which can be taken back.
//!
//! *Invariant:* strokes lie in order, no two at one moment, all within the song; what has no string yet is kept, and
//! is no part of the answer.

use super::answering::{NOWHERE, Way};
use super::history::{History, Weighed};
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::steel::Fret;
use crate::teach::exercise::{Input, Setting, Shown, Task};
use crate::teach::{Answer, rows};
use crate::theory::{Beats, rank};

/// How finely a stroke is put.
const STEP: Beats = Beats(0.5);
/// Moments closer than this are one.
const SAME: f64 = 1e-6;
/// A tap this near to a stroke means the stroke.
const NEAR: f64 = 0.45;

/// The strokes as they lie, and the moment that is looked at.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    strokes: Vec<Stroke>,
    here: Beats,
}

impl Weighed for Line {
    fn weight(&self) -> usize {
        std::mem::size_of::<Self>() + self.strokes.len() * std::mem::size_of::<Stroke>()
    }
}

/// A phrase that is being built.
#[derive(Debug, Clone)]
pub struct Sketch {
    line: Line,
    length: Beats,
    pulse: Beats,
    frets: u8,
    history: History<Line>,
}

impl Sketch {
    /// The phrase a task begins with, or that of an answer given before.
    #[must_use]
    pub fn of(task: &Task, given: Option<&Answer>) -> Self {
        let setting = &task.setting;
        let first = match task.input() {
            Input::Phrase(first) => first,
            _ => Vec::new(),
        };
        let given = given.and_then(|a| a.strokes(setting)).and_then(Result::ok);
        let strokes = given.unwrap_or(first);
        let here = strokes.first().map_or_else(|| opening(task), |s| s.at);
        Self {
            line: Line { strokes, here },
            length: setting.timeline.length(),
            pulse: setting.timeline.bars.first().map_or(Beats(1.0), |b| b.metre.pulse()),
            frets: setting.instrument.frets,
            history: History::default(),
        }
    }

    /// The strokes in order.
    #[must_use]
    pub fn strokes(&self) -> &[Stroke] {
        &self.line.strokes
    }

    /// The moment that is looked at.
    #[must_use]
    pub fn here(&self) -> Beats {
        self.line.here
    }

    /// Which stroke begins at the moment that is looked at.
    #[must_use]
    pub fn chosen(&self) -> Option<usize> {
        self.at(self.line.here)
    }

    /// The stroke that is looked at.
    #[must_use]
    pub fn stroke(&self) -> Option<Stroke> {
        self.line.strokes.get(self.chosen()?).copied()
    }

    /// Looks at a moment: at the stroke nearby, or else at the nearest half beat.
    pub fn point(&mut self, at: Beats) {
        let away = |s: &Stroke| (s.at - at).0.abs();
        let near = self.line.strokes.iter().min_by(|a, b| away(a).total_cmp(&away(b)));
        let near = near.filter(|s| away(s) < NEAR).map(|s| s.at);
        let half = Beats((at.0 / STEP.0).round() * STEP.0);
        self.line.here = self.within(near.unwrap_or(half));
    }

    /// Looks half a beat earlier or later.
    pub fn step(&mut self, later: bool) {
        self.line.here = self.within(next(self.line.here, later));
    }

    /// Puts a stroke down here, held as the one before; where there is one already, on the next free felt beat.
    pub fn put(&mut self) {
        let mut at = self.line.here;
        while self.at(at).is_some() {
            at += self.pulse;
        }
        if at >= self.length {
            return;
        }
        let before = self.line.strokes.iter().rev().find(|s| s.at < at);
        let grip = before.or(self.line.strokes.first()).map_or(NOWHERE, |s| s.grip);
        self.change(None, |line| {
            line.strokes.push(Stroke::struck(grip, at, at));
            line.here = at;
        });
    }

    /// Takes the stroke away that is looked at.
    pub fn take_away(&mut self) {
        if let Some(index) = self.chosen() {
            self.change(None, |line| {
                line.strokes.remove(index);
            });
        }
    }

    /// Moves the stroke that is looked at to the next free half beat.
    pub fn shift(&mut self, later: bool) {
        let Some(index) = self.chosen() else { return };
        let mut to = next(self.line.here, later);
        while self.at(to).is_some() {
            to = next(to, later);
        }
        if to >= Beats::ZERO && to < self.length {
            self.change(None, |line| {
                line.here = to;
                if let Some(stroke) = line.strokes.get_mut(index) {
                    stroke.at = to;
                }
            });
        }
    }

    /// Holds the stroke that is looked at otherwise. A slide into it comes from as far as before.
    pub fn hold(&mut self, grip: Grip) {
        let Some(old) = self.stroke().filter(|s| s.grip != grip) else {
            return;
        };
        let slid = old.grip.place.stance == grip.place.stance && old.grip.strings == grip.strings;
        // A bar that is drawn along the neck is put back at once.
        let run = slid.then_some(old.at.0.to_bits());
        let frets = self.frets;
        self.set(run, |s| Stroke {
            grip,
            arrival: carried_along(s.arrival, old.grip.place.fret, grip.place.fret, frets),
            ..s
        });
    }

    /// Reaches the stroke that is looked at otherwise.
    pub fn reach(&mut self, way: Way) {
        let frets = self.frets;
        self.set(None, |s| way.take(s, frets));
    }

    /// One step back.
    pub fn undo(&mut self) {
        self.line = self.history.back(self.line.clone()).unwrap_or_else(|now| now);
    }

    /// What was taken back last, again.
    pub fn redo(&mut self) {
        self.line = self.history.forward(self.line.clone()).unwrap_or_else(|now| now);
    }

    /// Whether there is a step back.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.history.can_go_back()
    }

    /// Whether something was taken back.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.history.can_go_forward()
    }

    /// The phrase as an answer; nothing while no string is picked.
    #[must_use]
    pub fn answer(&self, setting: &Setting) -> Option<Answer> {
        let mut strokes: Vec<Stroke> = self.line.strokes.clone();
        strokes.retain(|s| !s.grip.strings.is_empty());
        // Nothing rings yet that the first one could carry.
        if let Some(first) = strokes.first_mut().filter(|s| !s.arrival.plucks()) {
            first.arrival = Arrival::Struck;
        }
        rows::join(&mut strokes, self.length);
        (!strokes.is_empty()).then(|| Answer::phrase(&strokes, setting))
    }

    fn at(&self, moment: Beats) -> Option<usize> {
        self.line.strokes.iter().position(|s| (s.at - moment).0.abs() < SAME)
    }

    fn within(&self, at: Beats) -> Beats {
        Beats(at.0.clamp(0.0, (self.length - STEP).0.max(0.0)))
    }

    fn set(&mut self, run: Option<u64>, how: impl FnOnce(Stroke) -> Stroke) {
        if let Some(index) = self.chosen() {
            self.change(run, |line| {
                if let Some(stroke) = line.strokes.get_mut(index) {
                    *stroke = how(*stroke);
                }
            });
        }
    }

    fn change(&mut self, run: Option<u64>, how: impl FnOnce(&mut Line)) {
        let before = self.line.clone();
        how(&mut self.line);
        self.line.strokes.sort_by_cached_key(|one| rank(one.at.0));
        if self.line != before {
            self.history.keep(before, run);
        }
    }
}

/// The half beat after or before a moment.
fn next(at: Beats, later: bool) -> Beats {
    let steps = at.0 / STEP.0;
    let to = if later {
        (steps + SAME).floor() + 1.0
    } else {
        (steps - SAME).ceil() - 1.0
    };
    Beats(to * STEP.0)
}

/// Where a phrase begins that nothing is given of: after what was played before it, or at the song's start.
fn opening(task: &Task) -> Beats {
    let Shown::Strokes(before) = task.shown() else {
        return Beats::ZERO;
    };
    let last = before.last().map_or(Beats::ZERO, |s| s.at);
    let bars = &task.setting.timeline.bars;
    bars.iter().map(|b| b.start).find(|b| *b > last).unwrap_or(Beats::ZERO)
}

/// An arrival at a stroke whose bar was moved.
fn carried_along(arrival: Arrival, from: u8, to: u8, frets: u8) -> Arrival {
    match arrival {
        Arrival::Slid { from: start, time } => {
            let moved = start.0 + f64::from(to) - f64::from(from);
            let start = Fret(moved.clamp(0.0, f64::from(frets)));
            Arrival::Slid { from: start, time }
        }
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::Place;
    use crate::teach::exercise::{Exercise, Kind};

    fn task(kind: Kind) -> Task {
        Exercise::of(kind).task(2).unwrap()
    }

    fn moments(sketch: &Sketch) -> Vec<f64> {
        sketch.strokes().iter().map(|s| s.at.0).collect()
    }

    #[test]
    fn strokes_built_one_by_one_are_the_answer_they_were_copied_from() {
        for kind in [Kind::Entrance, Kind::Climb, Kind::Answer, Kind::Ending] {
            let task = task(kind);
            let model = task.model_answer().strokes(&task.setting).unwrap().unwrap();
            let mut sketch = Sketch::of(&task, None);
            for stroke in &model {
                sketch.point(stroke.at);
                if sketch.chosen().is_none() {
                    sketch.put();
                }
                sketch.hold(stroke.grip);
                sketch.reach(Way::of(stroke));
            }
            let built = sketch.answer(&task.setting).unwrap();
            assert!(task.mark(&built).is_right(), "{kind}: {built:?}");
        }
    }

    #[test]
    fn every_step_is_taken_back_and_made_again() {
        let task = task(Kind::Ending);
        let mut sketch = Sketch::of(&task, None);
        let steps: [fn(&mut Sketch); 6] = [
            Sketch::put,
            |s| {
                s.hold(Grip {
                    strings: [1, 3].into_iter().filter_map(crate::steel::StringNumber::new).collect(),
                    ..NOWHERE
                })
            },
            |s| s.reach(Way::Below),
            |s| s.shift(true),
            Sketch::put,
            Sketch::take_away,
        ];
        let mut seen = vec![sketch.line.clone()];
        for step in steps {
            step(&mut sketch);
            assert_ne!(seen.last(), Some(&sketch.line));
            seen.push(sketch.line.clone());
        }
        for line in seen.iter().rev().skip(1) {
            sketch.undo();
            assert_eq!(&sketch.line.strokes, &line.strokes);
        }
        assert!(!sketch.can_undo());
        while sketch.can_redo() {
            sketch.redo();
        }
        assert_eq!(sketch.line.strokes, seen[6].strokes);
    }

    #[test]
    fn no_two_strokes_stand_at_one_moment_and_none_after_the_end() {
        let task = task(Kind::Ending);
        let mut sketch = Sketch::of(&task, None);
        for _ in 0..20 {
            sketch.put();
        }
        assert_eq!(moments(&sketch), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
        sketch.point(Beats(0.9));
        for _ in 0..40 {
            sketch.shift(true);
            assert!(
                moments(&sketch).windows(2).all(|w| w[0] < w[1]),
                "{:?}",
                moments(&sketch)
            );
        }
        assert!(moments(&sketch).iter().all(|at| *at < 8.0));
        for _ in 0..40 {
            sketch.step(false);
        }
        assert_eq!(sketch.here(), Beats::ZERO);
    }

    #[test]
    fn a_bar_drawn_along_the_neck_is_put_back_in_one_step_and_takes_its_slide_along() {
        let task = task(Kind::Climb);
        let mut sketch = Sketch::of(&task, None);
        let first = sketch.stroke().unwrap().grip;
        sketch.reach(Way::Below);
        let at = |fret: u8| Grip {
            place: Place { fret, ..first.place },
            ..first
        };
        // A way in there is from a fret below, wherever the stroke was before.
        sketch.hold(at(9));
        sketch.hold(at(10));
        assert!(matches!(sketch.stroke().unwrap().arrival, Arrival::Slid { from, .. } if from.0 < 10.0));
        sketch.undo();
        assert_eq!(sketch.stroke().unwrap().grip, first);
    }

    #[test]
    fn a_stroke_without_strings_is_no_part_of_the_answer() {
        let task = task(Kind::Ending);
        let mut sketch = Sketch::of(&task, None);
        sketch.put();
        assert_eq!((sketch.strokes().len(), sketch.answer(&task.setting)), (1, None));
    }
}
