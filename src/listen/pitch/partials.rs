//! The pitch from the partials: each one's frequency by how fast its phase moves, together those of a stiff string.
//!
//! With the Hann window `w`, its slope `w'` and its moment `n w`, the component near the angular frequency v has
//! frequency v - Im(X_w' / X_w) at the time Re(X_nw / X_w): Auger and Flandrin 1995, equations 30 and 31 for the
//! short-time transform. So a pitch that glides is told at the moment it was there.

use std::f64::consts::TAU;

/// How many periods are looked at. Fewer than four, and the window would not keep partials apart.
const PERIODS: f64 = 5.0;

/// Most partials that are heard. Those above are weak and, on a stiff string, far from their place.
const PARTIALS: u32 = 6;

/// A partial farther than this from where the others put it is another string's, in octaves (20 cents).
const STRAY: f64 = 20.0 / 1200.0;

/// The stiffest string: B of a plain G# at the twelfth fret is 6.5e-4 (computed from the standard gauges).
const STIFFEST: f64 = 1e-3;

/// What the partials say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::listen) struct Heard {
    /// Frequency of the lowest partial, in cycles per sample.
    pub(in crate::listen) frequency: f64,
    /// When, in samples from the middle of what was looked at.
    pub(in crate::listen) moment: f64,
}

/// One partial.
#[derive(Debug, Clone, Copy)]
pub(in crate::listen) struct Partial {
    number: f64,
    /// Frequency over its number, in cycles per sample.
    base: f64,
    moment: f64,
    /// Power, times the number squared: how well it tells the pitch.
    weight: f64,
}

impl Partial {
    /// Its power, in squared sums of windowed samples.
    pub(in crate::listen) fn power(&self) -> f64 {
        self.weight / self.number.powi(2)
    }
}

/// How many samples [`refine`] looks at for a period of `period` samples, at most `most`.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn span(period: f64, most: usize) -> usize {
    ((PERIODS * period).round().max(8.0) as usize).min(most)
}

/// The pitch in the middle of `samples`, near `frequency` (cycles per sample).
pub(super) fn refine(samples: &[f32], frequency: f64) -> Option<Heard> {
    let mut heard = Heard { frequency, moment: 0.0 };
    for _ in 0..2 {
        let partials = partials(samples, heard.frequency);
        heard = fit(partials)?;
    }
    // One that ran away was never there.
    ((heard.frequency / frequency).log2().abs() < 1.0 / 12.0).then_some(heard)
}

fn partials(samples: &[f32], frequency: f64) -> Vec<Partial> {
    (1..=PARTIALS)
        .map(f64::from)
        .take_while(|number| number * frequency < 0.45)
        .map(|number| partial(samples, number, frequency))
        .collect()
}

/// Looks at the partial `number` of `frequency`.
#[allow(clippy::cast_precision_loss)]
pub(in crate::listen) fn partial(samples: &[f32], number: f64, frequency: f64) -> Partial {
    let length = samples.len() as f64;
    let middle = (length - 1.0) / 2.0;
    let angle = TAU * number * frequency;
    // Both the partial's and the window's angle turn by a fixed step each sample.
    let mut carrier = Turning::at(-middle * angle, angle);
    let mut bell = Turning::at(0.5 * TAU / length, TAU / length);
    let (mut plain, mut slope, mut moment) = ([0.0; 2], [0.0; 2], [0.0; 2]);
    for (n, sample) in samples.iter().enumerate() {
        let (x, t) = (f64::from(*sample), n as f64 - middle);
        let w = x * (0.5 - 0.5 * bell.cos);
        let d = x * (0.5 * TAU / length * bell.sin);
        let wave = [carrier.cos, -carrier.sin];
        for part in 0..2 {
            plain[part] += w * wave[part];
            slope[part] += d * wave[part];
            moment[part] += w * t * wave[part];
        }
        carrier.step();
        bell.step();
    }
    let power = plain[0].powi(2) + plain[1].powi(2);
    let imaginary = (slope[1] * plain[0] - slope[0] * plain[1]) / power.max(f64::MIN_POSITIVE);
    let real = (moment[0] * plain[0] + moment[1] * plain[1]) / power.max(f64::MIN_POSITIVE);
    Partial {
        number,
        base: frequency - imaginary / (TAU * number),
        moment: real.clamp(-length / 4.0, length / 4.0),
        weight: power * number.powi(2),
    }
}

/// An angle that grows evenly, by its cosine and sine.
struct Turning {
    cos: f64,
    sin: f64,
    by: (f64, f64),
}

impl Turning {
    fn at(start: f64, step: f64) -> Self {
        let (sin, cos) = start.sin_cos();
        let by = step.sin_cos();
        Self { cos, sin, by }
    }

    fn step(&mut self) {
        let (sin, cos) = self.by;
        (self.cos, self.sin) = (self.cos * cos - self.sin * sin, self.sin * cos + self.cos * sin);
    }
}

/// The lowest partial of the string these belong to: f(n) / n = f0 sqrt(1 + B n^2), nearly a straight line in n^2.
pub(in crate::listen) fn fit(mut partials: Vec<Partial>) -> Option<Heard> {
    let loudest = partials.iter().map(|p| p.weight).fold(0.0, f64::max);
    if loudest <= 0.0 {
        return None;
    }
    // Fainter than 50 dB below the strongest: nothing is there.
    partials.retain(|p| p.weight > loudest * 1e-5);
    let (at_one, slope) = line(&partials);
    partials.retain(|p| (p.base / (at_one + slope * (p.number.powi(2) - 1.0))).log2().abs() < STRAY);
    if partials.is_empty() {
        return None;
    }
    let (frequency, _) = line(&partials);
    let weight: f64 = partials.iter().map(|p| p.weight).sum();
    let moment = partials.iter().map(|p| p.weight * p.moment).sum::<f64>() / weight;
    Some(Heard { frequency, moment })
}

/// The value at the first partial and the slope in n^2 of the weighted straight line, its slope kept to what strings
/// have.
fn line(partials: &[Partial]) -> (f64, f64) {
    let (mut w, mut x, mut y) = (0.0, 0.0, 0.0);
    for p in partials {
        w += p.weight;
        x += p.weight * p.number.powi(2);
        y += p.weight * p.base;
    }
    let (x, y) = (x / w, y / w);
    let (mut xx, mut xy) = (0.0, 0.0);
    for p in partials {
        let dx = p.number.powi(2) - x;
        xx += p.weight * dx * dx;
        xy += p.weight * dx * (p.base - y);
    }
    let slope = if xx > 0.0 { xy / xx } else { 0.0 };
    let slope = slope.clamp(0.0, 0.5 * STIFFEST * y);
    (y + slope * (1.0 - x), slope)
}
