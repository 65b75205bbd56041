//! A delay line that is read between its samples.
//!
//! Lagrange interpolation: the polynomial through [`TAPS`] neighbouring samples, maximally flat at zero frequency.
//! Source: Laakso, Välimäki, Karjalainen, Laine, "Splitting the unit delay", IEEE Signal Processing Magazine
//! 13(1), 1996, eq. 42: h(k) = prod over m != k of (D - m) / (k - m).

use crate::sound::rate::STEP;

/// Samples that take part in one reading; even, so that the point lies in the middle interval.
pub const TAPS: usize = 12;

/// The least delay that can be read.
pub const LEAST: f64 = (TAPS / 2) as f64;

/// Samples a block reading takes side by side.
const LANES: usize = 8;

/// Steps the interval between two samples is divided into in the table; between two steps the coefficients are
/// interpolated, which is off by less than 1e-6.
const STEPS: usize = 512;

/// The interpolation coefficients for every fraction of a sample.
#[derive(Debug, Clone)]
pub struct Table {
    rows: Vec<[f32; TAPS]>,
}

impl Table {
    /// Computes the table.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn new() -> Self {
        let rows = (0..=STEPS).map(|i| lagrange(i as f64 / STEPS as f64)).collect();
        Self { rows }
    }

    /// Where and with which coefficients a delay is read: worth keeping while the delay stands still.
    #[must_use]
    #[inline]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub fn place(&self, delay: f64) -> Place {
        let whole = delay as usize;
        let fine = (delay - whole as f64) * STEPS as f64;
        let step = fine as usize;
        let part = (fine - step as f64) as f32;
        let mut taps = [0.0; TAPS];
        if let Some([low, high]) = self.rows.get(step..step + 2) {
            for (tap, (low, high)) in taps.iter_mut().zip(low.iter().zip(high)) {
                *tap = low + part * (high - low);
            }
        }
        Place { whole, taps }
    }
}

/// A place between two samples of a [`Line`].
#[derive(Debug, Clone, Copy)]
pub struct Place {
    whole: usize,
    taps: [f32; TAPS],
}

impl Default for Table {
    fn default() -> Self {
        Self::new()
    }
}

/// Coefficients on samples in order of time for a point `fraction` (0..=1) earlier than the middle's later sample.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn lagrange(fraction: f64) -> [f32; TAPS] {
    let point = (TAPS / 2) as f64 - fraction;
    std::array::from_fn(|k| {
        (0..TAPS)
            .filter(|m| *m != k)
            .map(|m| (point - m as f64) / (k as f64 - m as f64))
            .product::<f64>() as f32
    })
}

/// A delay line. Every sample is kept twice, a whole length apart, so that a reading never wraps.
#[derive(Debug, Clone)]
pub struct Line {
    samples: Vec<f32>,
    length: usize,
    write: usize,
}

impl Line {
    /// A silent line that can be read back to `longest` samples.
    #[must_use]
    pub fn new(longest: usize) -> Self {
        let length = (longest + 2 * TAPS + STEP).next_power_of_two();
        Self {
            samples: vec![0.0; 2 * length],
            length,
            write: 0,
        }
    }

    /// The longest delay that can be read.
    #[must_use]
    #[allow(clippy::cast_precision_loss)]
    pub fn longest(&self) -> f64 {
        (self.length - TAPS) as f64
    }

    /// Forgets everything.
    pub fn clear(&mut self) {
        self.samples.fill(0.0);
    }

    /// Takes the next sample in.
    #[inline]
    pub fn push(&mut self, sample: f32) {
        if let Some(s) = self.samples.get_mut(self.write) {
            *s = sample;
        }
        if let Some(s) = self.samples.get_mut(self.write + self.length) {
            *s = sample;
        }
        self.write = (self.write + 1) & (self.length - 1);
    }

    /// The sample `delay` samples before the one that will be pushed next, delay in [`LEAST`]..=[`Self::longest`].
    #[must_use]
    #[inline]
    pub fn read(&self, table: &Table, delay: f64) -> f32 {
        self.read_at(&table.place(delay))
    }

    /// Takes the next samples in, at most [`STEP`].
    #[inline]
    pub fn push_all(&mut self, samples: &[f32]) {
        let room = self.length - self.write;
        let (here, wrapped) = samples.split_at(samples.len().min(room));
        for (part, start) in [(here, self.write), (wrapped, 0)] {
            for copy in [start, start + self.length] {
                if let Some(slots) = self.samples.get_mut(copy..copy + part.len()) {
                    slots.copy_from_slice(part);
                }
            }
        }
        self.write = (self.write + samples.len()) & (self.length - 1);
    }

    /// What [`Self::read_at`] would give before each of the next [`STEP`] pushes, `ago` pushes ago. Only the first
    /// `delay - LEAST + 1 + ago` are of samples already pushed.
    #[inline]
    pub fn read_step(&self, place: &Place, ago: usize, out: &mut [f32; STEP]) {
        let start = (self.write + 2 * self.length - place.whole - TAPS / 2 - ago) & (self.length - 1);
        let Some(x) = self
            .samples
            .get(start..start + STEP + TAPS)
            .and_then(<[f32]>::first_chunk::<{ STEP + TAPS }>)
        else {
            return;
        };
        // Several places side by side, tap by tap: what a compiler keeps in vector registers.
        for (lanes, start) in out.chunks_exact_mut(LANES).zip((0..STEP).step_by(LANES)) {
            let mut sums = [0.0_f32; LANES];
            for (k, tap) in place.taps.iter().enumerate() {
                for (lane, sum) in sums.iter_mut().enumerate() {
                    *sum += x[start + k + lane] * tap;
                }
            }
            lanes.copy_from_slice(&sums);
        }
    }

    /// The newest [`STEP`] samples, as they were `before` pushes before each had been pushed: the last is the one
    /// `before` samples before the next.
    #[inline]
    pub fn copy_step(&self, before: usize, out: &mut [f32; STEP]) {
        let start = (self.write + 2 * self.length - STEP - before + 1) & (self.length - 1);
        if let Some(x) = self.samples.get(start..start + STEP) {
            out.copy_from_slice(x);
        }
    }

    /// The same at a place found before.
    #[must_use]
    #[inline]
    pub fn read_at(&self, place: &Place) -> f32 {
        self.read_from(place, self.write + self.length - place.whole - TAPS / 2)
    }

    /// What [`Self::read_at`] would give after `on` more pushes, of samples already pushed.
    #[must_use]
    #[inline]
    pub fn read_on(&self, place: &Place, on: usize) -> f32 {
        self.read_from(place, self.write + on + self.length - place.whole - TAPS / 2)
    }

    /// What [`Self::read_at`] would have given `ago` pushes ago.
    #[must_use]
    #[inline]
    pub fn read_ago(&self, place: &Place, ago: usize) -> f32 {
        self.read_from(place, self.write + 2 * self.length - ago - place.whole - TAPS / 2)
    }

    #[inline]
    fn read_from(&self, place: &Place, start: usize) -> f32 {
        let start = start & (self.length - 1);
        let Some(x) = self
            .samples
            .get(start..start + TAPS)
            .and_then(<[f32]>::first_chunk::<TAPS>)
        else {
            return 0.0;
        };
        // Four sums side by side: an order that the compiler can keep in one vector register.
        let mut sums = [0.0_f32; 4];
        for k in (0..TAPS).step_by(4) {
            for (lane, sum) in sums.iter_mut().enumerate() {
                *sum += x[k + lane] * place.taps[k + lane];
            }
        }
        (sums[0] + sums[2]) + (sums[1] + sums[3])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_delay_gives_the_very_sample() {
        let table = Table::new();
        let mut line = Line::new(100);
        for i in 0..200_u8 {
            line.push(f32::from(i));
        }
        for delay in 6..90_u8 {
            assert!((line.read(&table, f64::from(delay)) - f32::from(200 - delay)).abs() < 1e-4);
        }
    }

    #[test]
    fn a_polynomial_is_read_exactly_between_samples() {
        let table = Table::new();
        let mut line = Line::new(100);
        let cubic = |t: f64| 1e-5 * t * t * t - 2e-3 * t * t + 0.1 * t;
        for i in 0..200_u8 {
            #[allow(clippy::cast_possible_truncation)]
            line.push(cubic(f64::from(i)) as f32);
        }
        for i in 0..100_u8 {
            let delay = 10.0 + f64::from(i) * 0.317;
            let off = f64::from(line.read(&table, delay)) - cubic(200.0 - delay);
            assert!(off.abs() < 2e-5, "{delay}: off by {off}");
        }
    }
}
