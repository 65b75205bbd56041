//! The part of the lanes that is in sight, with room on both sides: only that is drawn.

use super::measure::Measure;
use crate::theory::Beats;
use leptos::prelude::*;
use std::ops::Range;

/// How much of the view the place moves before another part is drawn.
const STEP: f64 = 0.5;
/// What is drawn before the view's left edge and after it, in steps.
const BEFORE: f64 = 2.0;
const AFTER: f64 = 5.0;
/// Before the view is measured, as if it were this wide, in CSS pixels.
const UNMEASURED: f64 = 1200.0;
/// A string may ring this long before the window begins and still be seen in it.
const LONGEST_RING: Beats = Beats(16.0);

/// The stretch of the song that is drawn; `left` is how far the view is scrolled, `width` its width, in CSS pixels.
pub(super) fn window(measure: Memo<Measure>, left: RwSignal<f64>, width: Signal<f64>) -> Memo<Range<Beats>> {
    let step = Memo::new(move |_| {
        let width = width.get();
        let width = if width < 1.0 { UNMEASURED } else { width };
        let step = width * STEP;
        ((left.get() / step).floor(), step)
    });
    Memo::new(move |_| {
        let (index, step) = step.get();
        measure.with(|m| m.at((index - BEFORE) * step)..m.at((index + AFTER) * step))
    })
}

/// Whether something that lasts from `from` to `to` is seen.
pub(super) fn shows(window: &Range<Beats>, from: Beats, to: Beats) -> bool {
    from <= window.end && to >= window.start
}

/// Whether a ring that begins at `at` may be seen.
pub(super) fn may_ring(window: &Range<Beats>, at: Beats) -> bool {
    at <= window.end && at + LONGEST_RING >= window.start
}

/// The points inside the window, with one more at each end.
pub(super) fn points<'a, T>(all: &'a [(Beats, T)], window: &Range<Beats>) -> &'a [(Beats, T)] {
    let from = all.partition_point(|(at, _)| *at < window.start).saturating_sub(1);
    let to = (all.partition_point(|(at, _)| *at <= window.end) + 1).min(all.len());
    all.get(from..to.max(from)).unwrap_or_default()
}
