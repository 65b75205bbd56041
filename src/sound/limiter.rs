//! The last thing before the ears: a limiter that looks ahead.
//!
//! *Invariant:* no sample leaves louder than [`CEILING`], and the gain never steps.
//!
//! The gain is the moving average of the moving minimum of the gain each sample needs, over the same window as
//! the signal is delayed by: every window that is averaged holds the loud sample, so the average is low enough.
//!
//! The moving minimum is kept block by block: the least of this block so far, and of what the window still holds of
//! the block before (van Herk, Pattern Recognition Letters 13(7), 1992).

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
    /// The least of the block before, from each place to its end.
    before: [f32; AHEAD + 1],
    /// The least of this block so far.
    so_far: f32,
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
            before: [1.0; AHEAD + 1],
            so_far: 1.0,
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
        self.so_far = less(self.so_far, self.recovering);
        let lowest = less(self.so_far, self.before[at + 1]);
        self.sum += f64::from(lowest) - f64::from(self.lowest[at]);
        self.lowest[at] = lowest;
        self.at = (at + 1) % AHEAD;
        if self.at == 0 {
            self.turn_block();
        }
        let gain = (self.sum / AHEAD as f64) as f32;
        let limit = |x: f32| (x * gain).clamp(-CEILING, CEILING);
        (limit(self.left[self.at]), limit(self.right[self.at]))
    }

    /// What was this block is now the one before.
    fn turn_block(&mut self) {
        let mut least = 1.0;
        for (slot, needed) in self.before.iter_mut().zip(&self.needed).rev() {
            least = less(least, *needed);
            *slot = least;
        }
        self.so_far = 1.0;
    }
}

impl Default for Limiter {
    fn default() -> Self {
        Self::new()
    }
}

fn less(a: f32, b: f32) -> f32 {
    if b < a { b } else { a }
}

/// A sample that is a number; a fault upstream must never reach the ears.
fn sound(sample: f32) -> f32 {
    if sample.is_finite() { sample } else { 0.0 }
}
