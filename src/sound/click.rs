//! The count-in and the click: a short tone, higher on the first beat.

use super::rate::{STEP, SampleRate};

/// Pitch of a beat, and of the first beat of a bar, in hertz.
const BEAT: f64 = 1_100.0;
const FIRST_BEAT: f64 = 1_650.0;
/// Time in which a click falls to -60 dB, in seconds.
const RINGS: f64 = 0.06;
/// Level of a click.
const LEVEL: f32 = 0.25;

/// A click as a damped rotating vector: multiplication only.
#[derive(Debug, Clone)]
pub(super) struct Click {
    rate: f64,
    x: f64,
    y: f64,
    turn: (f64, f64),
    waiting: Option<(usize, bool)>,
}

impl Click {
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate: rate.0,
            x: 0.0,
            y: 0.0,
            turn: (0.0, 0.0),
            waiting: None,
        }
    }

    /// Strikes at sample `offset` of the coming step.
    pub(super) fn strike(&mut self, offset: usize, first: bool) {
        self.waiting = Some((offset, first));
    }

    pub(super) fn silence(&mut self) {
        (self.x, self.y) = (0.0, 0.0);
        self.waiting = None;
    }

    /// Writes one step.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn run(&mut self, out: &mut [f32; STEP]) {
        for (i, sample) in out.iter_mut().enumerate() {
            if let Some((at, first)) = self.waiting
                && at == i
            {
                let angle = std::f64::consts::TAU * if first { FIRST_BEAT } else { BEAT } / self.rate;
                let decay = 10.0_f64.powf(-3.0 / (RINGS * self.rate));
                self.turn = (angle.cos() * decay, angle.sin() * decay);
                // Begins at a zero of the heard component, so it does not step.
                (self.x, self.y) = (1.0, 0.0);
                self.waiting = None;
            }
            let (x, y) = (self.x, self.y);
            self.x = x * self.turn.0 - y * self.turn.1;
            self.y = x * self.turn.1 + y * self.turn.0;
            if self.x.abs() + self.y.abs() < 1e-9 {
                (self.x, self.y) = (0.0, 0.0);
            }
            *sample = LEVEL * self.y as f32;
        }
    }
}
