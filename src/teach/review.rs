//! What is to be met again: exercises of the skills that are due, from whichever lesson trains them.
//!
//! *Invariant:* every skill that is due and that a lesson of the course asks for has one exercise here, those waiting
//! longest first.

use super::course;
use super::lesson::{ExerciseBlock, Head};
use super::progress::{Day, Progress};

/// The word by which a review is opened in the place of a lesson; no lesson is called so.
pub const ID: &str = "review";
/// The most exercises of one review.
pub const MOST: usize = 8;

/// One skill to be met again.
#[derive(Debug, Clone, PartialEq)]
pub struct Review {
    /// The exercise; its caption says what it trains and where it is from.
    pub block: ExerciseBlock,
    /// The lesson it is from.
    pub lesson: String,
}

/// The review of a day. Where a lesson asks for a skill by several exercises, they take turns.
#[must_use]
pub fn of(progress: &Progress, today: Day) -> Vec<Review> {
    let heads = course::heads();
    let due = progress.due(today).into_iter();
    due.filter_map(|skill| {
        let mut all = asked(&heads, skill);
        let turn = progress.tries(skill).0 as usize % all.len().max(1);
        (turn < all.len()).then(|| all.swap_remove(turn))
    })
    .take(MOST)
    .collect()
}

/// Every exercise of a skill, in the order of the lessons.
fn asked(heads: &[Head], skill: &str) -> Vec<Review> {
    let trains = |head: &&Head| head.skills.iter().any(|s| s == skill);
    let lessons = heads.iter().filter(trains).filter_map(|head| course::lesson(&head.id));
    lessons
        .flat_map(|lesson| {
            let own = lesson.exercises().filter(|block| block.skill == skill);
            own.map(|block| named(block, &lesson.head)).collect::<Vec<_>>()
        })
        .collect()
}

/// An exercise with what it trains and where it is from above it.
fn named(block: &ExerciseBlock, from: &Head) -> Review {
    let mut block = block.clone();
    let about = block.caption.map(|words| format!(" {words}")).unwrap_or_default();
    block.caption = Some(format!("{}, from \u{201c}{}\u{201d}.{about}", block.skill, from.title));
    Review {
        block,
        lesson: from.id.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::{Exercise, Kind, Mark};

    fn right() -> Mark {
        let task = Exercise::of(Kind::NameChord).task(1).unwrap();
        task.mark(&task.model_answer())
    }

    #[test]
    fn every_skill_of_the_course_comes_back_when_it_is_due() {
        for head in course::heads() {
            assert_ne!(head.id, ID);
            for skill in &head.skills {
                let mut progress = Progress::default();
                progress.note(skill, &right(), false, Day(10));
                assert_eq!(of(&progress, Day(10)), [], "{skill} is not due on its day");
                let review = of(&progress, Day(11));
                assert_eq!(review.len(), 1, "{skill}");
                assert_eq!(&review[0].block.skill, skill);
            }
        }
    }

    #[test]
    fn the_longest_waiting_comes_first_and_a_review_has_an_end() {
        let skills: Vec<String> = course::heads().into_iter().flat_map(|h| h.skills).collect();
        let mut progress = Progress::default();
        for (day, skill) in (0..).zip(&skills) {
            progress.note(skill, &right(), false, Day(100 - day));
        }
        progress.note("a skill of no lesson", &right(), false, Day(0));
        let review = of(&progress, Day(200));
        assert_eq!(review.len(), MOST);
        let last = skills.last().unwrap();
        assert_eq!(&review[0].block.skill, last);
    }
}
