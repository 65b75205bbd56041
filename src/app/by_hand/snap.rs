//! The grid on which a hand comes to rest.

use crate::solo::Shape;
use crate::theory::{Beats, Swing, Timeline, TimelineBar};

/// The step of a slide's or squeeze's length.
pub(super) const LENGTH: Beats = Beats(0.0625);
/// The shapes from the one that is fastest at first to the one that is slowest.
const SHAPES: [Shape; 4] = [Shape::Early, Shape::Even, Shape::Eased, Shape::Late];

/// The bar a moment lies in, and the step of its grid: sixteenths, or thirds of a beat where the song swings.
fn step(song: &Timeline, at: Beats) -> (Beats, Beats) {
    let index = song.bar_index_at(at + super::EPSILON);
    let bar: Option<&TimelineBar> = index.and_then(|i| song.bars.get(i)).or_else(|| song.bars.last());
    let swung = song.swing == Swing::Swung && bar.is_some_and(|b| b.metre.pulse() == Beats(1.0));
    let step = if swung { Beats(1.0 / 3.0) } else { Beats(0.25) };
    (bar.map_or(Beats::ZERO, |b| b.start), step)
}

/// The moment of the grid nearest to `at`.
pub(super) fn nearest(song: &Timeline, at: Beats) -> Beats {
    let (start, step) = step(song, at.max(Beats::ZERO));
    start + step.scaled(((at - start).0 / step.0).round())
}

/// The moment `steps` of the grid after `at` (before, where they are fewer than none).
pub(super) fn along(song: &Timeline, at: Beats, steps: i32) -> Beats {
    let (start, step) = step(song, at);
    let place = (at - start).0 / step.0;
    // From between two of its moments the first step leads to the next one.
    let from = if steps > 0 {
        (place + 1e-6).floor()
    } else {
        (place - 1e-6).ceil()
    };
    nearest(song, start + step.scaled(from + f64::from(steps)))
}

/// A length on its own grid, `steps` further.
pub(super) fn length(time: Beats, steps: i32) -> Beats {
    let place = (time.0 / LENGTH.0).round() + f64::from(steps);
    LENGTH.scaled(place.max(1.0))
}

/// The shape `steps` slower at first.
pub(super) fn shape(shape: Shape, steps: i32) -> Shape {
    let place = SHAPES.iter().position(|s| *s == shape).unwrap_or_default();
    let by = usize::try_from(steps.unsigned_abs()).unwrap_or(SHAPES.len());
    let place = if steps < 0 {
        place.saturating_sub(by)
    } else {
        place.saturating_add(by)
    };
    SHAPES.get(place.min(SHAPES.len() - 1)).copied().unwrap_or(shape)
}

/// The moments of the grid in the bar that a moment lies in, to be drawn.
#[must_use]
pub fn grid(song: &Timeline, around: Beats) -> Vec<Beats> {
    let (start, step) = step(song, around);
    let near = (0_u32..64).map(|i| start + step.scaled(f64::from(i)));
    let end = song
        .bars
        .iter()
        .find(|b| b.start > start + super::EPSILON)
        .map_or(song.length(), |b| b.start);
    near.take_while(|at| *at <= end + super::EPSILON).collect()
}
