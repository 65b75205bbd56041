//! Marks: points for each criterion, with what it is about, where, why it matters and one next step.
//!
//! *Invariant:* no point is lost without a reason.

use crate::teach::rows;
use crate::theory::{Beats, Timeline};
use crate::words::Said;

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
    derive_more::Add,
    derive_more::Sum,
    derive_more::Display,
)]
pub struct Points(pub u16);

/// A moment in a song, as players say it: bar and beat, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
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

    /// "bar 2, beat 3.5".
    #[must_use]
    pub fn said(&self) -> Said {
        match self.0.split_once('.') {
            Some((bar, beat)) => said!("bar {bar}, beat {beat}", bar, beat),
            None => Said::from(&self.0),
        }
    }
}

/// One thing a mark looks at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Criterion {
    /// What it looks at, in a word or two; assignments weigh it by its English name.
    pub name: Said,
    /// The points earned.
    pub points: Points,
    /// The points there are.
    pub of: Points,
    /// Where, if it is at a moment.
    pub spot: Option<Spot>,
    /// Which place of several that were held, counted from 0, if it is about one.
    pub place: Option<usize>,
    /// What is so, and why it matters.
    pub why: Said,
    /// One thing to do next; empty when nothing is amiss.
    pub next: Said,
}

impl Criterion {
    /// A criterion fulfilled.
    #[must_use]
    pub fn met(name: Said, of: u16, why: Said) -> Self {
        Self {
            name,
            points: Points(of),
            of: Points(of),
            spot: None,
            place: None,
            why,
            next: Said::default(),
        }
    }

    /// A criterion fulfilled in part, or not at all: never in full.
    #[must_use]
    pub fn missed(name: Said, points: u16, of: u16, why: Said, next: Said) -> Self {
        Self {
            name,
            points: Points(points.min(of.saturating_sub(1))),
            of: Points(of),
            spot: None,
            place: None,
            why,
            next,
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
#[derive(Debug, Clone, PartialEq, Eq, Default)]
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
    pub fn next_step(&self) -> Option<&Said> {
        let first = self.criteria.iter().find(|c| !c.is_met());
        first.map(|c| &c.next)
    }
}

/// The mark of an answer of another kind than asked; `next` says with what to answer.
pub(super) fn not_answered(of: u16, next: Said) -> Vec<Criterion> {
    let why = said!("This is no answer to what was asked.");
    vec![Criterion::missed(said!("answer"), 0, of, why, next)]
}
