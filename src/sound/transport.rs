//! Where in the song we are, sample by sample.
//!
//! *Invariant:* a moment is computed from a starting moment and a whole count of samples, so nothing drifts.

use super::rate::SampleRate;
use super::score::Speed;
use crate::theory::{Beats, Seconds, SongClock, Tempo};
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
    written: Tempo,
    /// A recording's own time, which is followed instead of the written tempo.
    clock: Option<SongClock>,
    speed: Speed,
    origin: Beats,
    /// The origin on the recording's clock.
    began: Seconds,
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
            written: Tempo(120.0),
            clock: None,
            speed: Speed::FULL,
            origin: Beats::ZERO,
            began: Seconds(0.0),
            samples: 0,
            around: None,
        }
    }

    /// The tempo in force now.
    pub(super) fn tempo(&self) -> Tempo {
        let recorded = self.clock.as_ref().map(|clock| clock.tempo(self.position()));
        self.speed.of(recorded.unwrap_or(self.written))
    }

    /// Beats in one sample.
    pub(super) fn beats_a_sample(&self) -> f64 {
        self.tempo().0 / 60.0 / self.rate.0
    }

    pub(super) fn position(&self) -> Beats {
        self.after(self.samples)
    }

    /// The moment so many samples after the origin.
    #[allow(clippy::cast_precision_loss)]
    fn after(&self, samples: u64) -> Beats {
        let seconds = samples as f64 / self.rate.0;
        match &self.clock {
            // The speed acts on a tempo of 60 as it does on any.
            Some(clock) => clock.beat(self.began + Seconds(seconds * self.speed.of(Tempo(60.0)).0 / 60.0)),
            None => self.origin + Seconds(seconds).at(self.speed.of(self.written)),
        }
    }

    pub(super) fn seek(&mut self, to: Beats) {
        self.origin = to;
        self.began = self.clock.as_ref().map_or(Seconds(0.0), |clock| clock.time(to));
        self.samples = 0;
    }

    /// Sets how time goes by: at the written tempo or as a recording has it, and at which part of that.
    pub(super) fn set_pace(&mut self, written: Tempo, clock: Option<SongClock>, speed: Speed) {
        let now = self.position();
        (self.written, self.clock, self.speed) = (written, clock, speed);
        self.seek(now);
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
        let to = self.after(self.samples + count as u64);
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
