//! Choices a player's own instrument may differ in: pedal order, the forms of a lever, another string.

use super::Instrument;
use super::change::{ChangeId, Control, Pull};
use super::strings::{StringNumber, StringSpec};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Something players have in different ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Choice {
    /// Short name in files and links.
    pub id: String,
    /// What the player reads.
    pub label: String,
    /// The ways; the first is how the instrument is written.
    pub options: Vec<ChoiceOption>,
}

/// One way. Everything it names replaces what is there, so that options can be taken in any order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChoiceOption {
    /// Short name in files and links.
    pub id: String,
    /// What the player reads.
    pub label: String,
    /// What works which change.
    pub controls: Vec<(ChangeId, Control)>,
    /// What changes pull.
    pub pulls: Vec<(ChangeId, Vec<Pull>)>,
    /// How strings are strung.
    pub strings: Vec<(StringNumber, StringSpec)>,
}

/// Why an option cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ChoiceError {
    /// No such choice.
    #[error("{instrument} leaves no choice called \"{choice}\"")]
    Choice {
        /// The instrument's name.
        instrument: String,
        /// What was asked for.
        choice: String,
    },
    /// No such option.
    #[error("\"{choice}\" cannot be \"{option}\"; it can be {}", .known.join(", "))]
    Option {
        /// The choice's label.
        choice: String,
        /// What was asked for.
        option: String,
        /// The options' ids.
        known: Vec<String>,
    },
}

impl ChoiceOption {
    fn apply(&self, instrument: &mut Instrument) {
        for (id, control) in &self.controls {
            if let Some(change) = instrument.changes.get_mut(id.index()) {
                change.control = *control;
            }
        }
        for (id, pulls) in &self.pulls {
            if let Some(change) = instrument.changes.get_mut(id.index()) {
                change.pulls.clone_from(pulls);
            }
        }
        for (number, spec) in &self.strings {
            if let Some(string) = instrument.strings.get_mut(number.index()) {
                string.clone_from(spec);
            }
        }
    }

    /// Whether `instrument` is already this way.
    #[must_use]
    pub fn holds_for(&self, instrument: &Instrument) -> bool {
        let mut other = instrument.clone();
        self.apply(&mut other);
        other == *instrument
    }
}

impl Instrument {
    /// This instrument with `option` of `choice` taken. Change ids stay as they are.
    ///
    /// # Errors
    /// When there is no such choice or option.
    pub fn with_option(&self, choice: &str, option: &str) -> Result<Self, ChoiceError> {
        let found = self.choices.iter().find(|c| c.id == choice);
        let found = found.ok_or_else(|| ChoiceError::Choice {
            instrument: self.name.clone(),
            choice: choice.to_owned(),
        })?;
        let way = found.options.iter().find(|o| o.id == option);
        let way = way.ok_or_else(|| ChoiceError::Option {
            choice: found.label.clone(),
            option: option.to_owned(),
            known: found.options.iter().map(|o| o.id.clone()).collect(),
        })?;
        let mut changed = self.clone();
        way.apply(&mut changed);
        Ok(changed)
    }
}
