//! Work that a teacher sets, and what a student hands in.
//!
//! Both travel by link or by file, without a server. What is handed in carries the work and every answer whole, so
//! that whoever receives it can mark it again. That is a receipt of what was answered, and no proof of who did it.
//!
//! *Invariant:* the mark written in what is handed in is a claim; every mark shown to a teacher is computed anew.

use super::evidence::{Evidence, EvidenceError, Tally};
use super::exercise::{Answer, Exercise, Mark, Task, TaskError};
use crate::exchange::json;
use crate::exchange::link::{Kind, Linked};
use crate::steel::instrument;
use crate::steel::{Instrument, InstrumentError};
use crate::theory::chart;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The version of the marking. Raised whenever one answer could be marked otherwise than before.
pub const GRADER: u16 = 1;
/// The most exercises of an assignment.
pub const MOST_ITEMS: usize = 40;
/// The longest text of a teacher's or a student's own, in bytes.
pub const MOST_WORDS: usize = 4_000;
/// The longest instrument file or written answer, in bytes.
const MOST_TEXT: usize = 20_000;
/// The most that one exercise or criterion counts against another.
pub const MOST_WEIGHT: u8 = 10;

/// One exercise of an assignment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    /// What is asked.
    pub exercise: Exercise,
    /// The seed that draws the task: the same for everybody.
    pub seed: u64,
    /// How much it counts, 1..=10.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub weight: u8,
}

fn one() -> u8 {
    1
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde asks
fn is_one(weight: &u8) -> bool {
    *weight == 1
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde asks
fn is_true(flag: &bool) -> bool {
    *flag
}

fn yes() -> bool {
    true
}

/// Work that a teacher sets.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assignment {
    /// What it is called.
    pub title: String,
    /// The teacher's own words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// When it is wanted, in the teacher's words: nothing is enforced.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub due: String,
    /// Whether hints are offered.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub hints: bool,
    /// The file of an instrument of the teacher's own, on which all of it is asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// How much the criteria count, by their English names, 0..=10; 1 where nothing is said.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub weights: BTreeMap<String, u8>,
    /// The exercises in order.
    pub items: Vec<Item>,
}

/// Why a task of an assignment cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.said().english())]
pub enum WorkError {
    /// The exercise gives no task.
    Task(#[from] TaskError),
    /// The instrument that came with it cannot be read.
    Instrument(#[from] InstrumentError),
}

impl WorkError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Task(error) => error.said(),
            Self::Instrument(error) => said!(
                "the instrument that came with this work can't be read: {why}",
                why = error.said()
            ),
        }
    }
}

#[cfg(test)]
impl Assignment {
    /// One task of each of these kinds, drawn from the seeds 1, 2, 3 and so on: for tests.
    pub(crate) fn of_kinds<const N: usize>(kinds: [super::exercise::Kind; N]) -> Self {
        let item = |(seed, kind)| Item {
            exercise: Exercise::of(kind),
            seed,
            weight: 1,
        };
        Self {
            items: (1..).zip(kinds).map(item).collect(),
            ..Self::default()
        }
    }
}

/// What a criterion was called in work that was set before it got its name.
fn former(criterion: &str) -> Option<&'static str> {
    (criterion == "spelling").then_some("name")
}

impl Assignment {
    /// What two copies of one assignment have in common, as a short word: the first hexadecimal digits of a checksum.
    #[must_use]
    pub fn id(&self) -> String {
        let text = json::bytes(self).unwrap_or_default();
        let mut sum = crc32fast::Hasher::new();
        sum.update(&text);
        format!("{:08x}", sum.finalize())
    }

    /// The instrument it brings along, if it does.
    ///
    /// # Errors
    /// When its file cannot be read.
    pub fn own_instrument(&self) -> Result<Option<Instrument>, InstrumentError> {
        self.instrument.as_deref().map(instrument::parse).transpose()
    }

    /// Whether its instrument's file is short enough to go along.
    #[must_use]
    pub fn instrument_fits(&self) -> bool {
        self.instrument.as_ref().is_none_or(|text| text.len() <= MOST_TEXT)
    }

    /// The task of an item.
    ///
    /// # Errors
    /// When the instrument cannot do it or cannot be read.
    pub fn task(&self, item: &Item) -> Result<Task, WorkError> {
        match self.own_instrument()? {
            Some(own) => Ok(item.exercise.task_on(&own, item.seed)?),
            None => Ok(item.exercise.task(item.seed)?),
        }
    }

    /// How much a criterion counts, by its English name.
    #[must_use]
    pub fn weight(&self, criterion: &str) -> u8 {
        let under = |name: &str| self.weights.get(name).copied();
        let known = under(criterion).or_else(|| under(former(criterion)?));
        known.unwrap_or(1)
    }

    /// Sets how much a criterion counts, by its English name.
    pub fn weigh(&mut self, criterion: String, weight: u8) {
        if let Some(former) = former(&criterion) {
            self.weights.remove(former);
        }
        match weight {
            1 => drop(self.weights.remove(&criterion)),
            weight => drop(self.weights.insert(criterion, weight.min(MOST_WEIGHT))),
        }
    }

    /// The part of its points that a mark earns, 0..=1, the criteria weighed as the teacher wants.
    #[must_use]
    pub fn weighed(&self, mark: &Mark) -> f64 {
        let weight = |name: &Said| f64::from(self.weight(&name.english()));
        let sum = |points: fn(&super::exercise::Criterion) -> u16| -> f64 {
            mark.criteria
                .iter()
                .map(|c| weight(&c.name) * f64::from(points(c)))
                .sum()
        };
        let of = sum(|c| c.of.0);
        if of > 0.0 {
            sum(|c| c.points.0) / of
        } else {
            mark.part()
        }
    }

    /// The score of all marks together; an item without a mark counts as nothing earned.
    #[must_use]
    pub fn score(&self, marks: &[Option<Mark>]) -> Score {
        self.score_of(marks.iter().map(|mark| mark.as_ref().map_or(0.0, |m| self.weighed(m))))
    }

    /// The score of what each item earned, 0..=1, in order.
    #[must_use]
    pub fn score_of(&self, parts: impl Iterator<Item = f64>) -> Score {
        let all: f64 = self.items.iter().map(|i| f64::from(i.weight)).sum();
        let earned = self
            .items
            .iter()
            .zip(parts)
            .map(|(item, part)| f64::from(item.weight) * part);
        Score::of_part(if all > 0.0 { earned.sum::<f64>() / all } else { 0.0 })
    }
}

/// A score in whole hundredths, 0..=100.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, derive_more::Display,
)]
#[serde(transparent)]
#[display("{_0} %")]
pub struct Score(pub u8);

impl Score {
    /// The score of a part, 0..=1.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // kept within 0..=100
    pub fn of_part(part: f64) -> Self {
        Self((part.clamp(0.0, 1.0) * 100.0).round() as u8)
    }
}

/// One answer as it is handed in.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Given {
    /// The answer; nothing where it was left out.
    pub answer: Option<Answer>,
    /// How often it was tried before.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub tries: u16,
    /// How many hints were taken.
    #[serde(default, skip_serializing_if = "no_hints")]
    pub hints: u8,
    /// What was heard of it, where the student has played it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub played: Option<Evidence>,
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde asks
fn is_zero(tries: &u16) -> bool {
    *tries == 0
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde asks
fn no_hints(hints: &u8) -> bool {
    *hints == 0
}

/// What a student hands in: a receipt that can be marked again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handed {
    /// The work, whole.
    pub work: Assignment,
    /// What the student calls himself or herself.
    pub name: String,
    /// An answer for each item, in order.
    pub answers: Vec<Given>,
    /// The score that was shown to the student: a claim.
    pub claim: Score,
    /// The version of the marking that showed it.
    pub grader: u16,
}

impl Handed {
    /// The work with its answers, marked here and now.
    #[must_use]
    pub fn new(work: Assignment, name: &str, answers: Vec<Given>) -> Self {
        let mut handed = Self {
            work,
            name: name.trim().to_owned(),
            answers,
            claim: Score::default(),
            grader: GRADER,
        };
        handed.claim = handed.work.score(&handed.marks());
        handed
    }

    /// The marks of its answers, computed anew; nothing where there is no answer, or no task.
    #[must_use]
    pub fn marks(&self) -> Vec<Option<Mark>> {
        let answer = |i: usize| self.answers.get(i).and_then(|g| g.answer.as_ref());
        let mark = |(i, item)| Some(self.work.task(item).ok()?.mark(answer(i)?));
        self.work.items.iter().enumerate().map(mark).collect()
    }

    /// What was played of its answers, marked anew: nothing where nothing was played, or there is no task.
    #[must_use]
    pub fn played(&self) -> Vec<Option<Result<Tally, EvidenceError>>> {
        let tally = |(given, item): (&Given, &Item)| {
            let (played, answer) = (given.played.as_ref()?, given.answer.as_ref());
            let task = self.work.task(item).ok()?;
            Some(answer.map_or(Err(EvidenceError::NoPhrase), |answer| played.tally(&task, answer)))
        };
        self.answers.iter().zip(&self.work.items).map(tally).collect()
    }

    /// The score, computed anew.
    #[must_use]
    pub fn score(&self) -> Score {
        self.work.score(&self.marks())
    }
}

impl Linked for Assignment {
    const KIND: Kind = Kind::Assignment;

    fn check(&self) -> Result<(), Said> {
        let short = |text: &str| text.len() <= MOST_WORDS;
        if self.items.is_empty() || self.items.len() > MOST_ITEMS {
            return Err(said!(
                "it has {exercises} exercises; 1 to {most} are possible",
                exercises = self.items.len(),
                most = MOST_ITEMS
            ));
        }
        if !short(&self.title) || !short(&self.words) || !short(&self.due) {
            return Err(said!("its text is too long"));
        }
        if !self.instrument_fits() {
            return Err(said!("its instrument is too long"));
        }
        self.own_instrument().map_err(|e| e.said())?;
        let weights = self.weights.values().all(|w| *w <= MOST_WEIGHT) && self.weights.len() <= MOST_ITEMS;
        if !weights || !self.items.iter().all(|i| (1..=MOST_WEIGHT).contains(&i.weight)) {
            return Err(said!("one of its weights is out of range"));
        }
        self.items.iter().try_for_each(|item| check_exercise(&item.exercise))
    }
}

/// Whether an exercise from outside holds nothing that would take long or make no sense.
fn check_exercise(exercise: &Exercise) -> Result<(), Said> {
    let lists = [exercise.keys.len(), exercise.chords.len(), exercise.changes.len()];
    let tempo = exercise.tempo.is_none_or(|t| (40.0..=200.0).contains(&t.0));
    let bars = exercise.bars.is_none_or(|b| (1..=8).contains(&b));
    let places = exercise.places.is_none_or(|p| (1..=4).contains(&p));
    let row = exercise.chart.as_deref().unwrap_or("1");
    let parsed = (row.len() <= MOST_WORDS).then(|| chart::parse(&format!("key C; {row}")));
    let chart = parsed.is_some_and(|p| p.problems.is_empty() && p.chart.timeline().bars.len() <= 32);
    if lists.iter().all(|l| *l <= 32) && tempo && bars && places && chart {
        Ok(())
    } else {
        Err(said!(
            "the exercise \"{kind}\" has something out of range",
            kind = Said::of(exercise.kind.name())
        ))
    }
}

impl Linked for Handed {
    const KIND: Kind = Kind::Answer;

    fn check(&self) -> Result<(), Said> {
        self.work.check()?;
        if self.name.len() > MOST_WORDS {
            return Err(said!("the name is too long"));
        }
        if self.answers.len() > self.work.items.len() || self.claim.0 > 100 {
            return Err(said!(
                "it has more answers than there are exercises, or a score above 100"
            ));
        }
        if !self
            .answers
            .iter()
            .filter_map(|g| g.played.as_ref())
            .all(Evidence::is_sane)
        {
            return Err(said!("what was played has figures that nobody can measure"));
        }
        self.answers
            .iter()
            .filter_map(|g| g.answer.as_ref())
            .try_for_each(check_answer)
    }
}

/// Whether an answer from outside is short enough to be one.
pub(super) fn check_answer(answer: &Answer) -> Result<(), Said> {
    let fine = match answer {
        Answer::Chord(text) | Answer::Number(text) | Answer::Change(text) => text.len() <= 100,
        Answer::Chart(text) | Answer::Phrase(text) => text.len() <= MOST_TEXT,
        Answer::Places(grips) => grips.len() <= 32,
        Answer::Cents(cents) => cents.0.is_finite(),
        Answer::Bar(_) | Answer::Inversion(_) => true,
    };
    if fine {
        Ok(())
    } else {
        Err(said!("one of the answers is too long"))
    }
}
