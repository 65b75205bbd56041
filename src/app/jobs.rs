//! Work that is done away from the page: what may be asked, and what is told back.
//!
//! *Invariant:* one job is told of in this order: how far it is, as often as it likes, then exactly once that it is
//! done or refused. A new kind of work is a new [`Job`] with its [`Product`]; nothing else in the way there changes.

use super::bench::{Bench, Progress, Refused};
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
    let refused = |error: LoudnessError| Refused(error.said());
    Ok(Product::Loudness([here.map_err(refused)?, there.map_err(refused)?]))
}
