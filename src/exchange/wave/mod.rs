//! Sound files: RIFF WAVE with a broadcast extension, written in pieces.
//!
//! What comes before the samples ([`head`]) may be asked for when the samples are already written: it holds what is
//! known only then. Layout: Microsoft and IBM, "Multimedia Programming Interface and Data Specifications 1.0" (1991),
//! for RIFF and WAVE; EBU Tech 3285 for the extension.
//!
//! *Invariant:* head, samples and [`foot`] together are exactly [`Format::size`] bytes, for any number of samples.

mod bext;
mod encode;
mod reading;

pub use bext::{HISTORY, Stamp};
pub use encode::Encoder;
pub use reading::{HEAD, Stored};

use crate::words::Said;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// How a sample is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Width {
    /// Whole numbers of 16 bits, with dither.
    Pcm16,
    /// Whole numbers of 24 bits.
    Pcm24,
    /// Floating point of 32 bits.
    Float32,
}

impl Width {
    /// Bits of a sample.
    #[must_use]
    pub fn bits(self) -> u16 {
        match self {
            Self::Pcm16 => 16,
            Self::Pcm24 => 24,
            Self::Float32 => 32,
        }
    }

    fn bytes(self) -> u16 {
        self.bits() / 8
    }

    /// The code of the format chunk: whole numbers, or floating point.
    fn code(self) -> u16 {
        match self {
            Self::Pcm16 | Self::Pcm24 => 1,
            Self::Float32 => 3,
        }
    }
}

/// The form of a file's samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Format {
    /// Samples a second in each channel.
    pub rate: u32,
    /// Channels.
    pub channels: u16,
    /// How a sample is written.
    pub width: Width,
}

/// Why there can be no such file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum WaveError {
    /// The sizes in a WAVE file have 32 bits.
    TooLong(u16),
}

impl WaveError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLong(what) => said!(
                "the song is too long for a sound file of {what} bits: choose fewer bits, or deliver it in parts",
                what
            ),
        }
    }
}

impl Format {
    /// Bytes of one sample of each channel.
    fn frame(self) -> u16 {
        self.channels * self.width.bytes()
    }

    fn data(self, frames: u64) -> u64 {
        frames * u64::from(self.frame())
    }

    /// Bytes of the whole file with so many samples in each channel.
    #[must_use]
    pub fn size(self, frames: u64) -> u64 {
        let data = self.data(frames);
        self.head_size() + data + data % 2
    }

    /// Bytes before the first sample.
    #[must_use]
    pub fn head_size(self) -> u64 {
        let (format, fact) = match self.width {
            Width::Float32 => (18, 12),
            Width::Pcm16 | Width::Pcm24 => (16, 0),
        };
        // RIFF and WAVE; then each chunk with its name and length.
        12 + (8 + bext::SIZE) + (8 + format) + fact + 8
    }
}

/// Everything before the samples.
///
/// # Errors
/// When the file would be longer than its own size field can say.
pub fn head(format: Format, frames: u64, stamp: &Stamp) -> Result<Vec<u8>, WaveError> {
    let fits = |size: u64| u32::try_from(size).map_err(|_| WaveError::TooLong(format.width.bits()));
    let riff = fits(format.size(frames) - 8)?;
    let data = fits(format.data(frames))?;
    let mut out = Vec::with_capacity(usize::try_from(format.head_size()).unwrap_or(0));
    out.extend_from_slice(b"RIFF");
    out.extend_from_slice(&riff.to_le_bytes());
    out.extend_from_slice(b"WAVE");
    bext::write(stamp, format, &mut out);
    write_format(format, &mut out);
    if format.width == Width::Float32 {
        out.extend_from_slice(b"fact");
        out.extend_from_slice(&4_u32.to_le_bytes());
        out.extend_from_slice(&fits(frames)?.to_le_bytes());
    }
    out.extend_from_slice(b"data");
    out.extend_from_slice(&data.to_le_bytes());
    Ok(out)
}

/// What follows the samples: a chunk of an odd length is filled up.
#[must_use]
pub fn foot(format: Format, frames: u64) -> &'static [u8] {
    if format.data(frames) % 2 == 1 { &[0] } else { &[] }
}

fn write_format(format: Format, out: &mut Vec<u8>) {
    let Format { rate, channels, width } = format;
    let size: u32 = if width == Width::Float32 { 18 } else { 16 };
    out.extend_from_slice(b"fmt ");
    out.extend_from_slice(&size.to_le_bytes());
    out.extend_from_slice(&width.code().to_le_bytes());
    out.extend_from_slice(&channels.to_le_bytes());
    out.extend_from_slice(&rate.to_le_bytes());
    out.extend_from_slice(&(rate * u32::from(format.frame())).to_le_bytes());
    out.extend_from_slice(&format.frame().to_le_bytes());
    out.extend_from_slice(&width.bits().to_le_bytes());
    if width == Width::Float32 {
        // No extension.
        out.extend_from_slice(&0_u16.to_le_bytes());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::moment::Moment;

    pub(super) fn stamp() -> Stamp {
        Stamp {
            description: "Gr\u{fc}n".to_owned(),
            reference: "take 1".to_owned(),
            written: Moment::EARLIEST,
            from: 172_800_000,
            loudness: None,
        }
    }

    fn number(bytes: &[u8], at: usize) -> u32 {
        u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap())
    }

    #[test]
    fn every_file_is_as_long_as_was_said_and_as_it_says_itself() {
        for width in [Width::Pcm16, Width::Pcm24, Width::Float32] {
            for channels in [1, 2] {
                for frames in [0, 1, 2, 1001] {
                    let format = Format {
                        rate: 48_000,
                        channels,
                        width,
                    };
                    let mut file = head(format, frames, &stamp()).unwrap();
                    assert_eq!(file.len() as u64, format.head_size());
                    assert_eq!(number(&file, file.len() - 4) as u64, frames * u64::from(format.frame()));
                    let silence = vec![vec![0.0; frames as usize]; channels as usize];
                    Encoder::new(format).encode(&silence, &mut file);
                    file.extend_from_slice(foot(format, frames));
                    assert_eq!(file.len() as u64, format.size(frames));
                    assert_eq!(number(&file, 4) as usize, file.len() - 8);
                    assert_eq!(file.len() % 2, 0);
                }
            }
        }
    }

    #[test]
    fn the_extension_says_where_the_file_begins() {
        // EBU Tech 3285: 256 description, 32 originator, 32 reference, 10 date, 8 time, then the time reference.
        let format = Format {
            rate: 48_000,
            channels: 1,
            width: Width::Pcm24,
        };
        let file = head(format, 10, &stamp()).unwrap();
        assert_eq!(&file[12..16], b"bext");
        let body = 20;
        assert_eq!(&file[body..body + 5], b"Gr?n\0");
        assert_eq!(&file[body + 256..body + 263], b"Leadbar");
        assert_eq!(&file[body + 320..body + 338], b"1980-01-0100:00:00");
        assert_eq!(number(&file, body + 338), 172_800_000);
        assert_eq!(file[body + 346], 2);
    }

    #[test]
    fn a_file_that_could_not_say_its_size_is_refused() {
        let format = Format {
            rate: 48_000,
            channels: 2,
            width: Width::Float32,
        };
        let error = head(format, 1 << 29, &stamp()).unwrap_err();
        assert!(error.to_string().contains("32 bits"));
    }
}
