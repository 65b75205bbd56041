//! Delivery: a take as stems for a studio, all in one parcel with a text sheet.
//!
//! *Invariant:* the same order gives the same bytes; no stem is held in memory as a whole, its bytes are put away as
//! they come.

mod names;
mod played;
mod reader;
mod sheet;
mod stem_file;

pub use played::Played;
pub use reader::Reader;
pub use sheet::about;

use super::bench::{Bench, Progress, Refused};
use super::passes::{Chosen, Shown};
use super::takes::Named;
use crate::exchange::moment::Moment;
use crate::exchange::parcel::{Parcel, ParcelError};
use crate::exchange::wave::{Format, WaveError, Width};
use crate::sound::loudness::{Loudness, Lufs};
use crate::sound::mix::Decibels;
use crate::sound::rate::SampleRate;
use crate::sound::render::{Brief, Levels, Render, RenderError, Stem};
use crate::steel::Instrument;
use crate::theory::{Seconds, Timeline};
use crate::words::Said;
use names::Names;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use stem_file::StemFile;
use thiserror::Error;

/// Where bar 1 lies on the session's clock: a file can't begin before midnight, so a count-in needs room before it.
/// One hour is the usual beginning of a session. Common practice, no source.
pub const SESSION_START: Seconds = Seconds(3600.0);

/// Samples a second of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Rate {
    /// 44.1 kHz.
    #[serde(rename = "44100")]
    Disc,
    /// 48 kHz.
    #[default]
    #[serde(rename = "48000")]
    Studio,
}

impl Rate {
    /// In hertz.
    #[must_use]
    pub fn hertz(self) -> u32 {
        match self {
            Self::Disc => 44_100,
            Self::Studio => 48_000,
        }
    }
}

/// What the user wants delivered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Wishes {
    /// Which stems.
    pub stems: Vec<Stem>,
    /// Samples a second.
    pub rate: Rate,
    /// How a sample is written.
    pub width: Width,
    /// Whether a bar is counted in.
    pub count_in: bool,
    /// How loud the mix is to be.
    pub loudness: Lufs,
    /// Whether what the player recorded goes with the stems.
    pub played: bool,
}

impl Default for Wishes {
    fn default() -> Self {
        Self {
            stems: Stem::ALL.to_vec(),
            rate: Rate::Studio,
            width: Width::Pcm24,
            count_in: true,
            loudness: Self::LOUDNESS[1],
            played: true,
        }
    }
}

impl Wishes {
    /// The loudnesses to choose from: loud as streaming services play, usual for a reference, and as broadcast asks
    /// (EBU R 128).
    pub const LOUDNESS: [Lufs; 3] = [Lufs(-14.0), Lufs(-16.0), Lufs(-23.0)];

    /// The wishes with each stem once, in order, and a loudness within reason.
    #[must_use]
    pub fn sane(mut self) -> Self {
        self.stems.sort_unstable();
        self.stems.dedup();
        if !(-40.0..=-8.0).contains(&self.loudness.0) {
            self.loudness = Self::default().loudness;
        }
        self
    }
}

/// One line of what is played.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakeLine {
    /// The bar, counted from 1.
    pub bar: usize,
    /// What happens there, and why.
    pub words: Said,
}

impl TakeLine {
    /// The lines of a take.
    #[must_use]
    pub fn of(shown: &Shown, song: &Timeline, instrument: &Instrument) -> Vec<Self> {
        let line = |(index, line): (usize, &super::passes::MoveLine)| Self {
            bar: line.bar,
            words: Said::joined([Said::of(line.name), shown.why(index, song, instrument)], ": "),
        };
        shown.moves.iter().enumerate().map(line).collect()
    }
}

/// Everything a delivery depends on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Order {
    /// The song's name.
    pub title: Option<String>,
    /// Its chart as it is written.
    pub chart: Arc<str>,
    /// Which take.
    pub take: Chosen,
    /// What the page calls it.
    pub take_words: Said,
    /// What is played in it.
    pub notes: Vec<TakeLine>,
    /// What the user wants.
    pub wishes: Wishes,
    /// What is rendered; its stems, rate, count-in and loudness follow the wishes.
    pub brief: Brief,
    /// When it is ordered, by the user's own clock.
    pub written: Moment,
    /// In whose words the sheet is.
    pub reader: Reader,
    /// What the player recorded, written beforehand: its bytes are put in by whoever has them ([`Delivery::gaps`]).
    #[serde(default)]
    pub played: Vec<Named>,
}

/// A file that will be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Planned {
    /// Its stem; the text sheet and what was played have none.
    pub stem: Option<Stem>,
    /// Its name.
    pub name: String,
    /// Its bytes; of the sheet nothing is known before.
    pub size: u64,
}

/// A stem that was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Written {
    /// Which.
    pub stem: Stem,
    /// Its file.
    pub name: String,
    /// Its highest sample.
    pub peak: Decibels,
    /// By how much it was raised to that.
    pub raised: Decibels,
}

/// What was delivered. The bytes are where [`Bench::put`] put them: the piles in order, one behind the other, are the
/// parcel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Delivery {
    /// What the parcel is called.
    pub name: String,
    /// Its bytes.
    pub size: u64,
    /// The stems in it.
    pub files: Vec<Written>,
    /// How loud the mix is, if there is one.
    pub loudness: Option<Loudness>,
    /// Where in the bytes that were put away those of each file of [`Order::played`] belong, in order.
    pub gaps: Vec<u64>,
}

/// Why nothing can be delivered.
#[derive(Debug, Error)]
enum DeliveryError {
    #[error(transparent)]
    Render(#[from] RenderError),
    #[error(transparent)]
    Wave(#[from] WaveError),
    #[error(transparent)]
    Parcel(#[from] ParcelError),
    #[error(transparent)]
    Bench(#[from] Refused),
}

impl DeliveryError {
    fn said(&self) -> Said {
        match self {
            Self::Render(error) => error.said(),
            Self::Wave(error) => error.said(),
            Self::Parcel(error) => error.said(),
            Self::Bench(Refused(said)) => said.clone(),
        }
    }
}

impl Order {
    /// The order with its brief as the wishes have it.
    #[must_use]
    pub fn settled(mut self) -> Self {
        self.wishes = self.wishes.sane();
        let Wishes {
            stems,
            rate,
            count_in,
            loudness,
            ..
        } = &self.wishes;
        self.brief.stems.clone_from(stems);
        self.brief.rate = SampleRate(f64::from(rate.hertz()));
        self.brief.count_in = u8::from(*count_in);
        self.brief.loudness = *loudness;
        self
    }

    /// What will be written.
    #[must_use]
    pub fn planned(&self) -> Vec<Planned> {
        let frames = self.brief.length().frames;
        let names = self.names();
        let stem = |stem: &Stem| Planned {
            stem: Some(*stem),
            name: names.stem(*stem),
            size: self.format(*stem).size(frames),
        };
        let sheet = Planned {
            stem: None,
            name: names.sheet(),
            size: 0,
        };
        let played = self.played.iter().map(|file| Planned {
            stem: None,
            name: file.name.clone(),
            size: file.size,
        });
        self.brief.stems.iter().map(stem).chain(played).chain([sheet]).collect()
    }

    /// What the parcel will be called.
    #[must_use]
    pub fn parcel_name(&self) -> String {
        self.names().parcel()
    }

    /// How long each stem is, in minutes and seconds.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn length_words(&self) -> String {
        let seconds = (self.brief.length().frames as f64 / self.brief.rate.0).ceil();
        format!("{}:{:02}", (seconds / 60.0).floor(), seconds % 60.0)
    }

    fn names(&self) -> Names {
        let song = &self.brief.score.timeline;
        Names::new(self.title.as_deref(), self.take, song.key, song.tempo)
    }

    fn format(&self, stem: Stem) -> Format {
        Format {
            rate: self.wishes.rate.hertz(),
            #[allow(clippy::cast_possible_truncation)] // one or two
            channels: stem.channels() as u16,
            width: self.wishes.width,
        }
    }
}

/// Renders and writes an order. The parcel's bytes go to piles: two for each file (what stands before its bytes, then
/// the bytes), and one for what ends it.
///
/// # Errors
/// When nothing could come of it, with what to do instead.
pub fn deliver(order: &Order, bench: &mut dyn Bench) -> Result<Delivery, Refused> {
    write_out(order, bench).map_err(|error| Refused(error.said()))
}

fn write_out(order: &Order, bench: &mut dyn Bench) -> Result<Delivery, DeliveryError> {
    check_size(order)?;
    let levels = Levels::of(&order.brief, |done, all| bench.going(progress(done, all, 0)))?;
    let raised: Vec<Decibels> = (0..order.brief.stems.len()).map(|i| levels.raised(i)).collect();
    let names = order.names();
    let mut files = Vec::new();
    for (pile, stem) in order.brief.stems.iter().enumerate() {
        files.push(StemFile::new(
            *stem,
            order.format(*stem),
            order.brief.rate,
            2 * pile + 1,
        )?);
    }
    let mut render = Render::new(&order.brief, levels)?;
    while let Some(block) = render.next_block() {
        for (file, wave) in files.iter_mut().zip(block) {
            file.add(wave, bench)?;
        }
        let (done, all) = render.done();
        bench.going(progress(done, all, 1));
    }

    let mut parcel = Parcel::new(order.written);
    let mut delivery = Delivery {
        name: names.parcel(),
        size: 0,
        files: Vec::new(),
        loudness: None,
        gaps: Vec::new(),
    };
    for (index, (file, raised)) in files.into_iter().zip(raised).enumerate() {
        let (stem, name) = (file.stem(), names.stem(file.stem()));
        let done = file.finish(order, &name, bench)?;
        let mut before = parcel.add(&name, done.size, done.checksum)?;
        before.extend_from_slice(&done.head);
        bench.put(2 * index, &before)?;
        delivery.loudness = delivery.loudness.or(done.loudness);
        delivery.files.push(Written {
            stem,
            name,
            peak: done.peak,
            raised,
        });
    }
    let sheet = sheet::sheet(order, &delivery);
    let mut next = 2 * delivery.files.len();
    let mut left_out = 0;
    for Named {
        name, size, checksum, ..
    } in &order.played
    {
        bench.put(next, &parcel.add(name, *size, *checksum)?)?;
        next += 1;
        left_out += size;
        delivery.gaps.push(parcel.laid() - left_out);
    }
    let before = parcel.add(&names.sheet(), sheet.len() as u64, crc32fast::hash(sheet.as_bytes()))?;
    bench.put(next, &before)?;
    bench.put(next + 1, sheet.as_bytes())?;
    delivery.size = parcel.size();
    bench.put(next + 2, &parcel.close())?;
    Ok(delivery)
}

/// Refuses what could not be put in one parcel before any time is spent on it.
fn check_size(order: &Order) -> Result<(), DeliveryError> {
    let mut parcel = Parcel::new(order.written);
    for Planned { name, size, .. } in order.planned() {
        parcel.add(&name, size, 0)?;
    }
    Ok(())
}

/// A size as one reads it: 340 kB, 12.5 MB, 1.2 GB.
#[must_use]
#[allow(clippy::cast_precision_loss)]
pub fn size_words(bytes: u64) -> Said {
    match bytes as f64 {
        b if b < 1e6 => Said::from(format_args!("{:.0} kB", (b / 1e3).ceil())),
        b if b < 1e9 => Said::number(format_args!("{:.1} MB", b / 1e6)),
        b => Said::number(format_args!("{:.1} GB", b / 1e9)),
    }
}

/// Each of the two times over the song is half of the work.
#[allow(clippy::cast_precision_loss)]
fn progress(done: u64, all: u64, time: u64) -> Progress {
    Progress::of((time * all + done) as f64, (2 * all) as f64)
}

#[cfg(test)]
mod tests;
