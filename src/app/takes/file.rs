//! A take or the comp as a sound file: as long as the stems, beginning with them.

use crate::exchange::wave::{self, Encoder, Format, Stamp, WaveError, Width};
use crate::sound::Decibels;
use crate::words::Said;
use crc32fast::Hasher;
use serde::{Deserialize, Serialize};

/// A file that lies beside the stems.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Named {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub about: Said,
    /// Its bytes.
    pub size: u64,
    /// Its CRC-32; 0 while it is not written.
    pub checksum: u32,
    /// Its highest sample.
    pub peak: Decibels,
}

impl Named {
    /// A file that is not written yet.
    #[must_use]
    pub fn new(name: String, about: Said, size: u64) -> Self {
        Self {
            name,
            about,
            size,
            checksum: 0,
            peak: Decibels(0.0),
        }
    }
}

/// A file whose samples are being written: one channel of 24 bits.
#[derive(Debug, Clone)]
pub struct WaveFile {
    format: Format,
    encoder: Encoder,
    checksum: Hasher,
    frames: u64,
    peak: f32,
}

/// A file's ends, once its samples are known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finished {
    /// What stands before the samples.
    pub head: Vec<u8>,
    /// What stands after them.
    pub foot: &'static [u8],
}

impl WaveFile {
    /// The form of such a file.
    #[must_use]
    pub fn format(rate: u32) -> Format {
        Format {
            rate,
            channels: 1,
            width: Width::Pcm24,
        }
    }

    /// An empty one.
    #[must_use]
    pub fn new(rate: u32) -> Self {
        let format = Self::format(rate);
        Self {
            format,
            encoder: Encoder::new(format),
            checksum: Hasher::new(),
            frames: 0,
            peak: 0.0,
        }
    }

    /// The bytes of the next samples.
    #[must_use]
    pub fn add(&mut self, samples: Vec<f32>) -> Vec<u8> {
        self.peak = samples.iter().fold(self.peak, |most, x| most.max(x.abs()));
        self.frames += samples.len() as u64;
        let mut bytes = Vec::new();
        self.encoder.encode(&[samples], &mut bytes);
        self.checksum.update(&bytes);
        bytes
    }

    /// The file's ends; writes into `named` what is known of it now.
    ///
    /// # Errors
    /// When it is longer than such a file can be.
    pub fn finish(mut self, stamp: &Stamp, named: &mut Named) -> Result<Finished, WaveError> {
        let foot = wave::foot(self.format, self.frames);
        self.checksum.update(foot);
        let head = wave::head(self.format, self.frames, stamp)?;
        let mut checksum = Hasher::new();
        checksum.update(&head);
        checksum.combine(&self.checksum);
        named.checksum = checksum.finalize();
        named.size = self.format.size(self.frames);
        named.peak = Decibels::of_gain(f64::from(self.peak));
        Ok(Finished { head, foot })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::moment::Moment;

    #[test]
    fn what_is_known_of_a_file_is_true_of_its_bytes() {
        let mut file = WaveFile::new(48_000);
        let mut body = file.add(vec![0.25; 1000]);
        body.extend(file.add(vec![-0.5; 501]));
        let stamp = Stamp {
            description: "Take 1".to_owned(),
            reference: "take.wav".to_owned(),
            written: Moment::EARLIEST,
            from: 0,
            loudness: None,
        };
        let mut named = Named::new("take.wav".to_owned(), Said::default(), 0);
        let ends = file.finish(&stamp, &mut named).expect("short");
        let whole = [ends.head.as_slice(), &body, ends.foot].concat();
        assert_eq!(named.size, whole.len() as u64);
        assert_eq!(named.checksum, crc32fast::hash(&whole));
        assert!((named.peak.0 + 6.02).abs() < 0.01);
        assert_eq!(&whole[..4], b"RIFF");
    }
}
