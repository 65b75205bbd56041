//! When strings were plucked: where the spectrum suddenly grows.

use crate::listen::transform::{Transform, hann};
use crate::sound::SampleRate;
use crate::theory::Seconds;

/// Time between looks.
const STEP: Seconds = Seconds(0.004);

/// Samples looked at.
const WINDOW: usize = 1024;

/// Looks that lie between the two that are compared.
const BEFORE: usize = 3;

/// Two plucks are at least so many looks apart.
const APART: usize = 6;

/// A pluck is at least this part of a strong one.
const LEAST: f32 = 0.12;

/// Growth is at its most so long after a pluck (measured on plucks whose time is known).
const LAG: Seconds = Seconds(0.002);

/// A pluck grows by at least this many times what noise grows by all the time.
const OVER_NOISE: f32 = 1.6;

/// How far the logarithm reaches down.
const SQUEEZE: f32 = 300.0;

/// When plucks were heard.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
pub(super) fn onsets(samples: &[f32], rate: SampleRate) -> Vec<Seconds> {
    let curve = curve(samples, rate);
    let mut sorted = curve.clone();
    sorted.sort_by(f32::total_cmp);
    // What the strongest hundredth of all looks has at least.
    let strong = sorted.get(sorted.len() * 99 / 100).copied().unwrap_or(0.0);
    let noise = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
    let least = (LEAST * strong).max(OVER_NOISE * noise);
    let tops = |n: &usize| {
        let near = &curve[n.saturating_sub(APART)..(n + APART + 1).min(curve.len())];
        curve[*n] > least && curve[*n] > 0.0 && near.iter().all(|x| *x <= curve[*n])
    };
    (0..curve.len())
        .filter(tops)
        .map(|n| Seconds(n as f64 * STEP.0) - LAG)
        .collect()
}

#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
fn curve(samples: &[f32], rate: SampleRate) -> Vec<f32> {
    let window = hann(WINDOW);
    let mut transform = Transform::new(WINDOW);
    let hop = rate.samples(STEP);
    let count = (samples.len() as f64 / hop) as usize;
    let mut before = vec![vec![0.0_f32; WINDOW / 2]; BEFORE];
    let mut curve = Vec::with_capacity(count);
    for look in 0..count {
        let centre = (look as f64 * hop) as usize;
        for (n, (out, weight)) in transform.time.iter_mut().zip(&window).enumerate() {
            let sample = (centre + n).checked_sub(WINDOW / 2).and_then(|at| samples.get(at));
            *out = weight * sample.copied().unwrap_or(0.0);
        }
        transform.forward();
        let now = transform
            .bins
            .iter()
            .skip(1)
            .map(|bin| (1.0 + SQUEEZE * 4.0 / WINDOW as f32 * bin.norm()).ln());
        let now: Vec<f32> = now.take(WINDOW / 2).collect();
        let then = &before[look % BEFORE];
        curve.push(now.iter().zip(then).map(|(a, b)| (a - b).max(0.0)).sum());
        before[look % BEFORE] = now;
    }
    curve
}
