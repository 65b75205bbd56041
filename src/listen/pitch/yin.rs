//! The period of a frame: the lag at which it is least different from itself.

use crate::listen::transform::Transform;

/// A dip of the normalised difference below this is a period. The paper's own value is 0.1.
const THRESHOLD: f32 = 0.12;

/// A period that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Period {
    /// In samples.
    pub(super) samples: f64,
    /// How far the frame is from repeating itself: 0 not at all, 1 or more like noise.
    pub(super) aperiodicity: f64,
}

/// Finds periods between two lags.
#[derive(Debug)]
pub(super) struct Yin {
    shortest: usize,
    longest: usize,
    window: usize,
    kernel: Transform,
    frame: Transform,
    differences: Vec<f32>,
}

impl Yin {
    /// For periods of `shortest..=longest` samples, compared over `window` samples.
    pub(super) fn new(shortest: usize, longest: usize, window: usize) -> Self {
        let length = (window + longest + 1).next_power_of_two();
        Self {
            shortest: shortest.max(2),
            longest,
            window,
            kernel: Transform::new(length),
            frame: Transform::new(length),
            differences: vec![0.0; longest + 2],
        }
    }

    /// How many samples [`Self::period`] looks at.
    pub(super) fn length(&self) -> usize {
        self.window + self.longest + 1
    }

    /// The period of `samples`, of which there must be [`Self::length`].
    pub(super) fn period(&mut self, samples: &[f32]) -> Option<Period> {
        self.differ(samples);
        let lag = self.first_dip()?;
        let (offset, least) = dip(&self.differences[lag - 1..=lag + 1]);
        #[allow(clippy::cast_precision_loss)]
        Some(Period {
            samples: lag as f64 + offset,
            aperiodicity: least.max(0.0),
        })
    }

    /// The cumulative mean normalised difference at every lag (the paper's equations 6 to 8), by correlation.
    fn differ(&mut self, samples: &[f32]) {
        let window = self.window;
        self.kernel.time.fill(0.0);
        self.kernel.time[..window].copy_from_slice(&samples[..window]);
        self.frame.time.fill(0.0);
        self.frame.time[..self.window + self.longest + 1].copy_from_slice(samples);
        self.kernel.forward();
        self.frame.forward();
        for (bin, other) in self.frame.bins.iter_mut().zip(&self.kernel.bins) {
            *bin *= other.conj();
        }
        self.frame.backward();
        #[allow(clippy::cast_precision_loss)]
        let scale = 1.0 / self.frame.time.len() as f32;
        let still: f32 = samples[..window].iter().map(|x| x * x).sum();
        let (mut moved, mut sum) = (still, 0.0_f32);
        self.differences[0] = 1.0;
        for lag in 1..self.differences.len() {
            moved += samples[window + lag - 1].powi(2) - samples[lag - 1].powi(2);
            let difference = (still + moved - 2.0 * self.frame.time[lag] * scale).max(0.0);
            sum += difference;
            #[allow(clippy::cast_precision_loss)]
            let mean = sum / lag as f32;
            self.differences[lag] = if mean > 0.0 { difference / mean } else { 1.0 };
        }
    }

    /// The first dip under the threshold, or else the deepest.
    fn first_dip(&self) -> Option<usize> {
        let d = &self.differences;
        let is_dip = |lag: &usize| d[*lag] <= d[lag - 1] && d[*lag] < d[lag + 1];
        let dips = || (self.shortest..=self.longest).filter(is_dip);
        dips()
            .find(|lag| d[*lag] < THRESHOLD)
            .or_else(|| dips().min_by(|a, b| d[*a].total_cmp(&d[*b])))
    }
}

/// Where between three equally spaced values the parabola through them is least, from the middle one, and that value.
fn dip(values: &[f32]) -> (f64, f64) {
    let [a, b, c] = [values[0], values[1], values[2]].map(f64::from);
    let bend = a - 2.0 * b + c;
    if bend <= 0.0 {
        return (0.0, b);
    }
    let offset = (0.5 * (a - c) / bend).clamp(-1.0, 1.0);
    (offset, b - 0.25 * (a - c) * offset)
}
