//! Exercises: what can be asked, with its parameters, so that there is always another one like it.
//!
//! An [`Exercise`] and a seed draw a [`Task`]; the task asks, shows, is heard, hints, and marks an [`Answer`]:
//!
//! ```
//! use leadbar::teach::exercise::{Answer, Exercise, Kind};
//! let task = Exercise::of(Kind::FindChord).task(7).unwrap();
//! assert!(task.mark(&task.model_answer()).is_right());
//! let nothing = task.mark(&Answer::Places(Vec::new()));
//! assert!(nothing.next_step().is_some_and(|next| *next == "Hold the next one."));
//! ```
//!
//! *Invariant:* the same exercise and seed give the same task, on any machine.

mod answer;
mod beats;
mod draw;
mod hearing;
mod holding;
mod kind;
mod lowest;
mod mark;
mod naming;
pub(in crate::teach) mod params;
mod pedals;
mod phrase;
mod places;
mod setting;
mod task;
#[cfg(test)]
mod tests;

pub use answer::Answer;
pub use kind::Kind;
pub use mark::{Criterion, Mark, Points, Spot};
pub use setting::Setting;
pub use task::{Heard, Input, Shown, Task, TaskError};

use crate::steel::Instrument;
use crate::theory::{Key, Numeral, Tempo};
use draw::Draw;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use task::Ask;

/// What is asked: a kind and its parameters. Those left out are drawn by the seed from what suits the kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// The kind.
    pub kind: Kind,
    /// The keys it may be in; empty for any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keys: Vec<Key>,
    /// The numbers it may be about; empty for the usual ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chords: Vec<Numeral>,
    /// The bars it is over, as numbers without a heading: "1 4 5 1".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chart: Option<String>,
    /// Id of the instrument; the default one where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// The pedals and levers it may be about, by name; empty for all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<String>,
    /// How many bars it takes, 1..=8.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bars: Option<u8>,
    /// How many different answers are wanted, 1..=4.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub places: Option<u8>,
    /// How fast, 40..=200.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tempo: Option<Tempo>,
}

impl Exercise {
    /// An exercise of a kind with nothing fixed.
    #[must_use]
    pub fn of(kind: Kind) -> Self {
        Self {
            kind,
            keys: Vec::new(),
            chords: Vec::new(),
            chart: None,
            instrument: None,
            changes: Vec::new(),
            bars: None,
            places: None,
            tempo: None,
        }
    }

    /// The task that `seed` draws, on the instrument the exercise names or the default one.
    ///
    /// # Errors
    /// When the instrument is unknown or cannot do it.
    pub fn task(&self, seed: u64) -> Result<Task, TaskError> {
        self.task_on(&draw::instrument(self)?, seed)
    }

    /// The task that `seed` draws on this instrument.
    ///
    /// # Errors
    /// When the instrument cannot do it.
    pub fn task_on(&self, instrument: &Instrument, seed: u64) -> Result<Task, TaskError> {
        let draw = Draw::new(self, seed);
        let (setting, ask) = match self.kind {
            Kind::NameChord => made(naming::Naming::draw(draw, instrument, true)),
            Kind::NameNumber => made(naming::Naming::draw(draw, instrument, false)),
            Kind::SpotWrong => made(naming::SpotWrong::draw(draw, instrument)),
            Kind::FindChord => made(places::FindChord::draw(draw, instrument)),
            Kind::Inversions => made(places::Inversions::draw(draw, instrument)),
            Kind::HearChange => made(hearing::HearChange::draw(draw, instrument)),
            Kind::HearNumber => made(hearing::HearNumber::draw(draw, instrument)),
            Kind::HearInversion => made(lowest::HearInversion::draw(draw, instrument)),
            Kind::FollowByEar => made(hearing::Follow::draw(draw, instrument)),
            Kind::VoiceLead => made(places::VoiceLead::draw(draw, instrument)),
            Kind::FixBar => made(phrase::FixBar::draw(draw, instrument)),
            Kind::PutPedals => made(pedals::PutPedals::draw(draw, instrument)),
            Kind::Entrance => made(phrase::Entrance::draw(draw, instrument)),
            Kind::Climb => made(phrase::Climb::draw(draw, instrument)),
            Kind::Answer => made(phrase::Reply::draw(draw, instrument)),
            Kind::Variation => made(phrase::Variation::draw(draw, instrument)),
            Kind::Ending => made(phrase::End::draw(draw, instrument)),
            Kind::TuneBeats => made(beats::TuneBeats::draw(draw, instrument)),
        }?;
        let exercise = self.clone();
        Ok(Task {
            exercise,
            seed,
            setting,
            ask,
        })
    }
}

/// A draw of any kind as a task holds it.
fn made<A: Ask + 'static>(drawn: Result<(Setting, A), TaskError>) -> Result<(Setting, Arc<dyn Ask>), TaskError> {
    drawn.map(|(setting, ask)| (setting, Arc::new(ask) as Arc<dyn Ask>))
}
