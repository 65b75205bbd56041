//! The Fourier transform of real samples, with its buffers kept.

use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::fmt;
use std::sync::Arc;

/// A complex number of the spectrum.
pub(super) type Bin = Complex<f32>;

/// A transform of one length there and back.
pub(super) struct Transform {
    ahead: Arc<dyn RealToComplex<f32>>,
    back: Arc<dyn ComplexToReal<f32>>,
    /// What is transformed; filled by the caller and used up by [`Self::forward`].
    pub(super) time: Vec<f32>,
    /// The spectrum from zero to half the rate.
    pub(super) bins: Vec<Bin>,
    scratch: Vec<Bin>,
}

impl fmt::Debug for Transform {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Transform({})", self.time.len())
    }
}

impl Transform {
    /// A transform of `length` samples.
    pub(super) fn new(length: usize) -> Self {
        let mut planner = RealFftPlanner::new();
        let ahead = planner.plan_fft_forward(length);
        let back = planner.plan_fft_inverse(length);
        let scratch = ahead.get_scratch_len().max(back.get_scratch_len());
        Self {
            time: ahead.make_input_vec(),
            bins: ahead.make_output_vec(),
            scratch: vec![Bin::default(); scratch],
            ahead,
            back,
        }
    }

    /// From `time` to `bins`.
    pub(super) fn forward(&mut self) {
        // The lengths are the plan's own, which is all that could be refused.
        let _ = self
            .ahead
            .process_with_scratch(&mut self.time, &mut self.bins, &mut self.scratch);
    }

    /// From `bins` to `time`, not divided by the length.
    pub(super) fn backward(&mut self) {
        if let [first, .., last] = self.bins.as_mut_slice() {
            (first.im, last.im) = (0.0, 0.0);
        }
        let _ = self
            .back
            .process_with_scratch(&mut self.bins, &mut self.time, &mut self.scratch);
    }
}
/// A Hann window of `length`, zero before its first and after its last sample.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
pub(super) fn hann(length: usize) -> Vec<f32> {
    let step = std::f64::consts::TAU / length as f64;
    (0..length)
        .map(|n| (0.5 - 0.5 * ((n as f64 + 0.5) * step).cos()) as f32)
        .collect()
}
