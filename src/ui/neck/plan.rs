//! How the neck lies on the page: flat or upright, from which side, and where its points fall in CSS pixels.

use crate::app::appearance::Side;
use crate::app::neck_view::NeckFrame;
use crate::steel::Fret;

/// Below this width the neck stands upright.
const UPRIGHT_BELOW: f64 = 700.0;
/// The least distance between strings, and the most: targets of at least 24 px.
const STRING_GAP: (f64, f64) = (24.0, 34.0);
/// The least length of the neck: a place must be a 24 px target (that of fret 23, half way to its neighbours, is
/// 2.04 % of the way to fret 24). All of it is in sight on a desk 1280 px wide.
const LEAST_LENGTH: f64 = 1178.0;
/// The least width of a place along the neck.
pub(super) const LEAST_PLACE: f64 = 24.0;
/// The width of the strings' names beside a neck that lies flat.
pub(super) const NAMES: f64 = 34.0;
/// Room before the nut, after the last fret, beside the numbers, and for the bar's grip.
const NUT_ROOM: f64 = 32.0;
const END_ROOM: f64 = 12.0;
pub(super) const NUMBERS: f64 = 26.0;
const GRIP: f64 = 40.0;

/// One way of laying the neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    pub upright: bool,
    pub length: f64,
    pub gap: f64,
    strings: usize,
    mirrored_along: bool,
    mirrored_across: bool,
}

impl Plan {
    pub(super) fn new(width: f64, strings: usize, side: Side) -> Self {
        let upright = width < UPRIGHT_BELOW;
        let spaces = count(strings.max(2));
        let gap = if upright {
            (width - NUMBERS - GRIP) / spaces
        } else {
            32.0
        };
        let length = if upright {
            LEAST_LENGTH
        } else {
            (width - NAMES - NUT_ROOM - END_ROOM).max(LEAST_LENGTH)
        };
        let (mirrored_along, mirrored_across) = match (upright, side) {
            (_, Side::Mine) => (false, upright),
            (_, Side::Facing) => (true, !upright),
            (true, Side::LeftHand) => (false, false),
            (false, Side::LeftHand) => (true, false),
        };
        let gap = gap.clamp(STRING_GAP.0, STRING_GAP.1);
        Self {
            upright,
            length,
            gap,
            strings,
            mirrored_along,
            mirrored_across,
        }
    }

    /// The place along the drawing of a part of the neck.
    pub(super) fn along(&self, part: f64) -> f64 {
        let x = NUT_ROOM + part * self.length;
        if self.mirrored_along { self.long() - x } else { x }
    }

    /// The part of the neck at a place along the drawing.
    pub(super) fn part(&self, place: f64) -> f64 {
        let x = if self.mirrored_along {
            self.long() - place
        } else {
            place
        };
        (x - NUT_ROOM) / self.length
    }

    /// The place across the drawing of a string by its index.
    pub(super) fn across(&self, string: usize) -> f64 {
        let index = if self.mirrored_across {
            self.strings - 1 - string.min(self.strings - 1)
        } else {
            string
        };
        NUMBERS + self.gap * (count(index) + 0.5)
    }

    /// A point of the drawing.
    pub(super) fn point(&self, along: f64, across: f64) -> (f64, f64) {
        if self.upright { (across, along) } else { (along, across) }
    }

    /// A rectangle of the drawing: x, y, width, height.
    pub(super) fn rect(&self, along: (f64, f64), across: (f64, f64)) -> (f64, f64, f64, f64) {
        let (a, b) = (along.0.min(along.1), along.0.max(along.1));
        let (x, y) = self.point(a, across.0);
        let (w, h) = if self.upright {
            (across.1 - across.0, b - a)
        } else {
            (b - a, across.1 - across.0)
        };
        (x, y, w, h)
    }

    /// The size along the neck.
    pub(super) fn long(&self) -> f64 {
        NUT_ROOM + self.length + END_ROOM
    }

    /// The size across: numbers, strings, grip.
    pub(super) fn broad(&self) -> f64 {
        self.strings_foot() + GRIP
    }

    /// Where the strings begin and end across.
    pub(super) fn strings_head(&self) -> f64 {
        NUMBERS
    }

    pub(super) fn strings_foot(&self) -> f64 {
        NUMBERS + self.gap * count(self.strings)
    }

    /// Width and height on the page.
    pub(super) fn size(&self) -> (f64, f64) {
        self.point(self.long(), self.broad())
    }

    /// Where the bar lies along the drawing.
    pub(super) fn bar(&self, frame: &NeckFrame, bar: Fret) -> f64 {
        self.along(frame.along(bar))
    }

    /// Where an arrow key leads: strings and frets to go.
    pub(super) fn step(&self, key: &str) -> Option<(isize, isize)> {
        let (dx, dy) = match key {
            "ArrowRight" => (1, 0),
            "ArrowLeft" => (-1, 0),
            "ArrowDown" => (0, 1),
            "ArrowUp" => (0, -1),
            _ => return None,
        };
        let (along, across) = if self.upright { (dy, dx) } else { (dx, dy) };
        let turn = |by: isize, mirrored: bool| if mirrored { -by } else { by };
        Some((turn(across, self.mirrored_across), turn(along, self.mirrored_along)))
    }
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn count(index: usize) -> f64 {
    index as f64
}
