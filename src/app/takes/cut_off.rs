//! A take whose page was left while it was recorded: what is written down as it comes, and what can be had of it again.

use super::recorder::{CHUNK, Heard};
use crate::app::looped::LoopBars;
use crate::app::shelf::SongId;
use crate::exchange::json;
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};

/// What is known of a take while it is recorded. Where its samples end is told by what there is of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Begun {
    /// The song's name on this device, as it writes itself.
    song: String,
    bars: LoopBars,
    delay: Option<Seconds>,
    heard: Heard,
}

impl Begun {
    /// What is known by now.
    #[must_use]
    pub fn new(song: SongId, bars: LoopBars, delay: Option<Seconds>, heard: Heard) -> Self {
        Self {
            song: song.to_string(),
            bars,
            delay,
            heard,
        }
    }

    /// Whether it was played over that song.
    #[must_use]
    pub fn is_of(&self, song: SongId) -> bool {
        self.song == song.to_string()
    }

    /// As text.
    #[must_use]
    pub fn text(&self) -> String {
        // Numbers, names and lists of them: there is nothing in it that can't be written.
        json::text(self)
    }

    /// What that text says; nothing where it says nothing.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    /// The take with as many samples as were kept. Nothing where none were, or where it can't be.
    #[must_use]
    pub fn ended(self, frames: u64) -> Option<(Heard, LoopBars, Option<Seconds>)> {
        let heard = Heard { frames, ..self.heard };
        let can_be = frames > 0 && heard.is_sane() && self.bars.from <= self.bars.to;
        can_be.then_some((heard, self.bars, self.delay))
    }
}

/// How many samples there are in so many whole chunks, and the bytes of one that was not full.
#[must_use]
pub fn frames_of(chunks: u64, rest_bytes: u64) -> u64 {
    chunks.saturating_mul(CHUNK).saturating_add(rest_bytes / 3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sound::SampleRate;

    fn begun() -> Begun {
        let heard = Heard {
            rate: SampleRate(48_000.0),
            frames: 96_000,
            at: Seconds(-1.5),
            peaks: vec![3, 200, 7],
            clipped: false,
        };
        Begun::new(
            SongId::new(0xfeed),
            LoopBars { from: 2, to: 9 },
            Some(Seconds(0.08)),
            heard,
        )
    }

    #[test]
    fn what_was_written_down_is_read_back_for_its_song_alone() {
        let read = Begun::read(&begun().text()).expect("its own text");
        assert_eq!(read, begun());
        assert!(read.is_of(SongId::new(0xfeed)) && !read.is_of(SongId::new(0xfeee)));
        assert_eq!(Begun::read("{\"song\":1}"), None);
    }

    #[test]
    fn a_take_is_as_long_as_what_was_kept_of_it() {
        let frames = frames_of(2, 3 * 1000 + 2);
        assert_eq!(frames, 2 * CHUNK + 1000);
        let (heard, bars, delay) = begun().ended(frames).expect("something was kept");
        assert_eq!((heard.frames, bars.from, delay), (frames, 2, Some(Seconds(0.08))));
        assert_eq!(begun().ended(0), None);
        let wild = Begun::read(&begun().text().replace("-1.5", "1e300")).expect("numbers");
        assert_eq!(wild.ended(frames), None);
        assert_eq!(begun().ended(u64::MAX), None);
    }
}
