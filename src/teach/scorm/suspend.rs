//! What a platform keeps between two visits (`cmi.suspend_data`): at most 4096 characters.
//!
//! The text is a `1`, the version of this form, and then JSON, deflated (RFC 1951) and in the alphabet of addresses
//! (base64url, RFC 4648 section 5, unpadded).
//!
//! *Invariant:* what is written is never longer than [`MOST_SUSPENDED`]; what does not fit loses answers before it
//! loses marks, the oldest first, and says how many.

use crate::exchange::json;
use crate::teach::assignment::{Assignment, check_answer};
use crate::teach::attempt::Attempt;
use crate::teach::progress::Progress;
use crate::words::Said;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The most that every platform keeps, in characters (`CMIString4096`).
pub const MOST_SUSPENDED: usize = 4096;

const VERSION: char = '1';
/// The most that a text unpacks to, in bytes.
const MOST_BYTES: usize = 1 << 18;
const EFFORT: u8 = 9;

/// What a platform is to keep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspended {
    /// The text.
    pub text: String,
    /// How many answers found no room; their marks did.
    pub let_go: usize,
}

/// Why an earlier visit can't be taken up.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum ResumeError {
    /// It is no text that was written here.
    Unreadable,
    /// It is of other work.
    OtherWork,
}

impl ResumeError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Unreadable => said!("what the platform kept of your last visit can't be read, so this begins anew"),
            Self::OtherWork => said!("what the platform kept is of other work, so this begins anew"),
        }
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    work: String,
    attempt: Attempt,
}

/// An attempt as a text for the platform.
#[must_use]
pub fn suspend_attempt(work: &Assignment, attempt: &Attempt) -> Suspended {
    let mut kept = Kept {
        work: work.id(),
        attempt: attempt.clone(),
    };
    let mut let_go = 0;
    loop {
        let text = packed(&kept);
        if text.len() <= MOST_SUSPENDED || !kept.attempt.let_go(work) {
            return Suspended { text, let_go };
        }
        let_go += 1;
    }
}

/// The attempt that a platform kept; nothing where it kept none.
///
/// # Errors
/// When the text is damaged or of other work.
pub fn resume_attempt(work: &Assignment, text: &str) -> Result<Option<Attempt>, ResumeError> {
    if text.is_empty() {
        return Ok(None);
    }
    let kept: Kept = serde_json::from_slice(&unpacked(text)?).map_err(|_| ResumeError::Unreadable)?;
    if kept.work != work.id() {
        return Err(ResumeError::OtherWork);
    }
    let sane = kept.attempt.given.iter().flat_map(|g| &g.answer);
    if kept.attempt.fits(work) && sane.map(check_answer).all(|c| c.is_ok()) {
        Ok(Some(kept.attempt))
    } else {
        Err(ResumeError::Unreadable)
    }
}

/// Progress in the course as a text for the platform. Skills and lessons that are not of the course are not kept.
#[must_use]
pub fn suspend_progress(progress: &Progress) -> String {
    packed(&progress.of_the_course())
}

/// The progress that a platform kept; nothing where it kept none.
///
/// # Errors
/// When the text is damaged.
pub fn resume_progress(text: &str) -> Result<Option<Progress>, ResumeError> {
    if text.is_empty() {
        return Ok(None);
    }
    let json = String::from_utf8(unpacked(text)?).map_err(|_| ResumeError::Unreadable)?;
    Progress::import(&json).map(Some).map_err(|_| ResumeError::Unreadable)
}

fn packed<T: Serialize>(value: &T) -> String {
    // Texts and numbers: nothing that JSON cannot hold.
    let json = json::bytes(value).unwrap_or_default();
    let mut text = VERSION.to_string();
    URL_SAFE_NO_PAD.encode_string(compress_to_vec(&json, EFFORT), &mut text);
    text
}

fn unpacked(text: &str) -> Result<Vec<u8>, ResumeError> {
    let body = text.strip_prefix(VERSION).ok_or(ResumeError::Unreadable)?;
    let bytes = URL_SAFE_NO_PAD.decode(body).map_err(|_| ResumeError::Unreadable)?;
    decompress_to_vec_with_limit(&bytes, MOST_BYTES).map_err(|_| ResumeError::Unreadable)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::assignment::{Item, MOST_ITEMS};
    use crate::teach::course;
    use crate::teach::exercise::{Answer, Exercise, Kind};
    use crate::teach::progress::Day;
    use proptest::prelude::*;

    fn work(kinds: &[Kind], count: usize) -> Assignment {
        let item = |(seed, kind): (u64, &Kind)| Item {
            exercise: Exercise::of(*kind),
            seed,
            weight: 1,
        };
        Assignment {
            title: "Week three".to_owned(),
            items: (1..).zip(kinds.iter().cycle().take(count)).map(item).collect(),
            ..Assignment::default()
        }
    }

    fn answered(work: &Assignment) -> Attempt {
        let mut attempt = Attempt::of(work.items.len());
        for (index, item) in work.items.iter().enumerate() {
            attempt.answer(index, work.task(item).unwrap().model_answer());
        }
        attempt
    }

    #[test]
    fn ten_answers_of_ten_kinds_fit_whole_and_come_back() {
        let work = work(&Kind::ALL[8..], 10);
        let attempt = answered(&work);
        let kept = suspend_attempt(&work, &attempt);
        assert_eq!(kept.let_go, 0);
        assert!(kept.text.len() <= MOST_SUSPENDED);
        assert_eq!(resume_attempt(&work, &kept.text), Ok(Some(attempt)));
    }

    #[test]
    fn what_does_not_fit_loses_its_oldest_answers_and_no_mark() {
        let work = work(&[Kind::Entrance, Kind::Climb, Kind::Ending], MOST_ITEMS);
        let mut attempt = answered(&work);
        // Words of no pattern: nothing that packs.
        let mut chance = fastrand::Rng::with_seed(4);
        for given in attempt.given.iter_mut().take(20) {
            let noise: String = std::iter::repeat_with(|| chance.alphanumeric()).take(300).collect();
            given.answer = Some(Answer::Phrase(noise));
        }
        let kept = suspend_attempt(&work, &attempt);
        assert!(kept.text.len() <= MOST_SUSPENDED && kept.let_go > 0);
        let back = resume_attempt(&work, &kept.text).unwrap().unwrap();
        assert_eq!((back.score(&work), back.done()), (attempt.score(&work), MOST_ITEMS));
        let gone: Vec<usize> = (0..MOST_ITEMS).filter(|i| back.given[*i].answer.is_none()).collect();
        assert_eq!(gone, (0..kept.let_go).collect::<Vec<_>>());
    }

    #[test]
    fn the_longest_answer_that_can_be_never_breaks_the_limit() {
        let work = work(&[Kind::FollowByEar], 1);
        let mut attempt = Attempt::of(1);
        let mut chance = fastrand::Rng::with_seed(5);
        let noise: String = std::iter::repeat_with(|| chance.alphanumeric()).take(19_000).collect();
        attempt.answer(0, Answer::Chart(noise));
        let kept = suspend_attempt(&work, &attempt);
        assert!(kept.text.len() <= MOST_SUSPENDED);
        assert_eq!(
            (kept.let_go, resume_attempt(&work, &kept.text).unwrap().unwrap().done()),
            (1, 1)
        );
    }

    #[test]
    fn the_whole_course_fits_however_often_it_was_tried() {
        let mut progress = Progress::default();
        let task = Exercise::of(Kind::NameChord).task(1).unwrap();
        let right = task.mark(&task.model_answer());
        let mut chance = fastrand::Rng::with_seed(6);
        for head in course::heads() {
            progress.finish(&head.id, Day(20_000 + chance.i32(0..900)));
            for skill in &head.skills {
                for _ in 0..chance.u32(1..300) {
                    progress.note(skill, &right, false, Day(20_000 + chance.i32(0..900)));
                }
            }
        }
        let text = suspend_progress(&progress);
        assert!(text.len() <= MOST_SUSPENDED, "{}", text.len());
        assert_eq!(resume_progress(&text), Ok(Some(progress)));
    }

    #[test]
    fn other_work_and_damage_are_told_apart_and_nothing_kept_is_no_fault() {
        let (work, other) = (work(&[Kind::FindChord], 2), work(&[Kind::Ending], 2));
        let text = suspend_attempt(&work, &answered(&work)).text;
        assert_eq!(resume_attempt(&work, ""), Ok(None));
        assert_eq!(resume_attempt(&other, &text), Err(ResumeError::OtherWork));
        assert_eq!(resume_attempt(&work, &text[..20]), Err(ResumeError::Unreadable));
        assert_eq!(resume_attempt(&work, "2abc"), Err(ResumeError::Unreadable));
        assert_eq!(resume_progress("course"), Err(ResumeError::Unreadable));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_text_is_taken_up_or_refused(text in "1?[A-Za-z0-9_-]{0,200}") {
            let _ = resume_attempt(&work(&[Kind::FindChord], 2), &text);
            let _ = resume_progress(&text);
        }
    }
}
