//! What is to be played: instrument, performance and song.

use super::band::pattern::Pattern;
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{SongClock, Tempo, Timeline};
use serde::{Deserialize, Serialize};

/// Playing speed as a part of the chart's tempo: 1 is as written, 0.5 half as fast. Pitch does not follow it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Speed(pub f64);

impl Speed {
    /// As written.
    pub const FULL: Self = Self(1.0);

    /// The tempo this speed makes of `written`; the speed is kept within 0.1..=4.
    #[must_use]
    pub fn of(self, written: Tempo) -> Tempo {
        Tempo(written.0 * self.0.clamp(0.1, 4.0))
    }
}

/// Everything the player needs for one song with one solo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// The instrument the performance is for.
    pub instrument: Instrument,
    /// What hands, feet and knees do.
    pub performance: Performance,
    /// The song: bars and chords for the band, tempo for both.
    pub timeline: Timeline,
    /// Chooses how the band is humanised: same seed, same band.
    pub seed: u64,
    /// The band's groove; the shipped one that fits the song when absent.
    #[serde(default)]
    pub pattern: Option<Pattern>,
    /// When a recording has each beat; the song follows it instead of the chart's tempo.
    #[serde(default)]
    pub clock: Option<SongClock>,
}

impl Score {
    /// A score of these three, with seed 1.
    #[must_use]
    pub fn new(instrument: Instrument, performance: Performance, timeline: Timeline) -> Self {
        Self {
            instrument,
            performance,
            timeline,
            seed: 1,
            pattern: None,
            clock: None,
        }
    }

    /// A score of a song with a performance, or with a silent steel, in the time of a recording where there is one.
    #[must_use]
    pub fn over(
        song: &Timeline,
        instrument: &Instrument,
        performance: Option<&Performance>,
        clock: Option<SongClock>,
    ) -> Self {
        let silent = || Performance::silent(song.length(), instrument.changes.len());
        let performance = performance.map_or_else(silent, Performance::clone);
        Self {
            clock,
            ..Self::new(instrument.clone(), performance, song.clone())
        }
    }
}
