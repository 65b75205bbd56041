//! One student's way through the work that was set: what was answered, and in which order.
//!
//! *Invariant:* a mark is kept only of an answer that is no longer there; every other mark is computed from its answer.

use super::assignment::{Assignment, Given, Score};
use super::evidence::Evidence;
use super::exercise::Answer;
use serde::{Deserialize, Serialize};

/// The answers to the exercises of an assignment, as far as they are given.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Attempt {
    /// An answer for each exercise.
    pub given: Vec<Given>,
    /// The exercises that were answered, counted from 0, the one answered last at the end.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub order: Vec<usize>,
    /// What answers earned that had to be let go, by exercise; see [`Attempt::let_go`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub earned: Vec<Option<Score>>,
}

impl Attempt {
    /// Nothing answered yet, of so many exercises.
    #[must_use]
    pub fn of(exercises: usize) -> Self {
        Self {
            given: vec![Given::default(); exercises],
            ..Self::default()
        }
    }

    /// Notes an answer that was checked.
    pub fn answer(&mut self, index: usize, answer: Answer) {
        let Some(given) = self.given.get_mut(index) else { return };
        if given.answer.as_ref() != Some(&answer) {
            // It was another phrase that was played.
            given.played = None;
        }
        given.answer = Some(answer);
        given.tries = given.tries.saturating_add(1);
        if let Some(earned) = self.earned.get_mut(index) {
            *earned = None;
        }
        self.order.retain(|i| *i != index);
        self.order.push(index);
    }

    /// Notes what was heard of an answer, which is given with it.
    pub fn play(&mut self, index: usize, answer: Answer, played: Evidence) {
        self.answer(index, answer);
        if let Some(given) = self.given.get_mut(index) {
            given.played = Some(played);
        }
    }

    /// What was earned by an answer that is no longer there.
    #[must_use]
    pub fn earned(&self, index: usize) -> Option<Score> {
        self.earned.get(index).copied().flatten()
    }

    /// How many exercises were answered.
    #[must_use]
    pub fn done(&self) -> usize {
        let answered = |(i, given): (usize, &Given)| given.answer.is_some() || self.earned(i).is_some();
        self.given.iter().enumerate().filter(|g| answered(*g)).count()
    }

    /// The exercise that was answered last, counted from 0.
    #[must_use]
    pub fn last(&self) -> Option<usize> {
        self.order.last().copied()
    }

    /// What an exercise earned, 0..=1; nothing where it was not answered.
    #[must_use]
    fn part(&self, work: &Assignment, index: usize) -> Option<f64> {
        let kept = self.earned(index).map(|s| f64::from(s.0) / 100.0);
        let answer = self.given.get(index).and_then(|g| g.answer.as_ref());
        let Some((answer, item)) = answer.zip(work.items.get(index)) else {
            return kept;
        };
        let task = work.task(item).ok()?;
        Some(work.weighed(&task.mark(answer)))
    }

    /// The score of everything that was answered; what was not earns nothing.
    #[must_use]
    pub fn score(&self, work: &Assignment) -> Score {
        let parts = (0..work.items.len()).map(|i| self.part(work, i).unwrap_or(0.0));
        work.score_of(parts)
    }

    /// Lets go of the answer that was given longest ago, and keeps what it earned. False when no answer is left.
    pub fn let_go(&mut self, work: &Assignment) -> bool {
        let held = |i: &usize| self.given.get(*i).is_some_and(|g| g.answer.is_some());
        let ordered = self.order.iter().copied().find(held);
        let Some(index) = ordered.or_else(|| (0..self.given.len()).find(held)) else {
            return false;
        };
        let part = self.part(work, index).unwrap_or(0.0);
        self.earned.resize(self.given.len(), None);
        if let Some(earned) = self.earned.get_mut(index) {
            *earned = Some(Score::of_part(part));
        }
        if let Some(given) = self.given.get_mut(index) {
            given.answer = None;
            given.played = None;
        }
        true
    }

    /// Whether it can be an attempt at this work.
    #[must_use]
    pub fn fits(&self, work: &Assignment) -> bool {
        let count = work.items.len();
        let order = self.order.len() <= count && self.order.iter().all(|i| *i < count);
        let earned = self.earned.len() <= count && self.earned.iter().flatten().all(|s| s.0 <= 100);
        self.given.len() == count && order && earned
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::Kind;

    fn work() -> Assignment {
        Assignment::of_kinds([Kind::NameChord, Kind::FindChord, Kind::Ending])
    }

    #[test]
    fn the_answer_given_longest_ago_goes_first_and_what_it_earned_stays() {
        let work = work();
        let mut attempt = Attempt::of(3);
        for index in [2, 0, 2] {
            let task = work.task(&work.items[index]).unwrap();
            attempt.answer(index, task.model_answer());
        }
        assert_eq!((attempt.order.as_slice(), attempt.last()), (&[0, 2][..], Some(2)));
        let score = attempt.score(&work);
        assert_eq!(score, Score(67));
        assert!(attempt.let_go(&work));
        assert_eq!(
            (attempt.given[0].answer.as_ref(), attempt.earned(0)),
            (None, Some(Score(100)))
        );
        assert!(attempt.let_go(&work) && !attempt.let_go(&work));
        assert_eq!((attempt.score(&work), attempt.done()), (score, 2));
        assert!(attempt.fits(&work));
    }

    #[test]
    fn what_was_played_goes_with_its_answer_and_with_no_other() {
        let work = work();
        let mut attempt = Attempt::of(3);
        let task = work.task(&work.items[2]).unwrap();
        let played = Evidence {
            speed: 70,
            delay_known: false,
            notes: Vec::new(),
            extra: 1,
        };
        attempt.play(2, task.model_answer(), played.clone());
        attempt.answer(2, task.model_answer());
        assert_eq!(attempt.given[2].played, Some(played));
        attempt.answer(2, task.typical_wrong().swap_remove(0));
        assert_eq!(attempt.given[2].played, None);
    }

    #[test]
    fn an_answer_given_anew_takes_the_place_of_what_was_earned_before() {
        let work = work();
        let mut attempt = Attempt::of(3);
        let task = work.task(&work.items[0]).unwrap();
        attempt.answer(0, task.model_answer());
        attempt.let_go(&work);
        attempt.answer(0, task.typical_wrong().swap_remove(0));
        assert_eq!(attempt.earned(0), None);
        assert!(attempt.score(&work) < Score(33));
    }
}
