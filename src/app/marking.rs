//! Marking what came back: the table in the order that is wanted, one student's answers one by one, and all of it kept
//! until tomorrow.
//!
//! *Invariant:* what is kept are the links that were handed in, and never a mark: those are computed anew.

use super::class::Row;
use crate::exchange::json;
use crate::exchange::link;
use crate::teach::assignment::Given;
use crate::teach::class::Sheet;
use crate::teach::exercise::{Mark, Task};
use crate::teach::{Answer, Class};
use std::cmp::Ordering;
use std::sync::Arc;

/// What the table is ordered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum By {
    /// The student's name, from A.
    #[default]
    Name,
    /// The score, the lowest first: who needs help stands on top.
    Score,
    /// An exercise, counted from 0: those without an answer first, then the lowest.
    Exercise(usize),
}

/// The rows in an order, or the other way round. Rows that are alike stay in the order of their names.
#[must_use]
pub fn sorted(mut rows: Vec<Row>, by: By, turned: bool) -> Vec<Row> {
    let compare = |a: &Row, b: &Row| match by {
        By::Name => Ordering::Equal,
        By::Score => a.score.cmp(&b.score),
        By::Exercise(index) => a.cells.get(index).cmp(&b.cells.get(index)),
    };
    rows.sort_by(|a, b| if turned { compare(b, a) } else { compare(a, b) });
    if turned && by == By::Name {
        rows.reverse();
    }
    rows
}

/// One answer of a student, beside what was asked.
#[derive(Debug, Clone)]
pub struct Answered {
    /// What was asked.
    pub task: Arc<Task>,
    /// What was answered, and how it is marked; nothing where it was left out.
    pub answer: Option<(Answer, Mark)>,
    /// How often another answer was checked before.
    pub tries: u16,
    /// How many hints were taken.
    pub hints: u8,
}

/// A student's answers, exercise by exercise. An exercise that this page cannot draw is left out.
#[must_use]
pub fn answered(sheet: &Sheet) -> Vec<(usize, Answered)> {
    let handed = &sheet.handed;
    let one = |(index, item)| {
        let task = handed.work.task(item).ok()?;
        let given: Option<&Given> = handed.answers.get(index);
        let mark = sheet.marks.get(index).cloned().flatten();
        let answer = given.and_then(|g| g.answer.clone()).zip(mark);
        let tried = given.map_or(0, |g| g.tries);
        Some((
            index,
            Answered {
                task: Arc::new(task),
                // The answer that stands is a try as well.
                tries: tried.saturating_sub(u16::from(answer.is_some())),
                answer,
                hints: given.map_or(0, |g| g.hints),
            },
        ))
    };
    handed.work.items.iter().enumerate().filter_map(one).collect()
}

/// Everything that was taken in, as it is kept on the device: pairs of a file's name and a link, as JSON. What was
/// refused is not kept.
#[must_use]
pub fn keep(class: &Class) -> String {
    let link = |sheet: &Sheet| Some((sheet.file.clone(), link::write(&sheet.handed).ok()?));
    let pairs: Vec<(String, String)> = class.sheets.iter().filter_map(link).collect();
    json::text(&pairs)
}

/// What was kept, marked anew; an empty class where it cannot be read.
#[must_use]
pub fn kept(text: &str) -> Class {
    let pairs: Vec<(String, String)> = serde_json::from_str(text).unwrap_or_default();
    let mut class = Class::default();
    for (file, link) in pairs {
        class.take(&file, link.as_bytes());
    }
    class
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::class::rows;
    use crate::teach::exercise::Kind;
    use crate::teach::{Assignment, Handed, Item};

    fn work() -> Assignment {
        Assignment {
            title: "Three".to_owned(),
            ..Assignment::of_kinds([Kind::NameChord, Kind::FindChord, Kind::Ending])
        }
    }

    /// Takes in a student with these exercises right.
    fn hand(class: &mut Class, name: &str, right: [bool; 3]) {
        let work = work();
        let given = |(item, right): (&Item, bool)| {
            let task = work.task(item).unwrap();
            Given {
                answer: right.then(|| task.model_answer()),
                tries: 2,
                hints: 1,
                played: None,
            }
        };
        let answers = work.items.iter().zip(right).map(given).collect();
        let link = link::write(&Handed::new(work.clone(), name, answers)).unwrap();
        class.take(&format!("{name}.txt"), link.as_bytes());
    }

    fn class() -> Class {
        let mut class = Class::default();
        hand(&mut class, "Wren", [true, true, true]);
        hand(&mut class, "Ash", [true, false, false]);
        hand(&mut class, "Rowan", [false, true, true]);
        class
    }

    #[test]
    fn rows_stand_as_wanted_and_those_alike_by_name() {
        let names = |by, turned| -> Vec<String> {
            let rows = sorted(rows(&class()), by, turned);
            rows.into_iter().map(|r| r.name.english()).collect()
        };
        assert_eq!(names(By::Name, false), ["Ash", "Rowan", "Wren"]);
        assert_eq!(names(By::Name, true), ["Wren", "Rowan", "Ash"]);
        assert_eq!(names(By::Score, false), ["Ash", "Rowan", "Wren"]);
        assert_eq!(names(By::Score, true), ["Wren", "Rowan", "Ash"]);
        assert_eq!(names(By::Exercise(0), false), ["Rowan", "Ash", "Wren"]);
        assert_eq!(names(By::Exercise(1), true), ["Rowan", "Wren", "Ash"]);
        assert_eq!(names(By::Exercise(9), false), ["Ash", "Rowan", "Wren"]);
    }

    #[test]
    fn what_was_taken_in_is_the_same_tomorrow_and_what_is_spoiled_is_an_empty_class() {
        let class = class();
        assert_eq!(kept(&keep(&class)), class);
        for spoiled in ["", "{}", "[[1,2]]", "[[\"a\"]]"] {
            assert_eq!(kept(spoiled), Class::default(), "{spoiled}");
        }
    }

    #[test]
    fn each_answer_stands_beside_its_question_with_tries_and_hints() {
        let class = class();
        let row = rows(&class).into_iter().find(|r| r.name.english() == "Ash").unwrap();
        let all = answered(&class.sheets[row.index]);
        assert_eq!(all.len(), 3);
        let (answer, mark) = all[0].1.answer.as_ref().unwrap();
        assert_eq!(*mark, all[0].1.task.mark(answer));
        assert!(mark.is_right() && all[1].1.answer.is_none());
        assert!(all.iter().all(|(_, a)| a.hints == 1));
        assert_eq!((all[0].1.tries, all[1].1.tries), (1, 2));
    }
}
