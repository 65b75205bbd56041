//! A pass: one try at the solo.
//!
//! *Invariant:* the moves are what is kept; the performance is woven from them when it is needed.

use super::limits::Limits;
use super::moves::Move;
use super::performance::Performance;
use super::request::Request;
use super::weave::weave;
use crate::steel::Instrument;
use crate::theory::{Beats, Tempo};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A list of moves over a chart, and the request that made it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pass {
    /// The moves in order of time; passes that come of one another share those they have in common.
    pub moves: Vec<Arc<Move>>,
    /// What was asked.
    pub request: Request,
    /// Length of the song it is for.
    pub length: Beats,
}

impl Pass {
    /// What the player's hands, feet and knees do.
    #[must_use]
    pub fn performance(&self, instrument: &Instrument, limits: &Limits, tempo: Tempo) -> Performance {
        let strokes: Vec<_> = self.moves.iter().flat_map(|m| m.timed()).collect();
        weave(&strokes, instrument, limits, tempo, self.length)
    }

    /// The move in force at `at`: the last one begun, if it has not ended.
    #[must_use]
    pub fn move_at(&self, at: Beats) -> Option<usize> {
        let after = self.moves.partition_point(|m| m.at <= at);
        after
            .checked_sub(1)
            .filter(|i| self.moves.get(*i).is_some_and(|m| at < m.end()))
    }
}
