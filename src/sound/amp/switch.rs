//! A stage that is switched in and out while it sounds.

use crate::sound::mix::Ramp;
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::Seconds;

/// How long a knob or switch takes to its new place: too short to wait for, too long to click.
pub(super) const WAY: Seconds = Seconds(0.025);

/// The samples of [`WAY`].
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn way(rate: SampleRate) -> u32 {
    rate.samples(WAY) as u32
}

/// A switch that crosses over between the signal before and after its stage.
#[derive(Debug, Clone)]
pub(super) struct Switch {
    way: u32,
    part: Ramp,
}

impl Switch {
    /// A stage that is out.
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            way: way(rate),
            part: Ramp::at(0.0),
        }
    }

    /// Switches the stage in or out. Says whether it comes in from silence: then it must forget what it heard.
    pub(super) fn turn(&mut self, on: bool) -> bool {
        let anew = on && self.part.is_silent();
        self.part.go(if on { 1.0 } else { 0.0 }, self.way);
        anew
    }

    /// Takes its new place at once, while nothing sounds.
    pub(super) fn arrive(&mut self) {
        self.part.arrive();
    }

    /// Runs the stage over one step, as far as it is in.
    pub(super) fn run(&mut self, signal: &mut [f32; STEP], stage: impl FnOnce(&mut [f32; STEP])) {
        match self.part.resting() {
            Some(0.0) => {}
            Some(_) => stage(signal),
            None => {
                let before = *signal;
                stage(signal);
                for (after, before) in signal.iter_mut().zip(before) {
                    *after = before + self.part.next() * (*after - before);
                }
            }
        }
    }
}
