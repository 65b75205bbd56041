//! What was heard of a phrase that a student played into the microphone: evidence for an answer.
//!
//! *Invariant:* it holds what was measured of each note, and no mark: whether a note was right is computed wherever it is
//! shown, from the phrase that was answered and the figures. The sound itself is not in it.

use super::exercise::{Answer, Task};
use crate::listen::played::{ON_TIME, expected, tolerance};
use crate::sound::Speed;
use crate::steel::StringNumber;
use crate::theory::{Cents, Seconds};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The most notes there are in it, and the most that were too many.
pub const MOST_NOTES: usize = 300;
/// The furthest a figure may lie off: beyond these nothing is measured.
const LATEST: Seconds = Seconds(1.0);
const FURTHEST: Cents = Cents(1200.0);

/// What was measured of a phrase.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// How fast it was played, in hundredths of its tempo.
    pub speed: u16,
    /// Whether the device's delay was known; if not, the notes were timed against one another.
    pub delay_known: bool,
    /// Every note that was asked for, in order.
    pub notes: Vec<HeardNote>,
    /// How many were played that nobody asked for.
    #[serde(default)]
    pub extra: u16,
}

/// What was measured of one note.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeardNote {
    /// Its string.
    pub string: StringNumber,
    /// How late it came; nothing when it was not heard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub late: Option<Seconds>,
    /// How far it lay above what was asked; nothing where that can't be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off: Option<Cents>,
    /// How far a slide went past its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub past: Option<Cents>,
    /// It should have been stopped and rang on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub rings: bool,
}

/// Why evidence says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum EvidenceError {
    /// The answer is no phrase.
    NoPhrase,
    /// It has other notes than the answer.
    OtherPhrase,
}

impl EvidenceError {
    /// What is so.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NoPhrase => said!("there is no phrase in this answer that could be played"),
            Self::OtherPhrase => said!("what was played is another phrase than the answer"),
        }
    }
}

/// How many notes of a phrase were right, and what was against the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Notes that came as they should.
    pub right: usize,
    /// All that were asked for.
    pub of: usize,
    missing: usize,
    late: usize,
    early: usize,
    flat: usize,
    sharp: usize,
    overshot: usize,
    not_stopped: usize,
    /// Notes that nobody asked for.
    pub extra: usize,
}

impl HeardNote {
    /// Whether nothing is to be said against it, with so much tolerance at its fret.
    fn is_right(&self, tolerance: Cents) -> bool {
        let near = |cents: Option<Cents>| cents.is_none_or(|cents| cents.0.abs() <= tolerance.0);
        self.late.is_some_and(|late| late.0.abs() <= ON_TIME.0) && near(self.off) && near(self.past) && !self.rings
    }
}

impl Tally {
    /// Counts notes, each with its tolerance, and those that were too many.
    #[must_use]
    pub fn of(notes: impl Iterator<Item = (HeardNote, Cents)>, extra: usize) -> Self {
        let mut tally = Self {
            extra,
            ..Self::default()
        };
        for (note, tolerance) in notes {
            tally.of += 1;
            tally.right += usize::from(note.is_right(tolerance));
            let off = note
                .off
                .filter(|off| off.0.abs() > tolerance.0)
                .map_or(0.0, |off| off.0);
            match note.late {
                None => tally.missing += 1,
                Some(late) if late.0 > ON_TIME.0 => tally.late += 1,
                Some(late) if late.0 < -ON_TIME.0 => tally.early += 1,
                Some(_) => {}
            }
            tally.flat += usize::from(off < 0.0);
            tally.sharp += usize::from(off > 0.0);
            tally.overshot += usize::from(note.past.is_some_and(|past| past.0.abs() > tolerance.0));
            tally.not_stopped += usize::from(note.rings);
        }
        tally
    }

    /// How it went, in a line.
    #[must_use]
    pub fn head(&self) -> Said {
        said!(
            "{right} of {all} notes as they should be",
            right = self.right,
            all = self.of
        )
    }

    /// What was against the others, each kind once.
    #[must_use]
    pub fn faults(&self) -> Vec<Said> {
        let faults = [
            (self.missing, key!("{count} missing")),
            (self.late, key!("{count} late")),
            (self.early, key!("{count} early")),
            (self.flat, key!("{count} flat")),
            (self.sharp, key!("{count} sharp")),
            (self.overshot, key!("{count} overshot")),
            (self.not_stopped, key!("{count} not stopped")),
            (self.extra, key!("{count} too many")),
        ];
        let there = faults.into_iter().filter(|(count, _)| *count > 0);
        there
            .map(|(count, what)| Said::sentence(what, vec![("count", count.into())]))
            .collect()
    }

    /// Both in one: "7 of 8 notes as they should be, 1 late".
    #[must_use]
    pub fn words(&self) -> Said {
        Said::joined([self.head()].into_iter().chain(self.faults()), ", ")
    }
}

impl Evidence {
    /// What it earns, computed anew: the notes that should have come are those of the answer, whatever it says itself.
    ///
    /// # Errors
    /// When it does not belong to the answer.
    pub fn tally(&self, task: &Task, answer: &Answer) -> Result<Tally, EvidenceError> {
        let heard = match answer {
            Answer::Phrase(_) => task.heard_with(answer),
            _ => None,
        };
        let heard = heard.ok_or(EvidenceError::NoPhrase)?;
        let tempo = Speed(f64::from(self.speed) / 100.0).of(task.setting.timeline.tempo);
        let notes = expected(&heard.performance, &heard.instrument, tempo, Seconds(0.0));
        let end = task.setting.timeline.length().at(tempo);
        let asked: Vec<_> = notes.into_iter().filter(|note| note.at < end).collect();
        let same = |(asked, heard): (&crate::listen::played::Expected, &HeardNote)| asked.string == heard.string;
        if asked.is_empty() || asked.len() != self.notes.len() || !asked.iter().zip(&self.notes).all(same) {
            return Err(EvidenceError::OtherPhrase);
        }
        let tolerances = asked.iter().map(|note| tolerance(note.fret));
        Ok(Tally::of(
            self.notes.iter().copied().zip(tolerances),
            usize::from(self.extra),
        ))
    }

    /// Whether every figure lies where something can be measured.
    pub(super) fn is_sane(&self) -> bool {
        let time = |time: Option<Seconds>| time.is_none_or(|time| time.0.abs() <= LATEST.0);
        let pitch = |cents: Option<Cents>| cents.is_none_or(|cents| cents.0.abs() <= FURTHEST.0);
        (10..=400).contains(&self.speed)
            && self.notes.len() <= MOST_NOTES
            && usize::from(self.extra) <= MOST_NOTES
            && self
                .notes
                .iter()
                .all(|note| time(note.late) && pitch(note.off) && pitch(note.past))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::teach::exercise::{Exercise, Kind};

    /// A phrase, and evidence of it in which every note is right.
    fn right() -> (Task, Answer, Evidence) {
        let task = Exercise::of(Kind::Answer).task(1).unwrap();
        let answer = task.model_answer();
        let heard = task.heard_with(&answer).unwrap();
        let tempo = task.setting.timeline.tempo;
        let notes = expected(&heard.performance, &heard.instrument, tempo, Seconds(0.0));
        let note = |note: &crate::listen::played::Expected| HeardNote {
            string: note.string,
            late: Some(Seconds(0.01)),
            off: Some(Cents(1.0)),
            past: None,
            rings: false,
        };
        let evidence = Evidence {
            speed: 100,
            delay_known: true,
            notes: notes.iter().map(note).collect(),
            extra: 0,
        };
        (task, answer, evidence)
    }

    #[test]
    fn marks_follow_from_the_figures_and_the_answer_alone() {
        let (task, answer, mut evidence) = right();
        let all = evidence.notes.len();
        let tally = evidence.tally(&task, &answer).unwrap();
        assert_eq!((tally.right, tally.of, tally.faults().len()), (all, all, 0));
        evidence.notes[0].late = None;
        evidence.notes[1].late = Some(Seconds(0.12));
        evidence.notes[2].off = Some(Cents(-40.0));
        evidence.extra = 2;
        let tally = evidence.tally(&task, &answer).unwrap();
        assert_eq!(
            tally.head().english(),
            format!("{} of {all} notes as they should be", all - 3)
        );
        assert_eq!(
            Said::joined(tally.faults(), ", "),
            "1 missing, 1 late, 1 flat, 2 too many"
        );
    }

    #[test]
    fn evidence_of_another_phrase_or_of_none_earns_nothing() {
        let (task, answer, mut evidence) = right();
        assert_eq!(evidence.tally(&task, &Answer::Bar(1)), Err(EvidenceError::NoPhrase));
        // A single note played well is no whole phrase.
        evidence.notes.truncate(1);
        assert_eq!(evidence.tally(&task, &answer), Err(EvidenceError::OtherPhrase));
        let (_, _, mut other) = right();
        other.notes[0].string = StringNumber::new(9).unwrap();
        assert_eq!(other.tally(&task, &answer), Err(EvidenceError::OtherPhrase));
    }

    #[test]
    fn figures_that_nobody_can_measure_are_refused() {
        let (_, _, good) = right();
        assert!(good.is_sane());
        let bad: [fn(&mut Evidence); 6] = [
            |e| e.notes[0].late = Some(Seconds(f64::NAN)),
            |e| e.notes[0].late = Some(Seconds(5.0)),
            |e| e.notes[0].off = Some(Cents(f64::INFINITY)),
            |e| e.speed = 0,
            |e| e.extra = u16::MAX,
            |e| e.notes = vec![e.notes[0]; MOST_NOTES + 1],
        ];
        for spoil in bad {
            let mut evidence = good.clone();
            spoil(&mut evidence);
            assert!(!evidence.is_sane());
        }
    }
}
