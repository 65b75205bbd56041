//! What the microphone heard, on the clock of the sound.

use crate::sound::SampleRate;
use crate::theory::{Beats, Seconds, Tempo};
use serde::{Deserialize, Serialize};

/// The longest phrase that is kept, so that a page forgotten while it records does not fill the memory.
pub(super) const LONGEST: Seconds = Seconds(300.0);

/// Blocks as they come in.
#[derive(Debug, Clone, Default)]
pub struct Tape {
    /// The sample of the sound's clock that it begins at.
    begins: Option<f64>,
    samples: Vec<i16>,
}

impl Tape {
    /// Takes the next block, which begins at the sample `at` of the sound's clock. Where blocks were lost there is
    /// silence, so that what follows stays in its place; what is older than the end is dropped.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub fn take(&mut self, at: f64, block: &[f32], rate: SampleRate) {
        let begins = *self.begins.get_or_insert(at);
        let place = (at - begins).max(0.0) as usize;
        let most = rate.samples(LONGEST) as usize;
        if place < self.samples.len() || place + block.len() > most {
            return;
        }
        self.samples.resize(place, 0);
        let full = f32::from(i16::MAX);
        self.samples
            .extend(block.iter().map(|x| (x.clamp(-1.0, 1.0) * full).round() as i16));
    }

    /// The take, once it is known that the moment `at` of the song is heard at the sample `frame` of the sound's
    /// clock; nothing before anything was heard.
    #[must_use]
    pub fn cut(&self, rate: SampleRate, at: Beats, frame: f64) -> Option<Take> {
        Some(Take {
            rate,
            at,
            heard: Seconds((frame - self.begins?) / rate.0),
            samples: self.samples.iter().flat_map(|x| x.to_le_bytes()).collect(),
        })
    }
}

/// What was heard, and when a moment of the song was in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Take {
    /// Its rate.
    pub rate: SampleRate,
    /// A moment of the song.
    at: Beats,
    /// When that moment was played, from the take's beginning.
    heard: Seconds,
    /// 16 bit, little-endian. Bytes, because these cross to the worker in one piece.
    #[serde(with = "serde_bytes")]
    samples: Vec<u8>,
}

impl Take {
    /// When a moment of the song was played, from the take's beginning; the device's delay comes on top.
    #[must_use]
    pub fn time(&self, at: Beats, tempo: Tempo) -> Seconds {
        self.heard + (at - self.at).at(tempo)
    }

    /// The samples, 1 being full scale.
    #[must_use]
    pub fn samples(&self) -> Vec<f32> {
        let (pairs, _) = self.samples.as_chunks::<2>();
        let full = f32::from(i16::MAX);
        pairs
            .iter()
            .map(|pair| f32::from(i16::from_le_bytes(*pair)) / full)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: SampleRate = SampleRate(1000.0);

    #[test]
    fn lost_blocks_are_silence_and_a_moment_keeps_its_place() {
        let mut tape = Tape::default();
        tape.take(5000.0, &[0.5; 100], RATE);
        tape.take(5200.0, &[-0.5; 100], RATE);
        let take = tape.cut(RATE, Beats(4.0), 5250.0).expect("something was heard");
        let samples = take.samples();
        assert_eq!(samples.len(), 300);
        assert!((samples[50] - 0.5).abs() < 1e-3 && samples[150] == 0.0 && (samples[250] + 0.5).abs() < 1e-3);
        assert_eq!(take.time(Beats(4.0), Tempo(60.0)), Seconds(0.25));
        assert_eq!(take.time(Beats(5.0), Tempo(120.0)), Seconds(0.75));
    }

    #[test]
    fn a_forgotten_tape_ends_and_an_empty_one_gives_nothing() {
        let mut tape = Tape::default();
        assert_eq!(tape.cut(RATE, Beats::ZERO, 0.0), None);
        tape.take(0.0, &[0.1; 10], RATE);
        tape.take(1e9, &[0.1; 10], RATE);
        assert_eq!(tape.cut(RATE, Beats::ZERO, 0.0).map(|t| t.samples().len()), Some(10));
    }
}
