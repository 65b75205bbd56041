//! Questions to the planner and its answers, as they travel between the page and its worker.

use super::feels;
use crate::solo::{Brief, Draft, Request, draft};
use crate::steel::Instrument;
use crate::theory::Timeline;
use serde::{Deserialize, Serialize};

/// What is to be planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Counts the questions, so that an answer that is no longer wanted is known.
    pub turn: u32,
    /// The song.
    pub song: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// The wish, with the changes the instrument has not got among the avoided.
    pub request: Request,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Answer {
    /// Passes to choose from.
    Drafted {
        /// Which question this answers.
        turn: u32,
        /// The passes.
        draft: Draft,
    },
    /// Nothing can be drafted.
    Refused {
        /// Which question this answers.
        turn: u32,
        /// Why, and what to do.
        words: String,
    },
}

/// Plans.
#[must_use]
pub fn answer(ask: &Ask) -> Answer {
    let Ask {
        turn,
        song,
        instrument,
        request,
    } = ask;
    let turn = *turn;
    let (Some(feel), Some(limits)) = (feels::by_id(&request.feel), feels::limits()) else {
        let words = "the attitudes that come with the page can't be read: load the page again".to_owned();
        return Answer::Refused { turn, words };
    };
    let brief = Brief {
        timeline: song,
        instrument,
        feel,
        limits,
        request,
    };
    match draft(&brief) {
        Ok(draft) => Answer::Drafted { turn, draft },
        Err(error) => Answer::Refused {
            turn,
            words: error.to_string(),
        },
    }
}
