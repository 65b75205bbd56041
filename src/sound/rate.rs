//! How often there is a sample, and how many are computed at once.

use crate::theory::Seconds;
use serde::{Deserialize, Serialize};

/// Samples between two settings of pitch and loss; everything moves in straight lines between.
pub const STEP: usize = 32;

/// Samples in a second, as the audio device asks for them.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SampleRate(pub f64);

impl SampleRate {
    /// How many samples last `time`.
    #[must_use]
    pub fn samples(self, time: Seconds) -> f64 {
        time.0 * self.0
    }
}
