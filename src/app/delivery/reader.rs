//! Whom a delivery's sheet is written for: it is written where no message file is, so the words go with the order.

use crate::theory::Naming;
use crate::words::{Language, Words};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The words of whoever orders, and what they call notes. English and letters where nothing is said.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reader {
    language: Language,
    sentences: BTreeMap<String, String>,
    naming: Naming,
}

impl Reader {
    /// The reader of these words.
    #[must_use]
    pub fn of(words: &Words, naming: Naming) -> Self {
        Self {
            language: words.language(),
            sentences: words.sentences().clone(),
            naming,
        }
    }

    /// Their words again.
    pub(super) fn words(&self) -> Words {
        Words::carried(self.language, self.sentences.clone()).spelling(self.naming.spelling())
    }
}
