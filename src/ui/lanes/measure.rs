//! Where everything of the lanes lies, in CSS pixels.

use crate::app::lanes_view::{Axis, LanesView};
use crate::app::rehearsal::Limb;
use crate::steel::{Fret, Travel};
use crate::theory::Beats;

const HEAD: f64 = 48.0;
const PATH: f64 = 132.0;
const RIBBON: f64 = 20.0;
const RIBBON_GAP: f64 = 6.0;
const ROW: f64 = 16.0;
const GAP: f64 = 14.0;
const FOOT: f64 = 8.0;
/// Space left of the first beat and right of the last.
const SIDE: f64 = 14.0;

/// How wide a beat is drawn: steps around what fits the width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Zoom(i32);

impl Zoom {
    pub(super) fn near(&mut self) {
        self.0 = (self.0 + 1).min(4);
    }

    pub(super) fn out(&mut self) {
        self.0 = (self.0 - 1).max(-4);
    }

    /// Pixels a beat: four bars of common time on a desk, two on a phone, before any step.
    pub(super) fn scale(self, width: f64) -> f64 {
        let beats = if width < 600.0 { 7.5 } else { 16.0 };
        let fitting = ((width - 60.0) / beats).clamp(38.0, 84.0);
        (fitting * 1.25_f64.powi(self.0)).clamp(14.0, 220.0)
    }
}

/// The measures of one drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Measure {
    beat: f64,
    length: Beats,
    axis: Axis,
    limb: Limb,
    ribbons: usize,
    rows: usize,
}

impl Measure {
    /// The measures of the lanes of one limb, or of all of them.
    pub(super) fn new(lanes: &LanesView, axis: Axis, beat: f64, limb: Limb) -> Self {
        let only = |own: Limb, count: usize| {
            if matches!(limb, Limb::All) || limb == own {
                count
            } else {
                0
            }
        };
        Self {
            beat,
            length: lanes.length,
            axis,
            limb,
            ribbons: only(Limb::Feet, lanes.ribbons.len()),
            rows: only(Limb::Hand, lanes.rows.len()),
        }
    }

    pub(super) fn x(&self, at: Beats) -> f64 {
        SIDE + at.0 * self.beat
    }

    /// The moment at a place, within the song.
    pub(super) fn at(&self, x: f64) -> Beats {
        Beats(((x - SIDE) / self.beat).clamp(0.0, self.length.0))
    }

    /// How long a stretch of so many pixels is.
    pub(super) fn beats(&self, pixels: f64) -> Beats {
        Beats(pixels / self.beat)
    }

    /// How many frets so many pixels are, downwards; frets count upwards.
    pub(super) fn frets(&self, pixels: f64) -> Fret {
        Fret(-pixels / (PATH - 20.0) * (self.axis.high.0 - self.axis.low.0))
    }

    /// Which limb is drawn.
    pub(super) fn limb(&self) -> Limb {
        self.limb
    }

    /// Whether the bar's path is drawn.
    pub(super) fn has_path(&self) -> bool {
        matches!(self.limb, Limb::All | Limb::Bar)
    }

    /// How many ribbons are drawn.
    pub(super) fn ribbons(&self) -> usize {
        self.ribbons
    }

    /// How many strings are drawn.
    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    pub(super) fn axis(&self) -> Axis {
        self.axis
    }

    pub(super) fn width(&self) -> f64 {
        self.x(self.length) + SIDE
    }

    pub(super) fn height(&self) -> f64 {
        if self.rows == 0 {
            return self.ribbons_foot() + GAP;
        }
        self.row(self.rows) - ROW / 2.0 + FOOT
    }

    pub(super) fn head(&self) -> f64 {
        HEAD
    }

    pub(super) fn fret(&self, fret: Fret) -> f64 {
        HEAD + 10.0 + self.axis.part(fret) * (PATH - 20.0)
    }

    pub(super) fn path_foot(&self) -> f64 {
        if self.has_path() { HEAD + PATH } else { HEAD }
    }

    /// The line a ribbon stands on.
    pub(super) fn ribbon(&self, index: usize) -> f64 {
        self.path_foot() + GAP + RIBBON + count(index) * (RIBBON + RIBBON_GAP)
    }

    /// How high a ribbon stands above its line.
    pub(super) fn travel(&self, travel: Travel) -> f64 {
        travel.0.clamp(0.0, 1.0) * RIBBON
    }

    fn ribbons_foot(&self) -> f64 {
        if self.ribbons == 0 {
            self.path_foot()
        } else {
            self.ribbon(self.ribbons - 1)
        }
    }

    /// The middle of a string's row.
    pub(super) fn row(&self, index: usize) -> f64 {
        self.ribbons_foot() + GAP + ROW / 2.0 + count(index) * ROW
    }
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn count(index: usize) -> f64 {
    index as f64
}
