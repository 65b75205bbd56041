//! What the microphone hears while a take is played, packed as it comes.
//!
//! *Invariant:* a sample lies where the sound's clock says it was heard, whatever blocks were lost; and no more than a
//! chunk of it is ever in memory.

use super::{MOST_PEAKS, RATES};
use crate::exchange::wave::{Encoder, Format, Width};
use crate::sound::SampleRate;
use crate::theory::Seconds;
use serde::{Deserialize, Serialize};

/// The longest take. One that is forgotten while it records does not fill the device.
pub const LONGEST: Seconds = Seconds(20.0 * 60.0);
/// Samples in each chunk but the last: about eleven seconds.
pub const CHUNK: u64 = 1 << 19;
/// Bytes of a sample: whole numbers of 24 bits, as in the files.
const BYTES: usize = 3;
/// Points of the picture in a second, while it is not known how long the take will be.
const PEAKS_A_SECOND: f64 = 10.0;
/// From this part of full scale on, a sample counts as cut off.
const FULL: f32 = 0.999;

/// A take in the making.
#[derive(Debug, Clone)]
pub struct Recorder {
    rate: SampleRate,
    encoder: Encoder,
    /// The sample of the sound's clock that it begins at.
    begins: Option<f64>,
    frames: u64,
    chunk: Vec<u8>,
    peaks: Vec<u8>,
    clipped: bool,
}

/// What is known of a take once it is over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// Its rate.
    pub rate: SampleRate,
    /// How many samples it has.
    pub frames: u64,
    /// When its first sample was heard, in the song's time.
    pub at: Seconds,
    /// How far its wave goes, in equal steps.
    pub peaks: Vec<u8>,
    /// Whether it was too loud for its scale.
    pub clipped: bool,
}

impl Heard {
    /// How long it is.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // samples of a few minutes
    pub fn length(&self) -> Seconds {
        Seconds(self.frames as f64 / self.rate.0)
    }

    /// Whether it can be what it says.
    pub(super) fn is_sane(&self) -> bool {
        RATES.contains(&self.rate.0)
            && self.length() <= LONGEST
            && self.at.0.abs() < LONGEST.0
            && self.peaks.len() <= MOST_PEAKS
    }
}

impl Recorder {
    /// Nothing yet.
    #[must_use]
    pub fn new(rate: SampleRate) -> Self {
        let width = Width::Pcm24;
        Self {
            rate,
            encoder: Encoder::new(Format {
                rate: 0,
                channels: 1,
                width,
            }),
            begins: None,
            frames: 0,
            chunk: Vec::new(),
            peaks: Vec::new(),
            clipped: false,
        }
    }

    /// Takes the next block, which begins at the sample `at` of the sound's clock, and gives the chunks that are full
    /// with it. Where blocks were lost there is silence; what comes after the longest take is dropped.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "samples of a few minutes"
    )]
    pub fn take(&mut self, at: f64, block: &[f32]) -> Vec<Vec<u8>> {
        let begins = *self.begins.get_or_insert(at);
        let place = (at - begins).max(0.0) as u64;
        let most = self.rate.samples(LONGEST) as u64;
        let mut full = Vec::new();
        if place < self.frames || place + block.len() as u64 > most {
            return full;
        }
        while self.frames < place {
            let gap = (place - self.frames).min(4096) as usize;
            self.put(&vec![0.0; gap], &mut full);
        }
        self.put(block, &mut full);
        full
    }

    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "within full scale, and places in the picture"
    )]
    fn put(&mut self, samples: &[f32], full: &mut Vec<Vec<u8>>) {
        let whole = CHUNK as usize * BYTES;
        let mut rest = samples;
        while !rest.is_empty() {
            let room = (whole - self.chunk.len()) / BYTES;
            let (now, later) = rest.split_at(room.min(rest.len()));
            self.encoder.encode(&[now.to_vec()], &mut self.chunk);
            if self.chunk.len() == whole {
                full.push(std::mem::take(&mut self.chunk));
            }
            rest = later;
        }
        let top = samples.iter().map(|x| x.abs()).fold(0.0, f32::max);
        self.clipped |= top >= FULL;
        let point = (self.frames as f64 / self.rate.0 * PEAKS_A_SECOND) as usize;
        if self.peaks.len() <= point {
            self.peaks.resize(point + 1, 0);
        }
        if let Some(peak) = self.peaks.get_mut(point) {
            *peak = (*peak).max((top * 255.0).min(255.0) as u8);
        }
        self.frames += samples.len() as u64;
    }

    /// Whether anything was heard.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.frames == 0
    }

    /// How long it is by now.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn length(&self) -> Seconds {
        Seconds(self.frames as f64 / self.rate.0)
    }

    /// Ends the take: what is known of it, and its last chunk. `song` is the song's time that is heard at the sample
    /// `frame` of the sound's clock. Nothing where nothing was heard.
    #[must_use]
    pub fn finish(self, song: Seconds, frame: f64) -> Option<(Heard, Vec<u8>)> {
        let heard = self.so_far(song, frame)?;
        Some((heard, self.chunk))
    }

    /// What is known of it by now, as [`Self::finish`] would say it.
    #[must_use]
    pub fn so_far(&self, song: Seconds, frame: f64) -> Option<Heard> {
        let begins = self.begins.filter(|_| self.frames > 0)?;
        Some(Heard {
            rate: self.rate,
            frames: self.frames,
            at: song + Seconds((begins - frame) / self.rate.0),
            peaks: fold(&self.peaks, MOST_PEAKS),
            clipped: self.clipped,
        })
    }

    /// The bytes of the chunk that is not full yet.
    #[must_use]
    pub fn rest(&self) -> &[u8] {
        &self.chunk
    }
}

/// A picture with at most so many points: each stands for the highest of those it covers.
fn fold(peaks: &[u8], most: usize) -> Vec<u8> {
    let each = peaks.len().div_ceil(most).max(1);
    peaks
        .chunks(each)
        .map(|part| part.iter().copied().max().unwrap_or(0))
        .collect()
}

/// The samples of a chunk, 1 being full scale.
#[must_use]
pub fn unpack(chunk: &[u8]) -> Vec<f32> {
    const FULL_SCALE: f32 = 8_388_607.0;
    let (samples, _) = chunk.as_chunks::<BYTES>();
    #[allow(clippy::cast_precision_loss)] // 24 bits are exact
    let sample = |[low, middle, high]: &[u8; BYTES]| (i32::from_le_bytes([0, *low, *middle, *high]) >> 8) as f32;
    samples.iter().map(|bytes| sample(bytes) / FULL_SCALE).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: SampleRate = SampleRate(48_000.0);

    #[test]
    fn what_is_heard_comes_back_in_24_bits_and_at_its_place() {
        let mut recorder = Recorder::new(RATE);
        let mut chunks = Vec::new();
        let wave = |n: usize| ((n % 977) as f32 / 977.0 - 0.5) * 0.9;
        let blocks = 1200;
        for n in 0..blocks {
            // One block is lost.
            if n != 7 {
                let block: Vec<f32> = (0..1024).map(|i| wave(n * 1024 + i)).collect();
                chunks.extend(recorder.take(96_000.0 + 1024.0 * n as f64, &block));
            }
        }
        // The song's second 3 is heard two seconds after the recording began.
        let (heard, last) = recorder.finish(Seconds(3.0), 96_000.0 + 96_000.0).expect("heard");
        assert_eq!(chunks.len(), 2);
        assert!(chunks.iter().all(|chunk| chunk.len() as u64 == CHUNK * 3));
        chunks.push(last);
        let samples: Vec<f32> = chunks.iter().flat_map(|chunk| unpack(chunk)).collect();
        assert_eq!(
            (samples.len() as u64, heard.frames),
            (heard.frames, 1024 * blocks as u64)
        );
        for (n, sample) in samples.iter().enumerate() {
            let want = if n / 1024 == 7 { 0.0 } else { wave(n) };
            assert!((sample - want).abs() < 1e-6, "sample {n}");
        }
        assert!((heard.at.0 - 1.0).abs() < 1e-9 && !heard.clipped);
        assert!(heard.peaks.len() <= MOST_PEAKS && heard.peaks.iter().all(|p| *p > 100));
    }

    #[test]
    fn a_forgotten_take_ends_and_an_empty_one_is_none() {
        assert_eq!(Recorder::new(RATE).finish(Seconds(0.0), 0.0), None);
        let mut recorder = Recorder::new(RATE);
        recorder.take(0.0, &[1.0; 10]);
        assert!(recorder.take(1e12, &[0.5; 10]).is_empty());
        let (heard, _) = recorder.finish(Seconds(0.0), 0.0).expect("heard");
        assert_eq!((heard.frames, heard.clipped), (10, true));
    }

    #[test]
    fn full_scale_unpacks_to_full_scale() {
        assert_eq!(unpack(&[0xff, 0xff, 0x7f, 0x01, 0x00, 0x80, 0, 0, 0]), [1.0, -1.0, 0.0]);
    }
}
