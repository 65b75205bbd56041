//! Where in the song we are, sample by sample.
//!
//! *Invariant:* a moment is computed from a starting moment and a whole count of samples, so nothing drifts.

use super::score::SampleRate;
use crate::theory::{Beats, Tempo};
use std::ops::Range;

/// A run of samples that belongs to one stretch of the song.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    /// First sample in the step.
    pub(super) offset: usize,
    /// The moment of that sample.
    pub(super) from: Beats,
    /// The moment just after the last sample, less a rounding error: what falls on the next sample is the next
    /// stretch's.
    pub(super) to: Beats,
    /// Whether the song jumped here: everything that looks things up by time must seek.
    pub(super) jumped: bool,
}

/// The clock of the song.
#[derive(Debug, Clone)]
pub(super) struct Transport {
    rate: SampleRate,
    tempo: Tempo,
    origin: Beats,
    samples: u64,
    around: Option<Range<Beats>>,
}

/// This part of a sample late is rounding, not the next sample.
const ROUNDING: f64 = 1e-6;

/// The shortest stretch that may be looped.
pub(super) const SHORTEST_LOOP: Beats = Beats(0.25);

impl Transport {
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate,
            tempo: Tempo(120.0),
            origin: Beats::ZERO,
            samples: 0,
            around: None,
        }
    }

    pub(super) fn tempo(&self) -> Tempo {
        self.tempo
    }

    /// Beats in one sample.
    pub(super) fn beats_a_sample(&self) -> f64 {
        self.tempo.0 / 60.0 / self.rate.0
    }

    #[allow(clippy::cast_precision_loss)]
    pub(super) fn position(&self) -> Beats {
        self.origin + Beats(self.samples as f64 * self.beats_a_sample())
    }

    pub(super) fn seek(&mut self, to: Beats) {
        self.origin = to;
        self.samples = 0;
    }

    pub(super) fn set_tempo(&mut self, tempo: Tempo) {
        self.seek(self.position());
        self.tempo = tempo;
    }

    pub(super) fn set_loop(&mut self, around: Option<Range<Beats>>) {
        self.around = around;
    }

    /// The end of the loop we are heading for, if we are before it.
    pub(super) fn loop_end(&self) -> Option<Beats> {
        self.around.as_ref().map(|r| r.end).filter(|end| self.position() < *end)
    }

    /// Goes on by `count` samples and gives the stretches of song they cover: one, or two around a jump.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub(super) fn advance(&mut self, count: usize) -> [Option<Stretch>; 2] {
        let from = self.position();
        let step = self.beats_a_sample();
        let to = from + Beats(step * count as f64);
        let jump = self.around.clone().filter(|r| from < r.end && to >= r.end);
        let Some(range) = jump else {
            self.samples += count as u64;
            let whole = Stretch {
                offset: 0,
                from,
                to: to - Beats(step * ROUNDING),
                jumped: false,
            };
            return [Some(whole), None];
        };
        let before = (((range.end - from).0 / step).ceil() as usize).clamp(1, count);
        self.seek(range.start);
        self.samples = (count - before) as u64;
        let first = Stretch {
            offset: 0,
            from,
            to: range.end,
            jumped: false,
        };
        let second = Stretch {
            offset: before,
            from: range.start,
            to: self.position(),
            jumped: true,
        };
        [Some(first), Some(second)]
    }
}

impl Stretch {
    /// The sample of the step at which `at` falls.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn sample(&self, at: Beats, beats_a_sample: f64, steps: usize) -> usize {
        let after = ((at - self.from).0 / beats_a_sample - ROUNDING).ceil().max(0.0) as usize;
        (self.offset + after).min(steps - 1)
    }
}
