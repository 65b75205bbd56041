//! Marks: points for each criterion, with what it is about, where, why it matters and one next step.
//!
//! *Invariant:* no point is lost without a reason.

use crate::teach::rows;
use crate::theory::{Beats, Timeline};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Points, whole.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    derive_more::Add,
    derive_more::Sum,
    derive_more::Display,
)]
#[serde(transparent)]
pub struct Points(pub u16);

/// A moment in a song, as players say it: bar and beat, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Spot(String);

impl Spot {
    /// The spot of a moment.
    #[must_use]
    pub fn at(timeline: &Timeline, at: Beats) -> Self {
        Self(rows::moment_name(timeline, at))
    }

    /// The first beat of a bar counted from 0.
    #[must_use]
    pub fn bar(index: usize) -> Self {
        Self(format!("{}.1", index + 1))
    }

    /// When it is in a song; nothing for a spot of another song.
    #[must_use]
    pub fn moment(&self, timeline: &Timeline) -> Option<Beats> {
        rows::moment(timeline, &self.0)
    }
}

/// "bar 2, beat 3.5".
impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.split_once('.') {
            Some((bar, beat)) => write!(f, "bar {bar}, beat {beat}"),
            None => f.write_str(&self.0),
        }
    }
}

/// One thing a mark looks at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Criterion {
    /// What it looks at, in a word or two.
    pub name: String,
    /// The points earned.
    pub points: Points,
    /// The points there are.
    pub of: Points,
    /// Where, if it is at a moment.
    pub spot: Option<Spot>,
    /// Which place of several that were held, counted from 0, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<usize>,
    /// What is so, and why it matters.
    pub why: String,
    /// One thing to do next; empty when nothing is amiss.
    pub next: String,
}

impl Criterion {
    /// A criterion fulfilled.
    #[must_use]
    pub fn met(name: &str, of: u16, why: impl Into<String>) -> Self {
        Self {
            name: name.to_owned(),
            points: Points(of),
            of: Points(of),
            spot: None,
            place: None,
            why: why.into(),
            next: String::new(),
        }
    }

    /// A criterion fulfilled in part, or not at all: never in full.
    #[must_use]
    pub fn missed(name: &str, points: u16, of: u16, why: impl Into<String>, next: impl Into<String>) -> Self {
        Self {
            name: name.to_owned(),
            points: Points(points.min(of.saturating_sub(1))),
            of: Points(of),
            spot: None,
            place: None,
            why: why.into(),
            next: next.into(),
        }
    }

    /// This criterion, at a spot.
    #[must_use]
    pub fn at(self, spot: Option<Spot>) -> Self {
        Self { spot, ..self }
    }

    /// This criterion, about one of several places, counted from 0.
    #[must_use]
    pub fn about(self, place: usize) -> Self {
        Self {
            place: Some(place),
            ..self
        }
    }

    /// Whether all its points are earned.
    #[must_use]
    pub fn is_met(&self) -> bool {
        self.points == self.of
    }
}

/// The mark of one answer.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Mark {
    /// What was looked at, in order.
    pub criteria: Vec<Criterion>,
}

impl Mark {
    /// A mark of these criteria.
    #[must_use]
    pub fn of(criteria: Vec<Criterion>) -> Self {
        Self { criteria }
    }

    /// The points earned.
    #[must_use]
    pub fn points(&self) -> Points {
        self.criteria.iter().map(|c| c.points).sum()
    }

    /// The points there are.
    #[must_use]
    pub fn out_of(&self) -> Points {
        self.criteria.iter().map(|c| c.of).sum()
    }

    /// The part of the points that is earned, 0..=1.
    #[must_use]
    pub fn part(&self) -> f64 {
        let of = self.out_of().0;
        if of == 0 {
            0.0
        } else {
            f64::from(self.points().0) / f64::from(of)
        }
    }

    /// Whether the answer is right in everything.
    #[must_use]
    pub fn is_right(&self) -> bool {
        !self.criteria.is_empty() && self.criteria.iter().all(Criterion::is_met)
    }

    /// The next step: that of the first criterion that is not met.
    #[must_use]
    pub fn next_step(&self) -> Option<&str> {
        let first = self.criteria.iter().find(|c| !c.is_met());
        first.map(|c| c.next.as_str())
    }
}

/// The mark of an answer of another kind than asked.
pub(super) fn not_answered(of: u16, wanted: &str) -> Vec<Criterion> {
    let why = "This is no answer to what was asked.";
    vec![Criterion::missed(
        "answer",
        0,
        of,
        why,
        format!("Answer with {wanted}."),
    )]
}
