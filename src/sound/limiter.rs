//! The last thing before the ears: a limiter that looks ahead.
//!
//! *Invariant:* no sample leaves louder than [`CEILING`], and the gain never steps.
//!
//! The gain is the moving average of the moving minimum of the gain each sample needs, over the same window as
//! the signal is delayed by: every window that is averaged holds the loud sample, so the average is low enough.

/// The loudest sample: -1 dB of full scale.
pub const CEILING: f32 = 0.891;

/// Samples of looking ahead, which is also the delay.
pub const AHEAD: usize = 64;

/// How much of the way back to full gain is gone in a sample: about 80 ms to recover.
const RECOVERY: f32 = 0.000_25;

/// A stereo limiter.
#[derive(Debug, Clone)]
pub struct Limiter {
    left: [f32; AHEAD],
    right: [f32; AHEAD],
    needed: [f32; AHEAD],
    lowest: [f32; AHEAD],
    sum: f64,
    recovering: f32,
    at: usize,
}

impl Limiter {
    /// A limiter at rest.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn new() -> Self {
        Self {
            left: [0.0; AHEAD],
            right: [0.0; AHEAD],
            needed: [1.0; AHEAD],
            lowest: [1.0; AHEAD],
            sum: AHEAD as f64,
            recovering: 1.0,
            at: 0,
        }
    }

    /// Takes one frame in and gives the one [`AHEAD`] - 1 samples before, limited.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub fn next(&mut self, left: f32, right: f32) -> (f32, f32) {
        let (left, right) = (sound(left), sound(right));
        let loud = left.abs().max(right.abs());
        let need = if loud > CEILING { CEILING / loud } else { 1.0 };
        self.recovering = need.min(self.recovering + (1.0 - self.recovering) * RECOVERY);
        let at = self.at;
        self.left[at] = left;
        self.right[at] = right;
        self.needed[at] = self.recovering;
        let lowest = least(&self.needed);
        self.sum += f64::from(lowest) - f64::from(self.lowest[at]);
        self.lowest[at] = lowest;
        self.at = (at + 1) % AHEAD;
        let gain = (self.sum / AHEAD as f64) as f32;
        let limit = |x: f32| (x * gain).clamp(-CEILING, CEILING);
        (limit(self.left[self.at]), limit(self.right[self.at]))
    }
}

impl Default for Limiter {
    fn default() -> Self {
        Self::new()
    }
}

/// The least of all, in eight lanes side by side, which a compiler keeps in vector registers.
fn least(values: &[f32; AHEAD]) -> f32 {
    let less = |a: f32, b: f32| if b < a { b } else { a };
    let mut lanes = [1.0_f32; 8];
    for chunk in values.chunks_exact(8) {
        for (lane, value) in lanes.iter_mut().zip(chunk) {
            *lane = less(*lane, *value);
        }
    }
    lanes.into_iter().fold(1.0, less)
}

/// A sample that is a number; a fault upstream must never reach the ears.
fn sound(sample: f32) -> f32 {
    if sample.is_finite() { sample } else { 0.0 }
}
