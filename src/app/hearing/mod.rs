//! A chart that was heard of a recording, being corrected before it becomes the song.
//!
//! *Invariant:* the work in hand changes only by [`Hearing::command`]; until then nothing of it is touched, and
//! afterwards one step of undo brings it back.

mod kept;
mod shown;

pub use shown::{Candidate, HeardCard, Sureness};

use super::backing_song::BackingSong;
use super::command::Command;
use super::history::{History, Weighed};
use crate::listen::song::{Correction, HeardSong};
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Bars from one mark of the recording to the next: few enough to read, near enough for a tempo that wavers.
const MARKED: usize = 4;

/// The recording that was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// The file's name.
    pub name: String,
    /// What the recording itself is kept under on the device.
    pub key: String,
    /// How long it is.
    pub length: Seconds,
}

/// What was heard, as it has been corrected so far.
#[derive(Debug, Clone)]
pub struct Hearing {
    source: Source,
    song: HeardSong,
    history: History<HeardSong>,
}

impl Weighed for HeardSong {
    fn weight(&self) -> usize {
        // What the beats say is shared by most states, and counted once in a while only.
        size_of::<Self>() + 64 * self.beats.len() + 256 * self.bars.len()
    }
}

impl Hearing {
    /// What was heard of a recording.
    #[must_use]
    pub fn new(source: Source, song: HeardSong) -> Self {
        Self {
            source,
            song,
            history: History::default(),
        }
    }

    /// The recording.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// The song as it is corrected.
    #[must_use]
    pub fn song(&self) -> &HeardSong {
        &self.song
    }

    /// Corrects something; what changes nothing leaves no trace.
    pub fn correct(&mut self, correction: Correction) {
        let next = self.song.corrected(correction);
        if next != self.song {
            self.history.keep(std::mem::replace(&mut self.song, next), None);
        }
    }

    /// Takes back the last correction.
    pub fn undo(&mut self) {
        self.step(History::back);
    }

    /// Does again what was taken back.
    pub fn redo(&mut self) {
        self.step(History::forward);
    }

    fn step(&mut self, walk: fn(&mut History<HeardSong>, HeardSong) -> Result<HeardSong, HeardSong>) {
        let (Ok(song) | Err(song)) = walk(&mut self.history, self.song.clone());
        self.song = song;
    }

    /// Whether there is a correction to take back.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.history.can_go_back()
    }

    /// Whether there is one to do again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.history.can_go_forward()
    }

    /// The chart as it would be written, named after the file.
    #[must_use]
    pub fn chart(&self) -> String {
        let mut chart = self.song.chart();
        let name = self
            .source
            .name
            .rsplit_once('.')
            .map_or(&*self.source.name, |(name, _)| name);
        let name = name.replace(['"', '\n', '\r', '_'], " ");
        let words: Vec<&str> = name.split_whitespace().collect();
        if !words.is_empty() {
            chart.title = Some(words.join(" "));
        }
        chart.to_string()
    }

    /// The recording as what plays behind the song: every fourth bar is marked, and the last one.
    #[must_use]
    pub fn backing(&self) -> BackingSong {
        let Source { name, key, length } = self.source.clone();
        let mut backing = BackingSong::new(name, key, length);
        let last = self.song.bars.len().saturating_sub(1);
        for (bar, heard) in self.song.bars.iter().enumerate() {
            if bar.is_multiple_of(MARKED) || bar == last {
                backing.mark(bar, heard.at);
            }
        }
        backing
    }

    /// Makes it the song, with its recording behind it.
    #[must_use]
    pub fn command(&self) -> Command {
        Command::OpenHeard {
            chart: self.chart(),
            recording: Arc::new(self.backing()),
        }
    }
}

#[cfg(test)]
mod tests;
