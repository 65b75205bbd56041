//! A delay whose echoes come again, each darker than the one before.
//!
//! Nothing steps: levels move in straight lines, what enters an empty line swells up, and another time is reached
//! by crossing over from one place of the line to the other.

use super::settings::Delay;
use super::switch::way;
use crate::sound::mix::Ramp;
use crate::sound::rate::{STEP, SampleRate};

/// Each echo is darker: how much of the way to a new sample is gone in one.
const DARKER: f32 = 0.35;

/// The delay as it runs.
#[derive(Debug, Clone)]
pub(super) struct Echo {
    rate: SampleRate,
    line: Vec<f32>,
    write: usize,
    /// How far back the line is read, and how far it shall be.
    delay: usize,
    wanted: usize,
    /// How far it is on its way from this place to the next one.
    crossing: Option<(usize, Ramp)>,
    entering: Ramp,
    level: Ramp,
    again: Ramp,
    dark: f32,
}

impl Echo {
    /// A delay at rest, without echoes.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn new(rate: SampleRate) -> Self {
        let length = rate.samples(*Delay::TIME.end()).ceil() as usize + STEP;
        Self {
            rate,
            line: vec![0.0; length],
            write: 0,
            delay: length - 1,
            wanted: length - 1,
            crossing: None,
            entering: Ramp::at(0.0),
            level: Ramp::at(0.0),
            again: Ramp::at(0.0),
            dark: 0.0,
        }
    }

    /// Turns the knobs.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn set(&mut self, delay: Option<Delay>) {
        let way = way(self.rate);
        let Some(delay) = delay else {
            self.level.go(0.0, way);
            return;
        };
        self.wanted = (self.rate.samples(delay.time) as usize).clamp(1, self.line.len() - 1);
        if self.is_out() {
            self.silence();
            self.entering = Ramp::at(0.0);
            self.entering.go(1.0, way);
        }
        self.level.go(delay.level.gain() as f32, way);
        self.again.go(delay.again.gain() as f32, way);
    }

    /// Whether no echo is heard, nor will be until it is set.
    pub(super) fn is_out(&self) -> bool {
        self.level.is_silent()
    }

    /// Ends every echo.
    pub(super) fn silence(&mut self) {
        self.line.fill(0.0);
        self.dark = 0.0;
        (self.delay, self.crossing) = (self.wanted, None);
    }

    /// Takes its new place at once, while nothing sounds.
    pub(super) fn arrive(&mut self) {
        self.entering.arrive();
        self.level.arrive();
        self.again.arrive();
    }

    /// Adds the echoes to one step.
    pub(super) fn run(&mut self, signal: &mut [f32; STEP]) {
        self.turn_to_wanted();
        let length = self.line.len();
        for sample in signal {
            let heard = self.heard();
            self.dark += DARKER * (heard - self.dark);
            if self.dark.abs() < 1e-15 {
                self.dark = 0.0;
            }
            if let Some(slot) = self.line.get_mut(self.write) {
                *slot = self.entering.next() * *sample + self.again.next() * self.dark;
            }
            self.write = if self.write + 1 == length { 0 } else { self.write + 1 };
            *sample += self.level.next() * self.dark;
        }
    }

    /// Finishes one crossing and sets out for the next.
    fn turn_to_wanted(&mut self) {
        if let Some((next, part)) = &self.crossing {
            if part.resting().is_none() {
                return;
            }
            (self.delay, self.crossing) = (*next, None);
        }
        if self.delay != self.wanted {
            let mut part = Ramp::at(0.0);
            part.go(1.0, way(self.rate));
            self.crossing = Some((self.wanted, part));
        }
    }

    fn heard(&mut self) -> f32 {
        let here = self.back(self.delay);
        let Some((next, mut part)) = self.crossing else {
            return here;
        };
        let there = self.back(next);
        let heard = here + part.next() * (there - here);
        self.crossing = Some((next, part));
        heard
    }

    fn back(&self, delay: usize) -> f32 {
        let at = if self.write >= delay {
            self.write - delay
        } else {
            self.write + self.line.len() - delay
        };
        self.line.get(at).copied().unwrap_or(0.0)
    }
}
