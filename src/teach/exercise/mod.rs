//! Exercises: what can be asked, with its parameters, so that there is always another one like it.
//!
//! *Invariant:* the same exercise and seed give the same task, on any machine.

mod kind;
pub(in crate::teach) mod params;

pub use kind::Kind;

use crate::theory::{Key, Numeral, Tempo};
use serde::{Deserialize, Serialize};

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
}
