//! What a platform is told: score, status, place, time.
//!
//! Source: "The SCORM Run-Time Environment", version 1.2, section 3.4 (the data model and its data types).
//!
//! *Invariant:* every value is of the type and within the range that the data model asks for.

use super::suspend::{MOST_SUSPENDED, suspend_attempt, suspend_progress};
use crate::teach::attempt::Attempt;
use crate::teach::progress::Progress;
use crate::teach::{Assignment, Score};
use crate::theory::Seconds;

/// The longest place, in characters (`CMIString255`).
const MOST_PLACE: usize = 255;

/// How far a student is, as a platform says it (`cmi.core.lesson_status`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Status {
    /// Begun.
    Incomplete,
    /// Everything is answered.
    Completed,
    /// Everything is answered, and well enough for the platform.
    Passed,
    /// Everything is answered, and not well enough for the platform.
    Failed,
}

impl Status {
    /// The word of the data model.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Incomplete => "incomplete",
            Self::Completed => "completed",
            Self::Passed => "passed",
            Self::Failed => "failed",
        }
    }

    /// The status of so much done: only a platform that asks for a score (`cmi.student_data.mastery_score`) lets a
    /// student pass or fail.
    ///
    /// ```
    /// use leadbar::teach::Score;
    /// use leadbar::teach::scorm::Status;
    /// assert_eq!(Status::of(3, 4, Score(90), Some(80.0)), Status::Incomplete);
    /// assert_eq!(Status::of(4, 4, Score(90), None), Status::Completed);
    /// assert_eq!(Status::of(4, 4, Score(79), Some(80.0)), Status::Failed);
    /// ```
    #[must_use]
    pub fn of(done: usize, all: usize, score: Score, wanted: Option<f64>) -> Self {
        match wanted {
            _ if done < all => Self::Incomplete,
            None => Self::Completed,
            Some(wanted) if f64::from(score.0) >= wanted => Self::Passed,
            Some(_) => Self::Failed,
        }
    }
}

/// How a platform opened the package.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Whether anything that is told counts: not where the platform opens it for looking only.
    pub counts: bool,
    /// The score that the platform asks for, 0..=100.
    pub wanted: Option<f64>,
}

impl Standing {
    /// From `cmi.core.lesson_mode` and `cmi.student_data.mastery_score`. A platform that says neither lets it count.
    #[must_use]
    pub fn read(mode: &str, wanted: &str) -> Self {
        Self {
            counts: !matches!(mode, "browse" | "review"),
            wanted: wanted.trim().parse().ok().filter(|w| (0.0..=100.0).contains(w)),
        }
    }
}

/// All that a platform is told of a student's work.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// The score; nothing before the first answer.
    pub score: Option<Score>,
    /// How far it is.
    pub status: Status,
    /// Where the student is.
    pub place: String,
    /// What is needed to go on from there.
    pub suspended: String,
}

impl Report {
    /// What is told of an attempt, and how many of its answers found no room: of those only the mark is kept.
    #[must_use]
    pub fn of_attempt(work: &Assignment, attempt: &Attempt, standing: Standing) -> (Self, usize) {
        let (done, score) = (attempt.done(), attempt.score(work));
        let kept = suspend_attempt(work, attempt);
        let report = Self {
            score: (done > 0).then_some(score),
            status: Status::of(done, work.items.len(), score, standing.wanted),
            place: attempt.last().map(|i| (i + 1).to_string()).unwrap_or_default(),
            suspended: kept.text,
        };
        (report, kept.let_go)
    }

    /// What is told of the course with a lesson open in it, or none: the score is the part of its skills that were once
    /// shown in full.
    #[must_use]
    pub fn of_course(progress: &Progress, lesson: Option<&str>, standing: Standing) -> Self {
        let (shown, all) = progress.shown();
        #[allow(clippy::cast_precision_loss)] // some tens of skills
        let score = Score::of_part(shown as f64 / all.max(1) as f64);
        Self {
            score: (!progress.is_empty()).then_some(score),
            status: Status::of(shown, all, score, standing.wanted),
            place: lesson.unwrap_or_default().to_owned(),
            suspended: suspend_progress(progress),
        }
    }

    /// The elements of the data model with their values, in the order in which they are to be set. Texts that are too
    /// long for their type are left out: to cut them would be to change them.
    #[must_use]
    pub fn elements(&self) -> Vec<(&'static str, String)> {
        let mut elements = Vec::new();
        if let Some(score) = self.score {
            elements.push(("cmi.core.score.min", "0".to_owned()));
            elements.push(("cmi.core.score.max", "100".to_owned()));
            elements.push(("cmi.core.score.raw", score.0.to_string()));
        }
        elements.push(("cmi.core.lesson_status", self.status.word().to_owned()));
        if self.place.chars().count() <= MOST_PLACE {
            elements.push(("cmi.core.lesson_location", self.place.clone()));
        }
        if self.suspended.len() <= MOST_SUSPENDED {
            elements.push(("cmi.suspend_data", self.suspended.clone()));
        }
        elements
    }
}

/// A time as a platform reads it: `CMITimespan`, hours, minutes and seconds with hundredths. It ends at 9999 hours.
///
/// ```
/// use leadbar::teach::scorm::timespan;
/// use leadbar::theory::Seconds;
/// assert_eq!(timespan(Seconds(3_725.256)), "0001:02:05.25");
/// ```
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // kept within 0 and 9999 hours
pub fn timespan(time: Seconds) -> String {
    const MOST: f64 = 9999.0 * 3600.0 + 59.0 * 60.0 + 59.99;
    let hundredths = (time.0.clamp(0.0, MOST) * 100.0 + 1e-6).floor() as u64;
    let (seconds, hundredths) = (hundredths / 100, hundredths % 100);
    let (hours, minutes) = (seconds / 3600, seconds / 60 % 60);
    format!("{hours:04}:{minutes:02}:{:02}.{hundredths:02}", seconds % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_time_is_written_in_the_form_of_the_data_model() {
        for (time, written) in [
            (0.0, "0000:00:00.00"),
            (-3.0, "0000:00:00.00"),
            (59.999, "0000:00:59.99"),
            (3600.0, "0001:00:00.00"),
            (1e300, "9999:59:59.99"),
            (f64::INFINITY, "9999:59:59.99"),
        ] {
            assert_eq!(timespan(Seconds(time)), written);
        }
    }

    #[test]
    fn a_platform_that_opens_it_for_looking_is_told_nothing_and_an_odd_mastery_score_is_none() {
        assert!(!Standing::read("browse", "80").counts);
        assert_eq!(
            Standing::read("normal", "80"),
            Standing {
                counts: true,
                wanted: Some(80.0)
            }
        );
        for odd in ["", "eighty", "-1", "101", "NaN"] {
            assert_eq!(
                Standing::read("", odd),
                Standing {
                    counts: true,
                    wanted: None
                },
                "{odd}"
            );
        }
    }

    #[test]
    fn the_course_is_complete_once_each_of_its_skills_was_shown() {
        use crate::teach::exercise::{Exercise, Kind};
        use crate::teach::progress::Day;
        let task = Exercise::of(Kind::NameChord).task(1).unwrap();
        let right = task.mark(&task.model_answer());
        let standing = Standing::read("normal", "");
        let mut progress = Progress::default();
        let report = Report::of_course(&progress, None, standing);
        assert_eq!((report.score, report.status), (None, Status::Incomplete));
        for head in crate::teach::course::heads() {
            head.skills.iter().for_each(|s| progress.note(s, &right, false, Day(0)));
        }
        let report = Report::of_course(&progress, Some("grips"), standing);
        assert_eq!((report.score, report.status), (Some(Score(100)), Status::Completed));
        assert_eq!(report.place, "grips");
    }

    #[test]
    fn a_report_has_a_score_only_once_something_is_answered_and_never_a_text_too_long() {
        let report = Report {
            score: None,
            status: Status::Incomplete,
            place: "x".repeat(256),
            suspended: "x".repeat(MOST_SUSPENDED + 1),
        };
        assert_eq!(report.elements(), [("cmi.core.lesson_status", "incomplete".to_owned())]);
        let report = Report {
            score: Some(Score(7)),
            place: "3".to_owned(),
            suspended: "1abc".to_owned(),
            ..report
        };
        let names: Vec<&str> = report.elements().iter().map(|(name, _)| *name).collect();
        assert_eq!(names.len(), 6);
        assert!(report.elements().contains(&("cmi.core.score.raw", "7".to_owned())));
    }
}
