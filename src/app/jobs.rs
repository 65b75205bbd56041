//! Work that is done away from the page: what may be asked, and what is told back.
//!
//! *Invariant:* one job is told of in this order: how far it is, as often as it likes, then exactly once that it is
//! done or refused. A new kind of work is a new [`Job`] with its [`Product`]; nothing else in the way there changes.

use super::compare::{self, AskLoudness};
use super::delivery::{self, Delivery, Order};
use super::listener::{self, AskListener, Listened};
use super::listening::{self, Recorded};
use super::planning::{self, Ask};
use super::played::{self, AskDelay, AskMarks, Played};
use super::proposal::{self, AskMends};
use super::revising::{self, AskOffers};
use super::workshop::{self, AskWhatIf, Idea};
use crate::listen::song::HeardSong;
use crate::solo::{Draft, Offer};
use crate::sound::Lufs;
use crate::sound::loudness::LoudnessError;
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Something to be done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Job {
    /// Draft passes.
    Plan(Box<Ask>),
    /// Write stems.
    Deliver(Box<Order>),
    /// Find what could be changed about a move.
    Offer(Box<AskOffers>),
    /// Find what would end a breach.
    Mend(Box<AskMends>),
    /// Hear a pass as a listener does.
    Listen(Box<AskListener>),
    /// Measure how loud two passes are.
    Measure(Box<[AskLoudness; 2]>),
    /// Find the one change to an instrument that would help a song most.
    WhatIf(Box<AskWhatIf>),
    /// Make a chart of a recording.
    Hear(Box<Recorded>),
    /// Mark a phrase that was played.
    Mark(Box<AskMarks>),
    /// Find how late the device hears itself.
    Delay(Box<AskDelay>),
}

/// What a job gives.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Product {
    /// Passes to choose from.
    Draft(Box<Draft>),
    /// A parcel, whose bytes are on the bench.
    Delivery(Box<Delivery>),
    /// Changes of a move, or those that end a breach.
    Offers(Vec<Offer>),
    /// A pass as a listener hears it.
    Listened(Box<Listened>),
    /// How loud two passes are; nothing for one that is silent.
    Loudness([Option<Lufs>; 2]),
    /// Levers there could be, the best first.
    Ideas(Vec<Idea>),
    /// What was heard of a song.
    Heard(Box<HeardSong>),
    /// A phrase with its marks.
    Marked(Box<Played>),
    /// How late the device hears itself.
    Delay(Seconds),
}

/// Why a job gives nothing, and what to do, in words for the user.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Error)]
#[error("{0}")]
pub struct Refused(pub String);

/// How much of a job is done, 0..=1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Progress(f64);

impl Progress {
    /// Nothing yet.
    pub const NONE: Self = Self(0.0);

    /// `done` of `all`; everything when there is nothing to do.
    #[must_use]
    pub fn of(done: f64, all: f64) -> Self {
        let part = done / all;
        Self(if part.is_finite() { part.clamp(0.0, 1.0) } else { 1.0 })
    }

    /// In whole hundredths, rounded down, so that 100 is said of nothing unfinished.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..=100
    pub fn percent(self) -> u8 {
        (self.0 * 100.0) as u8
    }
}

/// A job on its way to the worker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Posted {
    /// Counts the jobs, so that word of one that is no longer wanted is known.
    pub turn: u32,
    /// The job.
    pub job: Job,
}

/// Word of a job on its way back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Which job.
    pub turn: u32,
    /// The word.
    pub news: News,
}

/// How a job goes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum News {
    /// This far.
    Going(Progress),
    /// To its end.
    Done(Product),
    /// Not at all.
    Refused(Refused),
}

impl News {
    /// Whether nothing more will be told.
    #[must_use]
    pub fn is_last(&self) -> bool {
        !matches!(self, Self::Going(_))
    }
}

/// What a job has at hand while it works.
pub trait Bench {
    /// Tells how far the job is. May be called often: what is too often to show is dropped.
    fn going(&mut self, progress: Progress);

    /// Puts bytes away outside the memory the job works in, at the end of a pile. Piles are counted from 0; what was
    /// put on them becomes one file, a pile behind the other.
    ///
    /// # Errors
    /// When there is no room.
    fn put(&mut self, pile: usize, bytes: &[u8]) -> Result<(), Refused>;
}

/// Does a job.
///
/// # Errors
/// When what is asked can't be done, with what to do instead.
pub fn work(job: &Job, bench: &mut dyn Bench) -> Result<Product, Refused> {
    match job {
        Job::Plan(ask) => planning::plan(ask).map(|draft| Product::Draft(Box::new(draft))),
        Job::Deliver(order) => delivery::deliver(order, bench).map(|parcel| Product::Delivery(Box::new(parcel))),
        Job::Measure(both) => measure(both),
        Job::Hear(recorded) => listening::listen(recorded, bench).map(|song| Product::Heard(Box::new(song))),
        Job::Mark(ask) => played::marks(ask).map(|played| Product::Marked(Box::new(played))),
        Job::Delay(ask) => played::measure(ask).map(Product::Delay),
        Job::Offer(ask) => revising::offers(ask).map(Product::Offers),
        Job::WhatIf(ask) => workshop::what_if(ask, bench).map(Product::Ideas),
        Job::Mend(ask) => proposal::mends(ask).map(Product::Offers),
        Job::Listen(ask) => listener::listen(ask).map(|heard| Product::Listened(Box::new(heard))),
    }
}

fn measure(both: &[AskLoudness; 2]) -> Result<Product, Refused> {
    let [here, there] = both.each_ref().map(compare::loudness);
    let refused = |error: LoudnessError| Refused(error.to_string());
    Ok(Product::Loudness([here.map_err(refused)?, there.map_err(refused)?]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn progress_is_a_part_of_the_whole_and_never_says_100_too_early() {
        assert_eq!(Progress::of(999.0, 1000.0).percent(), 99);
        assert_eq!(Progress::of(3.0, 2.0).percent(), 100);
        assert_eq!(Progress::of(-1.0, 2.0), Progress::NONE);
        assert_eq!(Progress::of(0.0, 0.0).percent(), 100);
    }
}
