//! A delay whose echoes come again, each darker than the one before.

use super::Delay;
use crate::sound::score::SampleRate;
use crate::sound::string::waveguide::STEP;
use crate::theory::Seconds;

/// The longest and the shortest time between echoes, in seconds.
const LONGEST: f64 = 1.0;
const SHORTEST: f64 = 0.02;
/// Each echo is darker: how much of the way to a new sample is gone in one.
const DARKER: f32 = 0.35;
/// The most an echo keeps of the one before.
const MOST_AGAIN: f64 = 0.7;

/// The delay as it runs.
#[derive(Debug, Clone)]
pub(super) struct Echo {
    rate: SampleRate,
    line: Vec<f32>,
    write: usize,
    delay: usize,
    level: f32,
    again: f32,
    dark: f32,
}

impl Echo {
    /// A delay at rest, without echoes.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn new(rate: SampleRate) -> Self {
        let length = rate.samples(Seconds(LONGEST)).ceil() as usize + STEP;
        Self {
            rate,
            line: vec![0.0; length],
            write: 0,
            delay: length - 1,
            level: 0.0,
            again: 0.0,
            dark: 0.0,
        }
    }

    /// Turns the knobs.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn set(&mut self, delay: Option<Delay>) {
        let Some(delay) = delay else {
            self.silence();
            return;
        };
        let time = Seconds(delay.time.0.clamp(SHORTEST, LONGEST));
        self.delay = (self.rate.samples(time) as usize).clamp(1, self.line.len() - 1);
        self.level = delay.level.gain().min(1.0) as f32;
        self.again = delay.again.gain().min(MOST_AGAIN) as f32;
    }

    /// Ends every echo.
    pub(super) fn silence(&mut self) {
        self.line.fill(0.0);
        self.dark = 0.0;
    }

    /// Adds the echoes to one step.
    pub(super) fn run(&mut self, signal: &mut [f32; STEP]) {
        let length = self.line.len();
        for sample in signal {
            let read = (self.write + length - self.delay) % length;
            let heard = self.line.get(read).copied().unwrap_or(0.0);
            self.dark += DARKER * (heard - self.dark);
            if self.dark.abs() < 1e-15 {
                self.dark = 0.0;
            }
            if let Some(slot) = self.line.get_mut(self.write) {
                *slot = *sample + self.again * self.dark;
            }
            self.write = (self.write + 1) % length;
            *sample += self.level * self.dark;
        }
    }
}
