//! The pulse: how long a beat may be, and where beats of that length fall.
//!
//! Lengths come from the autocorrelation of the beginnings. Beats of one length come by dynamic programming: each as
//! strong a beginning as can be, each about one length after the one before (Ellis, "Beat tracking by dynamic
//! programming", Journal of New Music Research 36(1), 51-60, 2007).

use super::flux::{FRAMES, Flux};
use crate::listen::transform::Transform;
use crate::theory::{Seconds, Tempo};

/// Tempi that are thought of.
const SLOWEST: Tempo = Tempo(42.0);
const FASTEST: Tempo = Tempo(230.0);

/// How many lengths of the beat are tried.
const MOST: usize = 10;

/// How much a beat off its time costs, in deviations of the beginnings.
const TIGHT: f32 = 120.0;

/// A beginning this many deviations above its surroundings is clear.
const CLEAR: f32 = 1.0;

/// Two lengths this near, as a part, are one.
const SAME: f64 = 0.04;

/// Longest lag of the autocorrelation, in seconds: eight bars at a slow tempo are too long to matter.
const LONGEST: f64 = 9.0;

/// The autocorrelation of the beginnings.
#[derive(Debug, Clone)]
pub(super) struct Echo(Vec<f32>);

impl Echo {
    /// Of the curve of all beginnings.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub(super) fn of(flux: &Flux) -> Self {
        let count = flux.all.len();
        let lags = ((LONGEST * FRAMES) as usize).min(count / 2);
        let mut transform = Transform::new((count + lags + 2).next_power_of_two().max(4));
        transform.time[..count].copy_from_slice(&flux.all);
        transform.forward();
        for bin in &mut transform.bins {
            *bin = super::Bin::new(bin.norm_sqr(), 0.0);
        }
        transform.backward();
        let still = transform.time[0].max(f32::MIN_POSITIVE);
        let unbiased = |lag: usize| transform.time[lag] / still * count as f32 / (count - lag) as f32;
        Self((0..=lags).map(unbiased).collect())
    }

    /// At a lag in frames, between -1 and about 1.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub(super) fn at(&self, lag: f64) -> f32 {
        let below = lag.floor().max(0.0) as usize;
        match (self.0.get(below), self.0.get(below + 1)) {
            (Some(a), Some(b)) => a + (b - a) * (lag - below as f64) as f32,
            _ => 0.0,
        }
    }

    /// How well beats of `period` frames and their multiples repeat.
    fn comb(&self, period: f64) -> f32 {
        (1..=4).map(|n| self.at(period * f64::from(n))).sum()
    }

    /// Lengths of the beat in frames that are worth trying: the best repeating, with their simple relations.
    pub(super) fn periods(&self) -> Vec<f64> {
        let (shortest, longest) = (FRAMES * 60.0 / FASTEST.0, FRAMES * 60.0 / SLOWEST.0);
        let grid = |n: u32| shortest * 1.005_f64.powf(f64::from(n));
        let inside = |period: &f64| (shortest..=longest).contains(period);
        let mut peaks: Vec<f64> = (1..)
            .take_while(|n| inside(&grid(*n)))
            .filter(|n| {
                let [a, b, c] = [n - 1, *n, n + 1].map(|n| self.comb(grid(n)));
                b >= a && b > c
            })
            .map(grid)
            .collect();
        peaks.sort_by(|a, b| self.comb(*b).total_cmp(&self.comb(*a)));
        let related = peaks
            .iter()
            .take(3)
            .flat_map(|p| [2.0, 0.5, 3.0, 1.0 / 3.0, 1.5, 2.0 / 3.0].map(|by| p * by));
        let all: Vec<f64> = peaks.iter().take(6).copied().chain(related.filter(inside)).collect();
        let mut kept: Vec<f64> = Vec::new();
        for period in all {
            if kept.len() < MOST && kept.iter().all(|k| (k / period).ln().abs() > SAME) {
                kept.push(period);
            }
        }
        kept
    }
}

/// Beats about `period` frames apart, in frames, from the first to the last beginning.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)]
pub(super) fn beats(flux: &Flux, period: f64) -> Vec<usize> {
    let onset = &flux.all;
    let (near, far) = ((period * 0.7) as usize, (period * 1.4).ceil() as usize);
    let costs: Vec<f32> = (near..=far)
        .map(|step| TIGHT * ((step.max(1) as f64 / period).ln().powi(2)) as f32)
        .collect();
    let mut score = onset.clone();
    let mut back = vec![usize::MAX; onset.len()];
    for frame in near.max(1)..onset.len() {
        let mut best = (0.0, usize::MAX);
        for (step, cost) in (near..=far).zip(&costs) {
            let Some(from) = frame.checked_sub(step).filter(|_| step > 0) else {
                break;
            };
            if score[from] - cost > best.0 {
                best = (score[from] - cost, from);
            }
        }
        score[frame] += best.0;
        back[frame] = best.1;
    }
    let Some((begin, end)) = sounding(onset) else {
        return Vec::new();
    };
    let tail = end.saturating_sub(near / 2)..(end + near / 2).min(onset.len());
    let Some(last) = tail.max_by(|a, b| score[*a].total_cmp(&score[*b])) else {
        return Vec::new();
    };
    let mut beats: Vec<usize> =
        std::iter::successors(Some(last), |at| Some(back[*at]).filter(|at| *at != usize::MAX)).collect();
    beats.reverse();
    beats.retain(|beat| beat + near / 2 >= begin);
    beats
}

/// The first and the last frame in which something clearly begins.
fn sounding(onset: &[f32]) -> Option<(usize, usize)> {
    let begins = |x: &f32| *x > CLEAR;
    Some((onset.iter().position(begins)?, onset.iter().rposition(begins)?))
}

/// When a frame is.
#[allow(clippy::cast_precision_loss)]
pub(super) fn time(frame: f64) -> Seconds {
    Seconds(frame / FRAMES)
}
