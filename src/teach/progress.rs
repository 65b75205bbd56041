//! What a student has learnt, skill by skill, and when to meet it again.
//!
//! Spaced review by the boxes of Leitner, *So lernt man lernen*, 1972: what is known moves a box up and is asked more
//! rarely, what is not goes back to the first. His boxes are emptied as they fill; the days below are a common
//! rendering of that, each twice the last (common practice, no source).
//!
//! *Invariant:* no clock here: the day is passed in. No streaks: a day without practice costs nothing.

use super::course;
use super::exercise::Mark;
use super::lesson::Head;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// A day, counted from 1 January 1970 where the student is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Day(pub i32);

impl Day {
    /// The day so many days later.
    #[must_use]
    pub fn later(self, days: i32) -> Self {
        Self(self.0.saturating_add(days))
    }
}

/// Days until a skill is asked again, by box from the first.
const DAYS: [i32; 5] = [1, 2, 4, 8, 16];
/// An answer with this part of its points keeps its box; one with less goes back to the first.
const HALF: f64 = 0.5;
/// The most skills and lessons that are read from a file.
const MOST: usize = 1000;

/// How well a skill sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mastery {
    /// Never tried.
    New,
    /// Tried.
    Begun,
    /// Known after a day or more.
    Growing,
    /// Known after a week.
    Solid,
    /// Known after two.
    Mastered,
}

impl Mastery {
    /// In a word.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::New => key!("new"),
            Self::Begun => key!("begun"),
            Self::Growing => key!("growing"),
            Self::Solid => key!("solid"),
            Self::Mastered => key!("mastered"),
        }
    }
}

/// What is kept of one skill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Record {
    /// The box it lies in, from 0.
    #[serde(rename = "box")]
    place: u8,
    /// When it is asked again.
    due: Day,
    /// How often it was tried.
    tries: u32,
    /// How often everything was right.
    right: u32,
    /// When it was tried last; files of before this was noted have none.
    #[serde(default)]
    seen: Day,
}

impl Record {
    /// What two records of one skill say together: the later try says how well it sits, and no try is lost. Tries are
    /// not added up: one may be a copy of the other.
    fn merged(self, other: Self) -> Self {
        let evidence = |r: &Self| (r.seen, r.place, r.due);
        let later = if evidence(&self) < evidence(&other) {
            other
        } else {
            self
        };
        Self {
            tries: self.tries.max(other.tries),
            right: self.right.max(other.right),
            ..later
        }
    }
}

/// What a student has learnt. It stays on the device unless exported.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Progress {
    skills: BTreeMap<String, Record>,
    lessons: BTreeMap<String, Day>,
}

/// How far one is with some lessons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct HowFar {
    /// Lessons that were worked through.
    pub read: usize,
    /// Lessons there are.
    pub lessons: usize,
    /// Skills that were once shown in full.
    pub shown: usize,
    /// Skills there are.
    pub skills: usize,
}

impl HowFar {
    /// In words.
    #[must_use]
    pub fn words(self) -> Said {
        let Self {
            read,
            lessons,
            shown,
            skills,
        } = self;
        said!(
            "{read} of {lessons} lessons read, {shown} of {skills} skills shown",
            read,
            lessons,
            shown,
            skills
        )
    }
}

/// Why progress cannot be read back.
#[derive(Debug, Error)]
#[error("{}", self.said().english())]
pub enum ProgressError {
    /// The text is something else.
    Unreadable(#[from] serde_json::Error),
    /// It holds figures that cannot be.
    Impossible,
}

impl ProgressError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Unreadable(what) => said!(
                "this is no file of progress ({what}): choose the one that was exported here",
                what
            ),
            Self::Impossible => said!(
                "this file of progress has been changed and cannot be right: choose the one that was exported here"
            ),
        }
    }
}

impl Progress {
    /// Notes a marked try at a skill. Right moves it a box up, unless hints were taken; half right keeps it; less sends
    /// it back to the first. What is right again before its day stays where it is.
    ///
    /// ```
    /// use leadbar::teach::exercise::{Exercise, Kind};
    /// use leadbar::teach::progress::{Day, Mastery, Progress};
    /// let task = Exercise::of(Kind::FindChord).task(7).unwrap();
    /// let mark = task.mark(&task.model_answer());
    /// let mut progress = Progress::default();
    /// progress.note("Find a major chord", &mark, false, Day(100));
    /// assert_eq!(progress.mastery("Find a major chord"), Mastery::Begun);
    /// assert_eq!(progress.due(Day(101)), ["Find a major chord"]);
    /// ```
    pub fn note(&mut self, skill: &str, mark: &Mark, hinted: bool, today: Day) {
        let known = self.skills.get(skill).copied();
        let was = known.unwrap_or(Record {
            place: 0,
            due: today,
            tries: 0,
            right: 0,
            seen: today,
        });
        let last = DAYS.len() - 1;
        let place = usize::from(was.place);
        let moves_up = mark.is_right() && !hinted && was.due <= today && known.is_some();
        let place = if moves_up {
            (place + 1).min(last)
        } else if mark.is_right() || mark.part() >= HALF {
            place
        } else {
            0
        };
        let again = DAYS.get(place).copied().unwrap_or(1);
        let stays = mark.is_right() && was.due > today;
        #[allow(clippy::cast_possible_truncation)] // five boxes
        let record = Record {
            place: place as u8,
            due: if stays { was.due } else { today.later(again) },
            tries: was.tries.saturating_add(1),
            right: was.right.saturating_add(u32::from(mark.is_right())),
            seen: today,
        };
        self.skills.insert(skill.to_owned(), record);
    }

    /// Notes that a lesson was worked through.
    pub fn finish(&mut self, lesson: &str, today: Day) {
        self.lessons.entry(lesson.to_owned()).or_insert(today);
    }

    /// Whether a lesson was worked through.
    #[must_use]
    pub fn is_finished(&self, lesson: &str) -> bool {
        self.lessons.contains_key(lesson)
    }

    /// How well a skill sits.
    #[must_use]
    pub fn mastery(&self, skill: &str) -> Mastery {
        match self.skills.get(skill) {
            None => Mastery::New,
            Some(record) => match record.place {
                0 => Mastery::Begun,
                1 | 2 => Mastery::Growing,
                3 => Mastery::Solid,
                _ => Mastery::Mastered,
            },
        }
    }

    /// How often a skill was tried, and how often everything was right.
    #[must_use]
    pub fn tries(&self, skill: &str) -> (u32, u32) {
        self.skills.get(skill).map_or((0, 0), |r| (r.tries, r.right))
    }

    /// The skills to be met again today, those waiting longest first.
    #[must_use]
    pub fn due(&self, today: Day) -> Vec<&str> {
        let mut due: Vec<_> = self.skills.iter().filter(|(_, r)| r.due <= today).collect();
        due.sort_by_key(|(_, r)| r.due);
        due.into_iter().map(|(skill, _)| skill.as_str()).collect()
    }

    /// How many skills of the course that comes with the program were once shown in full, and how many it has.
    #[must_use]
    pub fn shown(&self) -> (usize, usize) {
        let HowFar { shown, skills, .. } = self.of_lessons(&course::heads());
        (shown, skills)
    }

    /// The part of it that is of the course that comes with the program.
    #[must_use]
    pub fn of_the_course(&self) -> Self {
        let heads = course::heads();
        let skill = |name: &str| heads.iter().any(|h| h.skills.iter().any(|s| s == name));
        let lesson = |id: &str| heads.iter().any(|h| h.id == id);
        let mut own = self.clone();
        own.skills.retain(|name, _| skill(name));
        own.lessons.retain(|id, _| lesson(id));
        own
    }

    /// Takes in what was learnt elsewhere. Of each skill the later evidence says how well it sits; nothing is lost.
    ///
    /// ```
    /// use leadbar::teach::progress::{Day, Progress};
    /// let (mut here, mut there) = (Progress::default(), Progress::default());
    /// here.finish("three-homes", Day(3));
    /// there.finish("stairs", Day(4));
    /// here.merge(&there);
    /// assert!(here.is_finished("three-homes") && here.is_finished("stairs"));
    /// ```
    pub fn merge(&mut self, other: &Self) {
        for (skill, theirs) in &other.skills {
            let own = self.skills.entry(skill.clone()).or_insert(*theirs);
            *own = own.merged(*theirs);
        }
        for (lesson, day) in &other.lessons {
            let own = self.lessons.entry(lesson.clone()).or_insert(*day);
            *own = (*own).min(*day);
        }
    }

    /// How many skills and lessons it knows of.
    #[must_use]
    pub fn counts(&self) -> (usize, usize) {
        (self.skills.len(), self.lessons.len())
    }

    /// How far one is with these lessons.
    #[must_use]
    pub fn of_lessons(&self, heads: &[Head]) -> HowFar {
        let skills: BTreeSet<&str> = heads.iter().flat_map(|h| &h.skills).map(String::as_str).collect();
        HowFar {
            read: heads.iter().filter(|h| self.is_finished(&h.id)).count(),
            lessons: heads.len(),
            shown: skills.iter().filter(|s| self.tries(s).1 > 0).count(),
            skills: skills.len(),
        }
    }

    /// Whether there is nothing to keep.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.skills.is_empty() && self.lessons.is_empty()
    }

    /// Everything, as a file that can be read and brought back.
    #[must_use]
    pub fn export(&self) -> String {
        // Texts and whole numbers: nothing that JSON cannot hold.
        serde_json::to_string_pretty(self).unwrap_or_default()
    }

    /// Progress from an exported file.
    ///
    /// # Errors
    /// When the text is none, or holds what cannot be.
    pub fn import(text: &str) -> Result<Self, ProgressError> {
        let progress: Self = serde_json::from_str(text)?;
        let fits = progress.skills.len() <= MOST && progress.lessons.len() <= MOST;
        let sane = |r: &Record| usize::from(r.place) < DAYS.len() && r.right <= r.tries;
        if fits && progress.skills.values().all(sane) {
            Ok(progress)
        } else {
            Err(ProgressError::Impossible)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::Criterion;
    use proptest::prelude::*;

    fn mark(points: u16) -> Mark {
        let criterion = if points == 4 {
            Criterion::met(said!("notes"), 4, said!("Yes."))
        } else {
            Criterion::missed(said!("notes"), points, 4, said!("No."), said!("Again."))
        };
        Mark::of(vec![criterion])
    }

    #[test]
    fn what_is_known_each_time_it_is_due_is_asked_ever_more_rarely() {
        let mut progress = Progress::default();
        let mut today = Day(0);
        let mut waits = Vec::new();
        for _ in 0..7 {
            progress.note("thirds", &mark(4), false, today);
            let next = (1..40).find(|d| !progress.due(today.later(*d)).is_empty()).unwrap();
            waits.push(next);
            today = today.later(next);
        }
        assert_eq!(waits, [1, 2, 4, 8, 16, 16, 16]);
        assert_eq!(progress.mastery("thirds"), Mastery::Mastered);
        progress.note("thirds", &mark(0), false, today);
        assert_eq!(progress.due(today.later(1)), ["thirds"]);
        assert_eq!(progress.mastery("thirds"), Mastery::Begun);
    }

    #[test]
    fn half_right_or_hinted_keeps_the_box_and_practice_before_its_day_costs_nothing() {
        let mut progress = Progress::default();
        progress.note("thirds", &mark(4), false, Day(0));
        progress.note("thirds", &mark(4), false, Day(1));
        assert_eq!(progress.mastery("thirds"), Mastery::Growing);
        progress.note("thirds", &mark(4), false, Day(2));
        assert_eq!(progress.due(Day(3)), ["thirds"], "its day stays");
        progress.note("thirds", &mark(4), true, Day(3));
        progress.note("thirds", &mark(2), false, Day(5));
        assert_eq!(progress.due(Day(7)), ["thirds"], "its box stays");
    }

    /// Progress from tries: skill, points of four, day; and lessons read on a day.
    fn made(tries: &[(u8, u16, i32)], lessons: &[(u8, i32)]) -> Progress {
        let mut progress = Progress::default();
        let mut tries = tries.to_vec();
        tries.sort_by_key(|t| t.2);
        for (skill, points, day) in tries {
            progress.note(&format!("skill {skill}"), &mark(points), false, Day(day));
        }
        for (lesson, day) in lessons {
            progress.finish(&format!("lesson {lesson}"), Day(*day));
        }
        progress
    }

    fn any_progress() -> impl Strategy<Value = Progress> {
        let tries = proptest::collection::vec((0_u8..5, 0_u16..=4, 0_i32..40), 0..12);
        let lessons = proptest::collection::vec((0_u8..5, 0_i32..40), 0..5);
        (tries, lessons).prop_map(|(tries, lessons)| made(&tries, &lessons))
    }

    #[test]
    fn of_two_devices_the_later_try_says_how_well_a_skill_sits() {
        let mut here = made(&[(1, 4, 0), (1, 4, 1), (1, 4, 3)], &[]);
        let there = made(&[(1, 0, 9)], &[]);
        here.merge(&there);
        assert_eq!(here.mastery("skill 1"), Mastery::Begun);
        assert_eq!((here.tries("skill 1"), here.due(Day(10)).len()), ((3, 3), 1));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn taking_in_loses_nothing_and_does_not_depend_on_the_order(
            a in any_progress(), b in any_progress(), c in any_progress()
        ) {
            let join = |all: [&Progress; 3]| {
                let mut sum = Progress::default();
                all.into_iter().for_each(|p| sum.merge(p));
                sum
            };
            let sum = join([&a, &b, &c]);
            prop_assert_eq!(&join([&c, &a, &b]), &sum);
            let mut twice = sum.clone();
            twice.merge(&b);
            prop_assert_eq!(&twice, &sum);
            for (skill, record) in [&a, &b, &c].into_iter().flat_map(|p| &p.skills) {
                prop_assert!(sum.skills[skill].tries >= record.tries && sum.skills[skill].seen >= record.seen);
            }
            prop_assert_eq!(Progress::import(&sum.export()).unwrap(), sum);
        }
    }

    #[test]
    fn progress_comes_back_from_its_file_and_a_changed_one_is_refused() {
        let mut progress = Progress::default();
        progress.note("thirds", &mark(4), false, Day(20_000));
        progress.finish("grips", Day(20_000));
        let file = progress.export();
        assert_eq!(Progress::import(&file).unwrap(), progress);
        assert!(progress.is_finished("grips") && !progress.is_finished("other"));
        let forged = file.replace("\"right\": 1", "\"right\": 9");
        assert!(matches!(Progress::import(&forged), Err(ProgressError::Impossible)));
        assert!(matches!(Progress::import("[]"), Err(ProgressError::Unreadable(_))));
    }
}
