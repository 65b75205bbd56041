//! Questions to the planner.

use super::bench::Refused;
use super::feels;
use crate::solo::{Brief, Draft, Request, draft};
use crate::steel::Instrument;
use crate::theory::Timeline;
use serde::{Deserialize, Serialize};

/// What is to be planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// The song.
    pub song: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// The wish, with the changes the instrument has not got among the avoided.
    pub request: Request,
}

/// Plans.
///
/// # Errors
/// When nothing can be drafted.
pub fn plan(ask: &Ask) -> Result<Draft, Refused> {
    let Ask {
        song,
        instrument,
        request,
    } = ask;
    let (Some(feel), Some(limits)) = (feels::wanted(request), feels::limits(request.level)) else {
        return Err(feels::unread());
    };
    let brief = Brief {
        timeline: song,
        instrument,
        feel: &feel,
        limits,
        request,
    };
    draft(&brief).map_err(|error| Refused(error.said()))
}
