//! Sound files whose samples lie in them as they are, read piece by piece: the whole of a long one is never held.
//!
//! Layout: Microsoft and IBM, "Multimedia Programming Interface and Data Specifications 1.0" (1991), for RIFF, WAVE and
//! its format chunk; Microsoft, `WAVEFORMATEXTENSIBLE`, for the longer form of that chunk.
//!
//! *Invariant:* whatever the bytes, reading them takes time and memory in proportion to their number.

use crate::theory::Seconds;
use std::ops::Range;

/// So many bytes from a file's beginning hold what is before the samples, in any file but odd ones.
pub const HEAD: usize = 64 * 1024;

/// Codes of the format chunk.
const WHOLE: u16 = 1;
const FLOATING: u16 = 3;
const EXTENSIBLE: u16 = 0xFFFE;
/// Rates that music is recorded at, in samples a second.
const RATES: std::ops::RangeInclusive<u32> = 8_000..=384_000;

/// How one sample lies in the file, smallest byte first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lies {
    Whole16,
    Whole24,
    Whole32,
    Float32,
}

impl Lies {
    fn bytes(self) -> usize {
        match self {
            Self::Whole16 => 2,
            Self::Whole24 => 3,
            Self::Whole32 | Self::Float32 => 4,
        }
    }

    /// The sample in -1..=1; silence for what is no number.
    fn read(self, bytes: &[u8]) -> f32 {
        let whole = |bytes: [u8; 4]| {
            #[allow(clippy::cast_precision_loss)]
            let full = -(i32::MIN as f32);
            #[allow(clippy::cast_precision_loss)]
            let value = i32::from_le_bytes(bytes) as f32;
            value / full
        };
        match (self, bytes) {
            (Self::Whole16, [a, b]) => whole([0, 0, *a, *b]),
            (Self::Whole24, [a, b, c]) => whole([0, *a, *b, *c]),
            (Self::Whole32, [a, b, c, d]) => whole([*a, *b, *c, *d]),
            (Self::Float32, [a, b, c, d]) => {
                let value = f32::from_le_bytes([*a, *b, *c, *d]);
                if value.is_finite() { value } else { 0.0 }
            }
            _ => 0.0,
        }
    }
}

/// Where a file's samples are and how they lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Samples a second in each channel.
    pub rate: u32,
    /// The bytes of the file that hold them: whole frames.
    pub bytes: Range<u64>,
    channels: u16,
    lies: Lies,
}

impl Stored {
    /// What the beginning of a file of `size` bytes says; nothing where it is no file of plain samples, or the samples
    /// do not begin within it.
    #[must_use]
    pub fn of(head: &[u8], size: u64) -> Option<Self> {
        let [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'A', b'V', b'E', ..] = head else {
            return None;
        };
        let mut at = 12_usize;
        let mut format = None;
        loop {
            let chunk = head.get(at..)?;
            let (name, rest) = chunk.split_first_chunk::<4>()?;
            let (length, body) = rest.split_first_chunk::<4>()?;
            let length = u32::from_le_bytes(*length);
            match name {
                b"fmt " => format = Some(Self::format(body.get(..length as usize)?)?),
                b"data" => {
                    let (rate, channels, lies) = format?;
                    let from = u64::try_from(at).ok()? + 8;
                    let frame = u64::from(channels) * lies.bytes() as u64;
                    // A file that was still being written, or is longer than its sizes can say, ends where it ends.
                    let there = size.checked_sub(from)?;
                    let held = if length == 0 || length == u32::MAX {
                        there
                    } else {
                        there.min(u64::from(length))
                    };
                    return Some(Self {
                        rate,
                        bytes: from..from + held / frame * frame,
                        channels,
                        lies,
                    });
                }
                _ => {}
            }
            // Chunks begin at even places.
            at = at
                .checked_add(8)?
                .checked_add(length as usize)?
                .checked_add(length as usize % 2)?;
        }
    }

    fn format(chunk: &[u8]) -> Option<(u32, u16, Lies)> {
        let word = |at: usize| Some(u16::from_le_bytes([*chunk.get(at)?, *chunk.get(at + 1)?]));
        let rate = u32::from(word(4)?) | u32::from(word(6)?) << 16;
        let channels = word(2)?;
        let code = match word(0)? {
            // The longer form has the code at the head of its sub-format.
            EXTENSIBLE => word(24)?,
            code => code,
        };
        let lies = match (code, word(14)?) {
            (WHOLE, 16) => Lies::Whole16,
            (WHOLE, 24) => Lies::Whole24,
            (WHOLE, 32) => Lies::Whole32,
            (FLOATING, 32) => Lies::Float32,
            _ => return None,
        };
        let sound = RATES.contains(&rate) && (1..=64).contains(&channels);
        let frame = usize::from(channels) * lies.bytes();
        (sound && usize::from(word(12)?) == frame).then_some((rate, channels, lies))
    }

    /// Bytes of one sample of each channel.
    #[must_use]
    pub fn frame(&self) -> usize {
        usize::from(self.channels) * self.lies.bytes()
    }

    /// How long it is.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn length(&self) -> Seconds {
        let frames = (self.bytes.end - self.bytes.start) / self.frame() as u64;
        Seconds(frames as f64 / f64::from(self.rate))
    }

    /// The mean of the first two channels, frame by frame, of bytes that begin with a frame.
    pub fn mono<'a>(&'a self, bytes: &'a [u8]) -> impl Iterator<Item = f32> + 'a {
        let taken = self.channels.min(2);
        bytes.chunks_exact(self.frame()).map(move |frame| {
            let channels = frame.chunks_exact(self.lies.bytes()).take(usize::from(taken));
            channels.map(|sample| self.lies.read(sample)).sum::<f32>() / f32::from(taken)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Encoder, Format, Width, foot, head};
    use super::*;
    use proptest::prelude::*;

    fn file(width: Width, channels: u16, frames: &[f32]) -> Vec<u8> {
        let format = Format {
            rate: 44_100,
            channels,
            width,
        };
        let count = frames.len() as u64 / u64::from(channels);
        let mut bytes = head(format, count, &super::super::tests::stamp()).expect("a file");
        let apart: Vec<Vec<f32>> = (0..usize::from(channels))
            .map(|channel| {
                frames
                    .iter()
                    .copied()
                    .skip(channel)
                    .step_by(usize::from(channels))
                    .collect()
            })
            .collect();
        Encoder::new(format).encode(&apart, &mut bytes);
        bytes.extend(foot(format, count));
        bytes
    }

    #[test]
    fn what_this_program_writes_is_read_back() {
        let frames: Vec<f32> = (0..400_u16).map(|n| (f32::from(n) * 0.03).sin() * 0.5).collect();
        for width in [Width::Pcm16, Width::Pcm24, Width::Float32] {
            for channels in [1, 2] {
                let bytes = file(width, channels, &frames);
                let stored = Stored::of(&bytes, bytes.len() as u64).expect("a file of samples");
                assert_eq!(
                    (stored.rate, stored.frame()),
                    (44_100, usize::from(channels * width.bits() / 8))
                );
                let range = stored.bytes.start as usize..stored.bytes.end as usize;
                let read: Vec<f32> = stored.mono(&bytes[range]).collect();
                assert_eq!(read.len(), frames.len() / usize::from(channels));
                let meant = frames
                    .chunks_exact(usize::from(channels))
                    .map(|f| f.iter().sum::<f32>() / f.len() as f32);
                for (read, meant) in read.iter().zip(meant) {
                    assert!((read - meant).abs() < 1e-4, "{width:?} {channels}: {read} {meant}");
                }
            }
        }
    }

    #[test]
    fn sizes_that_lie_end_where_the_file_ends() {
        let mut bytes = file(Width::Pcm16, 2, &[0.1; 64]);
        let at = bytes.windows(4).position(|w| w == b"data").unwrap() + 4;
        for lie in [0_u32, u32::MAX, 1 << 30] {
            bytes[at..at + 4].copy_from_slice(&lie.to_le_bytes());
            let stored = Stored::of(&bytes, bytes.len() as u64).unwrap();
            assert!(stored.bytes.end <= bytes.len() as u64 && !stored.bytes.is_empty());
        }
        assert_eq!(Stored::of(b"RIFF....WAVE", 12), None);
        assert_eq!(Stored::of(b"fLaC", 4), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_bytes_are_read_or_refused(noise in proptest::collection::vec(any::<u8>(), 0..200), cut in 0_usize..120, size: u64) {
            let mut bytes = file(Width::Pcm16, 2, &[0.1; 32]);
            bytes.truncate(cut);
            bytes.extend(&noise);
            if let Some(stored) = Stored::of(&bytes, size) {
                prop_assert!(stored.bytes.start <= stored.bytes.end && stored.bytes.end <= size);
                prop_assert!(stored.length().0.is_finite());
                prop_assert!(stored.mono(&bytes).all(f32::is_finite));
            }
        }
    }
}
