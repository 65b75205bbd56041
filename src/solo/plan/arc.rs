//! The arc of a solo: where on the neck it is to be at each moment.
//!
//! *Invariant:* a wish, never a wall: what comes nearest to it is taken.
//!
//! One high point at about two thirds: common practice, no source.

use crate::solo::request::Request;
use crate::theory::{Beats, Timeline};
use std::ops::Range;

/// The high point comes after this part of the solo.
const HIGH_POINT: f64 = 0.66;

/// The wished-for fret over the solo: from the start up (or down) to the high point, then to the end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Arc {
    from: Beats,
    length: Beats,
    frets: [f64; 3],
}

impl Arc {
    pub(super) fn over(timeline: &Timeline, bars: &Range<usize>, request: &Request) -> Self {
        let start = timeline.bars.get(bars.start).map_or(Beats::ZERO, |b| b.start);
        let last = timeline.bars.get(bars.end.saturating_sub(1));
        let end = last.map_or(Beats::ZERO, |b| b.start + b.metre.bar());
        Self {
            from: start,
            length: end - start,
            frets: [request.start_fret, request.high_fret, request.end_fret].map(f64::from),
        }
    }

    pub(super) fn fret(&self, at: Beats) -> f64 {
        let x = ((at - self.from).0 / self.length.0.max(1e-9)).clamp(0.0, 1.0);
        let [start, high, end] = self.frets;
        if x < HIGH_POINT {
            start + (high - start) * x / HIGH_POINT
        } else {
            high + (end - high) * (x - HIGH_POINT) / (1.0 - HIGH_POINT)
        }
    }
}

/// The fret the arc of a request wishes for at each moment of some bars.
pub(in crate::solo) fn wished_fret(
    timeline: &Timeline,
    bars: &Range<usize>,
    request: &Request,
) -> impl Fn(Beats) -> f64 + use<> {
    let arc = Arc::over(timeline, bars, request);
    move |at| arc.fret(at)
}
