//! Rendering a song to stems, away from any clock: the player's own parts, block after block.
//!
//! Everything is computed twice. The first time is only listened to ([`Levels::of`]): how far each stem's wave goes
//! and how loud the mix is. The second time ([`Render`]) each stem is written at the level found. The same brief gives
//! the same samples, so the levels fit exactly, and no stem is ever held in memory as a whole.
//!
//! *Invariant:* all stems of a brief begin at the same moment and have the same length; what is heard together lies on
//! the same sample, as the drive pedal's delay is taken out.
//!
//! | file | what it is |
//! |---|---|
//! | `source` | the stems as they come, at no particular level |
//! | `levels` | the first time: the level of each stem |
//! | `curve` | the gain of the mix over time: loudness reached, peaks held |

mod curve;
mod levels;
mod source;

pub use levels::{Levels, STEM_PEAK};

use super::amp::Amp;
use super::loudness::{LoudnessError, Lufs};
use super::mix::{Decibels, Mix};
use super::score::Score;
use crate::sound::rate::SampleRate;
use crate::theory::{Beats, Seconds, Timeline};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use source::Source;
use thiserror::Error;

/// How long everything may ring on after the last beat; the last second of it fades out.
pub const TAIL: Seconds = Seconds(4.0);

/// The highest point of the mix's wave, between samples too (dBTP).
pub const MIX_PEAK: Decibels = Decibels(-1.0);

/// Samples that are computed at a time.
const BLOCK: usize = 4096;

/// What can be rendered by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stem {
    /// The strings as the pickup hears them, after the volume pedal.
    DirectClean,
    /// The same through the clean amplifier.
    AmpClean,
    /// The strings after the drive pedal, without an amplifier.
    DirectDriven,
    /// The same through the driven amplifier.
    AmpDriven,
    /// Everything but the steel, and the count.
    Backing,
    /// All of it together, to hear how it is meant.
    Mix,
}

impl Stem {
    /// All of them, in the order in which they are delivered.
    pub const ALL: [Self; 6] = [
        Self::DirectClean,
        Self::AmpClean,
        Self::DirectDriven,
        Self::AmpDriven,
        Self::Backing,
        Self::Mix,
    ];

    /// How many channels it has: the steel one, what holds the band two.
    #[must_use]
    pub fn channels(self) -> usize {
        match self {
            Self::Backing | Self::Mix => 2,
            _ => 1,
        }
    }
}

/// Everything a render depends on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Brief {
    /// What is played.
    pub score: Score,
    /// Samples a second.
    pub rate: SampleRate,
    /// How many bars are counted before the first; 0..=4.
    pub count_in: u8,
    /// The stems wanted, each once.
    pub stems: Vec<Stem>,
    /// The levels of the parts; the master does not count.
    pub mix: Mix,
    /// The clean amplifier.
    pub clean: Amp,
    /// The driven amplifier; its pedal is that of the direct driven stem.
    pub driven: Amp,
    /// Whether the mix has the driven steel instead of the clean one.
    pub mix_driven: bool,
    /// How loud the mix is to be.
    pub loudness: Lufs,
}

/// How long the stems are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Length {
    /// Samples in each channel.
    pub frames: u64,
    /// The sample on which bar 1 begins: the length of the count-in.
    pub bar_one: u64,
}

impl Length {
    /// The length of a song at its own tempo with `count_in` bars before it.
    #[must_use]
    pub fn of(timeline: &Timeline, performed: Beats, count_in: u8, rate: SampleRate) -> Self {
        let song = timeline.length().max(performed);
        Self::lasting(
            counted(timeline, count_in).at(timeline.tempo),
            song.at(timeline.tempo),
            rate,
        )
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a song has a length of its own sign
    fn lasting(before: Seconds, song: Seconds, rate: SampleRate) -> Self {
        // A millionth of a sample is rounding.
        let frames = |time: Seconds| (rate.samples(time) - 1e-6).ceil().max(0.0) as u64;
        Self {
            frames: frames(Seconds(before.0 + song.0 + TAIL.0)),
            bar_one: frames(before),
        }
    }
}

/// The bars that are counted before the song.
fn counted(timeline: &Timeline, count_in: u8) -> Beats {
    let bar = timeline.bars.first().map_or(Beats::ZERO, |bar| bar.metre.bar());
    bar.scaled(f64::from(count_in.min(4)))
}

impl Brief {
    /// How long each stem will be: in the time of the recording that the song follows, if it follows one.
    #[must_use]
    pub fn length(&self) -> Length {
        let Score {
            timeline,
            performance,
            clock,
            ..
        } = &self.score;
        let Some(clock) = clock else {
            return Length::of(timeline, performance.length, self.count_in, self.rate);
        };
        let start = clock.time(Beats::ZERO);
        let before = start - clock.time(-counted(timeline, self.count_in));
        let song = clock.time(timeline.length().max(performance.length)) - start;
        Length::lasting(before, song, self.rate)
    }

    /// # Errors
    /// When nothing could come of it.
    fn check(&self) -> Result<(), RenderError> {
        if self.stems.is_empty() {
            return Err(RenderError::NoStem);
        }
        if self.score.timeline.bars.is_empty() {
            return Err(RenderError::NoBars);
        }
        let fits = |rate: f64| (8_000.0..=192_000.0).contains(&rate);
        if !fits(self.rate.0) {
            return Err(RenderError::Rate(self.rate.0));
        }
        Ok(())
    }
}

/// Why nothing can be rendered.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", self.said().english())]
pub enum RenderError {
    /// No stem is asked for.
    NoStem,
    /// The song is empty.
    NoBars,
    /// Not a sample rate.
    Rate(f64),
    /// The mix can't be measured.
    Loudness(#[from] LoudnessError),
}

impl RenderError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NoStem => said!("no stem is chosen: choose at least one"),
            Self::NoBars => said!("the song has no bars: write a few in the chart, such as 1 4 5 1"),
            Self::Rate(rate) => said!(
                "{rate} samples a second can't be rendered: choose 44,100 or 48,000",
                rate
            ),
            Self::Loudness(error) => error.said(),
        }
    }
}

/// One stem's samples in a block, a channel after another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wave {
    /// The channels, of equal length.
    pub channels: Vec<Vec<f32>>,
}

/// The stems, levelled, a block at a time.
#[derive(Debug)]
pub struct Render {
    source: Source,
    levels: Levels,
    waves: Vec<Wave>,
}

impl Render {
    /// The beginning of a render at levels that were found for the same brief.
    ///
    /// # Errors
    /// When nothing could come of the brief.
    pub fn new(brief: &Brief, levels: Levels) -> Result<Self, RenderError> {
        brief.check()?;
        Ok(Self {
            source: Source::new(brief),
            levels,
            waves: Vec::new(),
        })
    }

    /// How many samples have been given, of all.
    #[must_use]
    pub fn done(&self) -> (u64, u64) {
        self.source.done()
    }

    /// The next block, one wave for each stem in the order of the brief; nothing at the end.
    pub fn next_block(&mut self) -> Option<&[Wave]> {
        let (from, _) = self.source.done();
        if !self.source.next_block(&mut self.waves) {
            return None;
        }
        self.levels.apply(from, &mut self.waves);
        Some(&self.waves)
    }
}
