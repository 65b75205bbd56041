//! One line of sound out of several takes: at each moment one of them sounds, and where one hands over to the next both
//! are heard for an instant, at equal power.
//!
//! *Invariant:* the line is as long as it was asked to be, whatever it is made of; no handover is a click; outside the
//! handovers a take of the line's own rate comes through sample for sample.
//!
//! It is made block by block: [`Comp::wants`] says what a block needs of which take, [`Comp::mix`] makes the block of
//! that. So no take is ever held in memory as a whole.

mod sinc;

use super::SampleRate;
use super::render::Length;
use crate::theory::Seconds;
use sinc::{REACH, Sinc};
use std::f64::consts::FRAC_PI_2;
use std::ops::Range;

/// How long two takes are heard together where one hands over to the other, and how long a take comes and goes by
/// itself: long enough to be no click, too short to be heard as a fade.
pub const HANDOVER: Seconds = Seconds(0.012);

/// A take as the line needs to know it. Times are those of the song, bar 1 beginning at 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Its rate.
    pub rate: SampleRate,
    /// How many samples it has.
    pub frames: u64,
    /// When its first sample was played.
    pub start: Seconds,
    /// When it begins to be of use.
    pub from: Seconds,
    /// When it ends to be of use.
    pub to: Seconds,
}

/// From this moment on this take sounds, or none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// When, in the song.
    pub at: Seconds,
    /// Which, counted from 0.
    pub source: Option<usize>,
}

/// What a block needs: these samples of this take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Want {
    /// Which take, counted from 0.
    pub source: usize,
    /// Which of its samples.
    pub frames: Range<u64>,
}

/// A stretch that one take sounds in. All moments are in samples of the line.
#[derive(Debug, Clone)]
struct Piece {
    source: usize,
    frames: u64,
    /// Where the take's first sample falls.
    begins: f64,
    /// Samples of the take in one of the line.
    pace: f64,
    /// Where it begins to come, and to go.
    rise: f64,
    fall: f64,
    fade: f64,
    sinc: Option<Sinc>,
}

/// The line.
#[derive(Debug, Clone)]
pub struct Comp {
    length: Length,
    pieces: Vec<Piece>,
}

impl Comp {
    /// A line of `length` at `rate`. The cuts are in order of time; before the first there is silence.
    #[must_use]
    pub fn new(sources: &[Source], cuts: &[Cut], rate: SampleRate, length: Length) -> Self {
        let mut pieces: Vec<Piece> = Vec::new();
        for (index, cut) in cuts.iter().enumerate() {
            let changes = index == 0 || cuts.get(index - 1).is_none_or(|before| before.source != cut.source);
            let Some((number, source)) = cut.source.and_then(|n| Some((n, sources.get(n)?))) else {
                continue;
            };
            if !changes {
                continue;
            }
            let rest = cuts.get(index..).unwrap_or_default();
            let end = rest
                .iter()
                .find(|later| later.source != cut.source)
                .map(|later| later.at);
            pieces.extend(Piece::new(
                (number, source),
                cut.at..end.unwrap_or(source.to),
                rate,
                length,
            ));
        }
        Self { length, pieces }
    }

    /// How long it is.
    #[must_use]
    pub fn length(&self) -> Length {
        self.length
    }

    /// What a block needs.
    #[must_use]
    pub fn wants(&self, block: &Range<u64>) -> Vec<Want> {
        self.pieces.iter().filter_map(|piece| piece.want(block)).collect()
    }

    /// Makes a block of what [`Self::wants`] said of it, in the same order. A sample that is missing is silent.
    pub fn mix(&self, block: &Range<u64>, given: &[Vec<f32>], out: &mut Vec<f32>) {
        out.clear();
        out.resize(usize::try_from(block.end - block.start).unwrap_or(0), 0.0);
        let wanted = self.pieces.iter().filter_map(|piece| Some((piece, piece.want(block)?)));
        for ((piece, want), samples) in wanted.zip(given) {
            piece.add(block.start, want.frames.start, samples, out);
        }
    }
}

impl Piece {
    /// The stretch of the song in which a take sounds; nothing where the take has nothing there.
    #[allow(clippy::cast_precision_loss)]
    fn new(
        (number, source): (usize, &Source),
        stretch: Range<Seconds>,
        rate: SampleRate,
        length: Length,
    ) -> Option<Self> {
        let frame = |time: Seconds| rate.samples(time) + length.bar_one as f64;
        let fade = rate.samples(HANDOVER);
        let same = (source.rate.0 - rate.0).abs() < 1e-9;
        let begins = frame(source.start);
        // Half a sample is nothing beside what a device's delay is known to; and the sound stays as it is.
        let begins = if same { begins.round() } else { begins };
        let pace = source.rate.0 / rate.0;
        let ends = begins + source.frames as f64 / pace;
        let rise = (frame(stretch.start) - fade / 2.0).max(frame(source.from)).max(begins);
        let last = frame(source.to).min(ends) - fade;
        let fall = (frame(stretch.end) - fade / 2.0).min(last);
        (rise < fall).then(|| Self {
            source: number,
            frames: source.frames,
            begins,
            pace,
            rise,
            fall,
            fade,
            sinc: (!same).then(|| Sinc::new(pace)),
        })
    }

    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "moments of a song, in samples"
    )]
    fn want(&self, block: &Range<u64>) -> Option<Want> {
        let from = (block.start as f64).max(self.rise);
        let to = (block.end as f64).min(self.fall + self.fade);
        if from >= to {
            return None;
        }
        let place = |at: f64| (at - self.begins) * self.pace;
        let frames = |at: f64| at.clamp(0.0, self.frames as f64) as u64;
        let reach = REACH as f64;
        Some(Want {
            source: self.source,
            frames: frames((place(from) - reach).floor())..frames((place(to) + reach).ceil()),
        })
    }

    /// Adds its part of a block; `samples` begin with the take's sample `first`.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
    fn add(&self, start: u64, first: u64, samples: &[f32], out: &mut [f32]) {
        for (n, sample) in out.iter_mut().enumerate() {
            let at = start as f64 + n as f64;
            if at < self.rise || at >= self.fall + self.fade {
                continue;
            }
            let place = (at - self.begins) * self.pace - first as f64;
            let heard = match &self.sinc {
                Some(sinc) => sinc.read(samples, place),
                None => taken(samples, place),
            };
            *sample += self.gain(at) * heard;
        }
    }

    /// Equal power: the squares of what goes and what comes are one together.
    #[allow(clippy::cast_possible_truncation)]
    fn gain(&self, at: f64) -> f32 {
        let part = |from: f64| FRAC_PI_2 * ((at - from) / self.fade).clamp(0.0, 1.0);
        (part(self.rise).sin() * part(self.fall).cos()) as f32
    }
}

/// The sample at a whole place; silence outside.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn taken(samples: &[f32], place: f64) -> f32 {
    if place < 0.0 {
        return 0.0;
    }
    samples.get(place.round() as usize).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests;
