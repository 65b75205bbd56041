//! Beat and bar: of all the ways a recording could be counted, the likeliest.
//!
//! A way of counting is a length of the beat, where beats fall, how many make a bar and which is the first. Each way
//! is described by figures (what begins on and between its beats, how harmony changes over its bars, what repeats)
//! and weighed by a straight sum of them, whose weights are learned by `tests/outside/listen/learn.py`.

use super::flux::{FRAMES, Flux, KINDS};
use super::harmony::{Colours, alike, colours};
use super::notes::Notes;
use super::pulse::{Echo, beats, time};
use crate::theory::Seconds;

/// Figures of one way of counting.
pub const FIGURES: usize = 73;

/// The strongest beginnings may be off the beat: half way, or where a swung eighth falls, either way round.
const SHIFTS: [f64; 4] = [0.0, 0.35, 0.5, 0.65];

/// A way of counting.
#[derive(Debug, Clone, PartialEq)]
pub struct Counting {
    /// When beats fall.
    pub beats: Vec<Seconds>,
    /// Beats in a bar: 3 or 4.
    pub count: usize,
    /// Which of the beats is the first one of a bar.
    pub first: usize,
    /// What it is weighed by.
    pub figures: [f32; FIGURES],
}

/// Every way of counting that is worth weighing.
pub(super) fn countings(flux: &Flux, notes: &Notes) -> Vec<Counting> {
    let echo = Echo::of(flux);
    let mut all = Vec::new();
    for period in echo.periods() {
        let on = beats(flux, period);
        if on.len() < 8 {
            continue;
        }
        for part in SHIFTS {
            all.extend(of_beats(&echo, flux, notes, &shifted(&on, part)));
        }
    }
    all
}

/// Beats that fall this part of a beat later.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
fn shifted(beats: &[usize], part: f64) -> Vec<usize> {
    if part == 0.0 {
        return beats.to_vec();
    }
    let later = |pair: &[usize]| pair[0] + ((pair[1] - pair[0]) as f64 * part).round() as usize;
    // What is strongest may lie behind the beat from the first one on: there is one more before.
    let ahead = beats
        .first()
        .zip(beats.get(1))
        .map(|(a, b)| (*a as f64 - (b - a) as f64 * (1.0 - part)).round());
    let ahead = ahead.filter(|at| *at >= 0.0).map(|at| at as usize);
    ahead.into_iter().chain(beats.windows(2).map(later)).collect()
}

/// The ways of counting these beats in bars.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn of_beats(echo: &Echo, flux: &Flux, notes: &Notes, frames: &[usize]) -> Vec<Counting> {
    let look = Look::of(flux, notes, frames);
    let times: Vec<Seconds> = frames.iter().map(|frame| time(*frame as f64)).collect();
    let mut shared = [0.0_f32; FIGURES];
    let mut put = Writer(&mut shared, 0);
    look.pulse(flux, &mut put);
    let period = look.period;
    for by in [1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 0.5, 1.0 / 3.0] {
        put.put(echo.at(period * by));
    }
    let length = (period / FRAMES / 0.55).ln() as f32;
    put.put(length);
    put.put(length * length);
    let at = put.1;
    let mut all = Vec::new();
    for count in [3, 4] {
        for first in 0..count {
            let mut figures = shared;
            let mut put = Writer(&mut figures, at);
            look.bars(count, first, &mut put);
            all.push(Counting {
                beats: rung_out(&times, count, first),
                count,
                first,
                figures,
            });
        }
    }
    all
}

/// Beats with the rest of the last bar, through which the last chord rings.
fn rung_out(beats: &[Seconds], count: usize, first: usize) -> Vec<Seconds> {
    let mut all = beats.to_vec();
    if let [.., before, last] = beats {
        let step = *last - *before;
        while !(all.len() + count - first).is_multiple_of(count) {
            all.push(all[all.len() - 1] + step);
        }
    }
    all
}

/// Writes figures one behind the other.
struct Writer<'a>(&'a mut [f32; FIGURES], usize);

impl Writer<'_> {
    fn put(&mut self, value: f32) {
        if let Some(place) = self.0.get_mut(self.1) {
            *place = if value.is_finite() { value } else { 0.0 };
        }
        self.1 += 1;
    }

    fn skip(&mut self, count: usize) {
        self.1 += count;
    }
}

/// What is to be seen at beats.
struct Look {
    period: f64,
    frames: Vec<usize>,
    /// Beginnings of each part at each beat.
    begins: Vec<[f32; KINDS]>,
    /// How much harmony and bass change at each beat, and half way to the next.
    change: Vec<[f32; 2]>,
    change_between: f32,
    /// What sounds from each beat to the next.
    colours: Vec<Colours>,
}

impl Look {
    #[allow(clippy::cast_precision_loss)]
    fn of(flux: &Flux, notes: &Notes, frames: &[usize]) -> Self {
        let span = frames.last().unwrap_or(&0) - frames.first().unwrap_or(&0);
        let period = span as f64 / (frames.len() - 1).max(1) as f64;
        let change_at = |at: f64| {
            let around = |from: f64, to: f64| colours(&notes.between(time(at + from * period), time(at + to * period)));
            let (before, after) = (around(-1.0, 0.0), around(0.0, 1.0));
            [
                1.0 - alike(&before[12..], &after[12..]),
                1.0 - alike(&before[..12], &after[..12]),
            ]
        };
        let change: Vec<[f32; 2]> = frames.iter().map(|frame| change_at(*frame as f64)).collect();
        let between: f32 = frames
            .iter()
            .map(|frame| change_at(*frame as f64 + period / 2.0)[0])
            .sum();
        let ends = frames.iter().map(|frame| *frame as f64).zip(frames.iter().skip(1));
        Self {
            period,
            begins: frames.iter().map(|frame| strongest(flux, *frame as f64)).collect(),
            change,
            change_between: between / frames.len() as f32,
            colours: ends
                .map(|(a, b)| colours(&notes.between(time(a), time(*b as f64))))
                .collect(),
            frames: frames.to_vec(),
        }
    }

    /// Figures of the beat alone: 3 on it, 3 half way, 3 at quarters, 3 at each third, 2 of harmony. The thirds are told
    /// apart because a swung eighth falls on the second of them: seen from there, the beat falls on the first.
    #[allow(clippy::cast_precision_loss)]
    fn pulse(&self, flux: &Flux, put: &mut Writer) {
        for places in [&[0.0][..], &[0.5], &[0.25, 0.75], &[1.0 / 3.0], &[2.0 / 3.0]] {
            let mut sum = [0.0; KINDS];
            for (frame, place) in self.frames.iter().flat_map(|f| places.iter().map(move |p| (*f, *p))) {
                let begins = strongest(flux, frame as f64 + place * self.period);
                sum.iter_mut().zip(begins).for_each(|(sum, x)| *sum += x);
            }
            let count = (self.frames.len() * places.len()) as f32;
            sum.iter().for_each(|sum| put.put((sum / count + 0.1).ln()));
        }
        let on = self.change.iter().map(|c| c[0]).sum::<f32>() / self.change.len() as f32;
        put.put(on * 5.0);
        put.put(self.change_between * 5.0);
    }

    /// Figures of bars of `count` beats from the beat `first`: a block for threes or one for fours, and 6 of repeats.
    fn bars(&self, count: usize, first: usize, put: &mut Writer) {
        const KIND: usize = KINDS + 2;
        if count == 4 {
            put.skip(3 * KIND);
        }
        let value = |beat: usize, kind: usize| match kind.checked_sub(KINDS) {
            None => self.begins[beat][kind],
            Some(change) => 3.0 * self.change[beat][change],
        };
        for kind in 0..KIND {
            let all = mean((0..self.frames.len()).map(|beat| value(beat, kind)));
            for place in 0..count {
                let here = mean(
                    (first + place..self.frames.len())
                        .step_by(count)
                        .map(|beat| value(beat, kind)),
                );
                put.put(((here + 0.1) / (all + 0.1)).ln());
            }
        }
        if count == 3 {
            put.skip(4 * KIND);
        }
        // How much of what repeats, repeats after whole bars.
        for bars in [1, 2, 4, 8] {
            put.put(self.repeats(count * bars));
        }
        put.put(if count == 3 { 1.0 } else { 0.0 });
        let within = |beat: &usize| !(beat + count - first).is_multiple_of(count);
        let inside = mean((1..self.change.len()).filter(within).map(|beat| self.change[beat][0]));
        put.put(inside * 5.0);
    }

    /// How alike beats so many apart are, over how alike any two are.
    fn repeats(&self, apart: usize) -> f32 {
        let pairs = |lag: usize| {
            mean(
                self.colours
                    .iter()
                    .zip(self.colours.iter().skip(lag))
                    .map(|(a, b)| alike(a, b)),
            )
        };
        let near = [apart.saturating_sub(1), apart + 1].map(pairs);
        5.0 * (pairs(apart) - f32::midpoint(near[0], near[1]))
    }
}

/// The strongest beginning of each part within 20 ms of a frame.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn strongest(flux: &Flux, frame: f64) -> [f32; KINDS] {
    let at = frame.round().max(0.0) as usize;
    std::array::from_fn(|kind| {
        let part = &flux.parts[kind];
        let near = part
            .get(at.saturating_sub(2)..(at + 3).min(part.len()))
            .unwrap_or_default();
        near.iter().copied().fold(0.0, f32::max)
    })
}

#[allow(clippy::cast_precision_loss)]
fn mean(values: impl Iterator<Item = f32>) -> f32 {
    let (sum, count) = values.fold((0.0, 0_usize), |(sum, count), x| (sum + x, count + 1));
    sum / count.max(1) as f32
}
