//! Keys.

use super::pitch::NoteName;
use serde::{Deserialize, Serialize};

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mode {
    /// Numbers count from the tonic's major scale.
    #[default]
    Major,
    /// The tonic is minor.
    Minor,
}

/// The key of a song: what the numbers count from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Key {
    /// The note called 1.
    pub tonic: NoteName,
    /// Its mode. Numbers count from the tonic's **major** scale in both.
    pub mode: Mode,
}
