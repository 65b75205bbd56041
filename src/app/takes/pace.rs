//! When the song has each beat.

use crate::theory::{Beats, Seconds, SongClock, Tempo, Timeline};

/// The song's beats in time, bar 1 beginning at 0: in the chart's tempo, or as the recording has them.
#[derive(Debug, Clone, PartialEq)]
pub struct Pace {
    tempo: Tempo,
    clock: Option<SongClock>,
}

impl Pace {
    /// That of a song which follows `clock` where there is one.
    #[must_use]
    pub fn of(song: &Timeline, clock: Option<SongClock>) -> Self {
        Self {
            tempo: song.tempo,
            clock,
        }
    }

    /// When a beat is played.
    #[must_use]
    pub fn time(&self, at: Beats) -> Seconds {
        match &self.clock {
            Some(clock) => clock.time(at) - clock.time(Beats::ZERO),
            None => at.at(self.tempo),
        }
    }
}
