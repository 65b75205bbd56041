//! What work done away from the page has at hand, whatever the work: how far it is, where its bytes go, why not.
//!
//! *Invariant:* knows no job; [`super::jobs`] knows them all.

use crate::words::Said;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why a job gives nothing, and what to do, in words for the user.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Error)]
#[error("{}", .0.english())]
pub struct Refused(pub Said);

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
