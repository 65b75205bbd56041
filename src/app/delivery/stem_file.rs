//! One stem on its way into its file.

use super::{DeliveryError, Order, SESSION_START};
use crate::app::bench::Bench;
use crate::exchange::wave::{self, Encoder, Format, Stamp};
use crate::sound::loudness::{Loudness, LoudnessError, Meter};
use crate::sound::mix::Decibels;
use crate::sound::rate::SampleRate;
use crate::sound::render::{RenderError, Stem, Wave};
use crc32fast::Hasher;

/// Bytes that are gathered before they are put away.
const GATHERED: usize = 1 << 20;

/// A stem whose samples are being written.
pub(super) struct StemFile {
    stem: Stem,
    format: Format,
    encoder: Encoder,
    /// Where its bytes are put.
    pile: usize,
    gathered: Vec<u8>,
    checksum: Hasher,
    frames: u64,
    peak: f32,
    meter: Option<Meter>,
}

/// What is known of a stem when it is written.
pub(super) struct Done {
    /// What stands in the file before the samples.
    pub(super) head: Vec<u8>,
    /// Bytes of the whole file.
    pub(super) size: u64,
    /// Its CRC-32.
    pub(super) checksum: u32,
    pub(super) peak: Decibels,
    pub(super) loudness: Option<Loudness>,
}

impl StemFile {
    pub(super) fn new(stem: Stem, format: Format, rate: SampleRate, pile: usize) -> Result<Self, DeliveryError> {
        let meter = match stem {
            Stem::Mix => Some(Meter::new(rate).map_err(RenderError::from)?),
            _ => None,
        };
        Ok(Self {
            stem,
            format,
            encoder: Encoder::new(format),
            pile,
            gathered: Vec::with_capacity(GATHERED),
            checksum: Hasher::new(),
            frames: 0,
            peak: 0.0,
            meter,
        })
    }

    pub(super) fn stem(&self) -> Stem {
        self.stem
    }

    /// Writes another block.
    pub(super) fn add(&mut self, wave: &Wave, bench: &mut dyn Bench) -> Result<(), DeliveryError> {
        let samples = wave.channels.iter().flatten();
        self.peak = samples.fold(self.peak, |most, x| most.max(x.abs()));
        if let (Some(meter), [left, right]) = (&mut self.meter, wave.channels.as_slice()) {
            let heard = meter.add(left, right);
            heard.map_err(|error: LoudnessError| RenderError::from(error))?;
        }
        self.frames += wave.channels.first().map_or(0, |channel| channel.len() as u64);
        self.encoder.encode(&wave.channels, &mut self.gathered);
        if self.gathered.len() >= GATHERED {
            self.put_away(bench)?;
        }
        Ok(())
    }

    /// Puts the rest away and says what stands before it.
    pub(super) fn finish(mut self, order: &Order, name: &str, bench: &mut dyn Bench) -> Result<Done, DeliveryError> {
        self.gathered.extend_from_slice(wave::foot(self.format, self.frames));
        self.put_away(bench)?;
        let loudness = self.meter.as_ref().map(Meter::read);
        let title = order.title.as_deref().unwrap_or("Untitled song");
        let stamp = Stamp {
            description: format!("{title}, {}: {}", order.take_words.english(), super::about(self.stem)),
            reference: name.to_owned(),
            written: order.written,
            from: start(order),
            loudness,
        };
        let head = wave::head(self.format, self.frames, &stamp)?;
        let mut checksum = Hasher::new();
        checksum.update(&head);
        checksum.combine(&self.checksum);
        Ok(Done {
            size: self.format.size(self.frames),
            checksum: checksum.finalize(),
            head,
            peak: Decibels::of_gain(f64::from(self.peak)),
            loudness,
        })
    }

    fn put_away(&mut self, bench: &mut dyn Bench) -> Result<(), DeliveryError> {
        self.checksum.update(&self.gathered);
        bench.put(self.pile, &self.gathered)?;
        self.gathered.clear();
        Ok(())
    }
}

/// The sample of the session's clock with which the files begin.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // an hour of samples
pub(super) fn start(order: &Order) -> u64 {
    let bar_one = order.brief.rate.samples(SESSION_START).round() as u64;
    bar_one.saturating_sub(order.brief.length().bar_one)
}
