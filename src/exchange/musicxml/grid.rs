//! Moments brought to what notation can write: sixteenths or triplets of a count, never both in one.

use crate::theory::{Beats, Metre, Timeline};

/// Divisions of a quarter note: sixteenths and triplets both come out whole.
pub(super) const DIVISIONS: u32 = 24;
/// A sixteenth.
const SIXTEENTH: u32 = DIVISIONS / 4;

/// A bar in divisions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Frame {
    pub start: u32,
    pub length: u32,
    /// The length of a count: what no note may hide the beginning of, unless it begins on one.
    pub cell: u32,
}

impl Frame {
    fn of(start: u32, metre: Metre) -> Self {
        let length = u32::from(metre.count) * 4 * DIVISIONS / u32::from(metre.unit.max(1));
        let cell = match metre.unit {
            ..=4 => DIVISIONS,
            8 => DIVISIONS / 2,
            _ => SIXTEENTH,
        };
        Self {
            start,
            length,
            cell: cell.min(length.max(1)),
        }
    }

    pub(super) fn end(&self) -> u32 {
        self.start + self.length
    }
}

/// The song's bars.
pub(super) fn frames(song: &Timeline) -> Vec<Frame> {
    let mut start = 0;
    let mut found = Vec::with_capacity(song.bars.len());
    for bar in &song.bars {
        let frame = Frame::of(start, bar.metre);
        start = frame.end();
        found.push(frame);
    }
    found
}

/// The divisions of moments (rising), each on the grid of its count.
pub(super) fn snapped(moments: &[Beats], frames: &[Frame]) -> Vec<u32> {
    let raw: Vec<f64> = moments.iter().map(|m| m.0.max(0.0) * f64::from(DIVISIONS)).collect();
    let mut found = Vec::with_capacity(raw.len());
    let mut rest = raw.as_slice();
    while let Some(first) = rest.first() {
        let (start, cell) = cell_at(*first, frames);
        let end = f64::from(start + cell);
        let (own, after) = rest.split_at(rest.partition_point(|r| *r < end).max(1));
        let straight = SIXTEENTH.min(cell);
        let triplet = cell / 3;
        let misses = |grid: u32| -> f64 { own.iter().map(|r| (to_grid(*r, start, grid) - r).abs()).sum() };
        let grid = if cell > SIXTEENTH && misses(triplet) + 0.5 < misses(straight) {
            triplet
        } else {
            straight
        };
        found.extend(own.iter().map(|r| whole(to_grid(*r, start, grid).min(end))));
        rest = after;
    }
    found
}

/// The end of a count that a moment falls in, or the moment itself where one ends there.
pub(super) fn count_end(moment: Beats, frames: &[Frame]) -> u32 {
    let raw = moment.0.max(0.0) * f64::from(DIVISIONS);
    let (start, cell) = cell_at((raw - 1e-6).max(0.0), frames);
    start + cell
}

fn to_grid(raw: f64, start: u32, grid: u32) -> f64 {
    let (start, grid) = (f64::from(start), f64::from(grid.max(1)));
    start + ((raw - start) / grid).round() * grid
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // casts of floats stop at the ends
fn whole(raw: f64) -> u32 {
    raw.round() as u32
}

/// Where the count begins that holds a moment in divisions, and its length.
fn cell_at(raw: f64, frames: &[Frame]) -> (u32, u32) {
    let after = frames.partition_point(|f| f64::from(f.start) <= raw + 1e-9);
    let Some(frame) = after.checked_sub(1).and_then(|i| frames.get(i)) else {
        return (0, DIVISIONS);
    };
    let inside = whole((raw - f64::from(frame.start) + 1e-9).max(0.0).floor());
    (frame.start + inside / frame.cell * frame.cell, frame.cell)
}

/// A length cut into what single notes can last: within a count, or whole counts.
pub(super) fn pieces(from: u32, to: u32, frame: &Frame) -> Vec<u32> {
    let mut found = Vec::new();
    let mut at = from;
    while at < to {
        let inside = (at - frame.start) % frame.cell;
        let length = if inside > 0 {
            (frame.cell - inside).min(to - at)
        } else {
            let counts = (to - at) / frame.cell;
            let most = if frame.cell == DIVISIONS {
                [4, 3, 2, 1].as_slice()
            } else {
                [8, 6, 4, 3, 2, 1].as_slice()
            };
            most.iter().find(|n| **n <= counts).map_or(to - at, |n| n * frame.cell)
        };
        found.push(length);
        at += length;
    }
    found
}

/// How a length is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Value {
    pub kind: &'static str,
    pub dotted: bool,
    /// Whether three take the time of two.
    pub triplet: bool,
}

/// The value of a length that [`pieces`] gave; nothing when there is none.
pub(super) fn value(length: u32) -> Option<Value> {
    let (kind, dotted, triplet) = match length {
        96 => ("whole", false, false),
        72 => ("half", true, false),
        48 => ("half", false, false),
        36 => ("quarter", true, false),
        24 => ("quarter", false, false),
        18 => ("eighth", true, false),
        16 => ("quarter", false, true),
        12 => ("eighth", false, false),
        8 => ("eighth", false, true),
        6 => ("16th", false, false),
        4 => ("16th", false, true),
        _ => return None,
    };
    Some(Value { kind, dotted, triplet })
}
