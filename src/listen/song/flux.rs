//! Where something begins: how much louder each band of the spectrum becomes, a hundred times a second.
//!
//! The logarithm of each band's amplitude is compared with the loudest of its neighbours two frames before, so that a
//! vibrato, which only moves energy to the next band, is no beginning: Böck and Widmer, "Maximum filter vibrato
//! suppression for onset detection", DAFx-13, 2013.

use super::Unheard;
use super::recording::Recording;
use crate::listen::transform::{Transform, hann};
use crate::theory::Seconds;

/// Frames in a second.
pub(super) const FRAMES: f64 = 100.0;

/// Samples looked at for a frame: 46 ms at 22 050 Hz.
const WINDOW: usize = 1024;

/// Bands, and where the lowest and the highest lie, in hertz.
const BANDS: usize = 36;
const LOWEST: f64 = 40.0;
const HIGHEST: f64 = 9_000.0;

/// How far the logarithm reaches down: ln(1 + this * amplitude).
const SQUEEZE: f32 = 1_000.0;

/// The frame that is compared with.
const BEFORE: usize = 2;

/// Borders of the three parts that are kept, in hertz: kick and bass; chords and snare; hats.
const PARTS: [f64; 2] = [200.0, 2_500.0];

/// How many parts are told apart.
pub(super) const KINDS: usize = 3;

/// The curves of beginning.
#[derive(Debug, Clone)]
pub(super) struct Flux {
    /// Low, middle and high, each with a mean of one.
    pub(super) parts: [Vec<f32>; KINDS],
    /// All together, its slow changes taken out, with a deviation of one.
    pub(super) all: Vec<f32>,
}

impl Flux {
    /// Of a recording. `going` is told how many of the frames are done, and may call it off.
    pub(super) fn of(
        recording: &Recording,
        mut going: impl FnMut(usize, usize) -> Result<(), Unheard>,
    ) -> Result<Self, Unheard> {
        let count = frames_in(recording.length());
        let bands = Bands::new(recording.rate().0);
        let window = hann(WINDOW);
        let mut transform = Transform::new(WINDOW);
        let mut before: Vec<[f32; BANDS]> = vec![[0.0; BANDS]; BEFORE];
        let mut parts = [(); KINDS].map(|()| Vec::with_capacity(count));
        for frame in 0..count {
            recording.frame(centre(frame, recording.rate().0), &window, &mut transform.time);
            transform.forward();
            let now = bands.of(&transform);
            let then = before[frame % BEFORE];
            let mut sums = [0.0; KINDS];
            for (band, value) in now.iter().enumerate() {
                let neighbours = &then[band.saturating_sub(1)..(band + 2).min(BANDS)];
                let loudest = neighbours.iter().copied().fold(0.0, f32::max);
                sums[bands.part[band]] += (value - loudest).max(0.0);
            }
            before[frame % BEFORE] = now;
            for (part, sum) in parts.iter_mut().zip(sums) {
                part.push(sum);
            }
            going(frame, count)?;
        }
        let all = steadied(&parts);
        for part in &mut parts {
            to_mean_of_one(part);
        }
        Ok(Self { parts, all })
    }
}

/// How many frames begin within `length`.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn frames_in(length: Seconds) -> usize {
    (length.0 * FRAMES) as usize
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)]
fn centre(frame: usize, rate: f64) -> usize {
    (frame as f64 / FRAMES * rate) as usize
}

/// Which bins of the spectrum belong to which band.
struct Bands {
    ranges: [(usize, usize); BANDS],
    part: [usize; BANDS],
}

impl Bands {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn new(rate: f64) -> Self {
        let top = HIGHEST.min(rate * 0.48);
        let border = |n: usize| LOWEST * (top / LOWEST).powf(n as f64 / BANDS as f64);
        let bin = |hertz: f64| (hertz / rate * WINDOW as f64).round() as usize;
        let mut ranges = [(0, 0); BANDS];
        let mut begin = 1;
        for (n, range) in ranges.iter_mut().enumerate() {
            let end = bin(border(n + 1)).max(begin + 1);
            *range = (begin, end.min(WINDOW / 2));
            begin = end;
        }
        let part = std::array::from_fn(|n| {
            let middle = (ranges[n].0 + ranges[n].1) as f64 / 2.0 * rate / WINDOW as f64;
            PARTS.iter().filter(|border| middle >= **border).count()
        });
        Self { ranges, part }
    }

    fn of(&self, transform: &Transform) -> [f32; BANDS] {
        #[allow(clippy::cast_precision_loss)]
        let scale = 4.0 / WINDOW as f32;
        self.ranges.map(|(begin, end)| {
            let bins = transform.bins.get(begin..end).unwrap_or_default();
            let power: f32 = bins.iter().map(|bin| bin.norm_sqr()).sum();
            (1.0 + SQUEEZE * scale * power.sqrt()).ln()
        })
    }
}

#[allow(clippy::cast_precision_loss)]
fn to_mean_of_one(curve: &mut [f32]) {
    let mean = curve.iter().sum::<f32>() / curve.len().max(1) as f32;
    if mean > 0.0 {
        curve.iter_mut().for_each(|x| *x /= mean);
    }
}

/// The sum of the parts, less its mean within half a second to either side, over its deviation.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
fn steadied(parts: &[Vec<f32>; KINDS]) -> Vec<f32> {
    let count = parts[0].len();
    let sum: Vec<f32> = (0..count).map(|n| parts.iter().map(|part| part[n]).sum()).collect();
    let reach = (FRAMES / 2.0) as usize;
    let mut run = vec![0.0_f64; count + 1];
    for (n, x) in sum.iter().enumerate() {
        run[n + 1] = run[n] + f64::from(*x);
    }
    let mut all: Vec<f32> = (0..count)
        .map(|n| {
            let (a, b) = (n.saturating_sub(reach), (n + reach + 1).min(count));
            sum[n] - ((run[b] - run[a]) / (b - a) as f64) as f32
        })
        .collect();
    let deviation = (all.iter().map(|x| x * x).sum::<f32>() / count.max(1) as f32).sqrt();
    if deviation > 0.0 {
        all.iter_mut().for_each(|x| *x /= deviation);
    }
    all
}
