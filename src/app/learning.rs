//! Working at exercises that were set: one sitting.
//!
//! *Invariant:* a sitting holds what was answered and nothing that can be computed from it.

use crate::teach::{Answer, Assignment, Attempt, Evidence, Handed};
use serde::{Deserialize, Serialize};

/// A student at the work that was set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sitting {
    /// The work.
    pub work: Assignment,
    /// What the student calls himself or herself.
    pub name: String,
    /// What was answered.
    #[serde(flatten)]
    pub attempt: Attempt,
}

impl Sitting {
    /// A fresh sitting.
    #[must_use]
    pub fn new(work: Assignment) -> Self {
        Self {
            attempt: Attempt::of(work.items.len()),
            name: String::new(),
            work,
        }
    }

    /// The kept sitting if it is over this work, or a fresh one.
    #[must_use]
    pub fn resumed(work: Assignment, kept: Option<Self>) -> Self {
        kept.filter(|k| k.work == work && k.attempt.fits(&work))
            .unwrap_or_else(|| Self::new(work))
    }

    /// Notes an answer that was checked.
    pub fn answer(&mut self, index: usize, answer: Answer) {
        self.attempt.answer(index, answer);
    }

    /// Notes an answer and what was heard when it was played.
    pub fn play(&mut self, index: usize, answer: Answer, played: Evidence) {
        self.attempt.play(index, answer, played);
    }

    /// Notes that a hint was taken; how many there are now.
    pub fn hint(&mut self, index: usize) -> u8 {
        let given = self.attempt.given.get_mut(index).filter(|_| self.work.hints);
        given.map_or(0, |given| {
            given.hints = (given.hints + 1).min(3);
            given.hints
        })
    }

    /// How many exercises have an answer.
    #[must_use]
    pub fn done(&self) -> usize {
        self.attempt.done()
    }

    /// What is handed in.
    #[must_use]
    pub fn handed(&self) -> Handed {
        Handed::new(self.work.clone(), &self.name, self.attempt.given.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::Kind;

    fn work() -> Assignment {
        Assignment {
            title: "Two".to_owned(),
            hints: true,
            ..Assignment::of_kinds([Kind::FindChord, Kind::Ending])
        }
    }

    #[test]
    fn a_sitting_goes_on_with_the_same_work_and_begins_anew_with_other_work() {
        let mut sitting = Sitting::new(work());
        sitting.answer(0, Answer::Places(Vec::new()));
        assert_eq!((sitting.hint(0), sitting.hint(0), sitting.done()), (1, 2, 1));
        assert_eq!(Sitting::resumed(work(), Some(sitting.clone())), sitting);
        let other = Assignment {
            title: "Other".to_owned(),
            ..work()
        };
        assert_eq!(Sitting::resumed(other, Some(sitting)).done(), 0);
    }

    #[test]
    fn where_hints_are_not_offered_none_is_given() {
        let mut sitting = Sitting::new(Assignment { hints: false, ..work() });
        assert_eq!(sitting.hint(0), 0);
    }
}
