//! Bars broken into systems of a given width, and the width of every column, in characters of one width.

use super::{Bar, Column, Tab};
use crate::theory::Beats;
use derive_more::{Add, AddAssign, Sub, Sum};
use std::ops::Range;

/// A width in characters of a fixed-width type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Add, Sub, AddAssign, Sum)]
pub struct Characters(pub usize);

/// One more character of room for each stretch of this length that a column lasts.
const ROOM_EVERY: Beats = Beats(0.5);
/// The most room after a column.
const MOST_ROOM: usize = 4;
/// A movement that arrives this soon stands right against what it comes from.
const CLOSE: Beats = Beats(0.3);

/// A row of bars (or, where a bar is too wide, parts of bars).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct System {
    /// What stands in it, from left to right.
    pub pieces: Vec<Piece>,
}

/// Some columns of one bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Index in [`Tab::bars`].
    pub bar: usize,
    /// Which columns.
    pub columns: Range<usize>,
    /// Whether the bar begins here.
    pub opens: bool,
    /// Whether the bar ends here, with a bar line.
    pub closes: bool,
}

impl Bar {
    /// The room of column `index`, from its left edge to the next column's.
    #[must_use]
    pub fn room(&self, index: usize) -> Characters {
        let Some(column) = self.columns.get(index) else {
            return Characters(0);
        };
        let cells = column.text_width().0;
        let joined = self.columns.get(index + 1).is_some_and(|next| column.touches(next));
        let gap = if joined {
            0
        } else {
            1 + steps(column.lasts).min(MOST_ROOM)
        };
        // A chord's number may reach over the next column, unless that has one of its own.
        let free = self.columns.get(index + 1).is_some_and(|next| next.chord.is_none());
        let label = column
            .chord
            .as_ref()
            .filter(|_| !free)
            .map_or(0, |c| c.chars().count() + 1);
        let counted = self.counts.get(index).and_then(Option::as_ref);
        let count = counted.filter(|_| !joined).map_or(0, |c| c.chars().count() + 1);
        Characters((cells + gap).max(label).max(count))
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn steps(lasts: Beats) -> usize {
    (lasts.0 / ROOM_EVERY.0).floor().max(0.0) as usize
}

impl Column {
    /// Whether every sign of `next`, the column after it, arrives so soon from a sign of this one that the two
    /// stand against each other.
    pub(super) fn touches(&self, next: &Self) -> bool {
        self.lasts < CLOSE
            && !next.is_plucked()
            && next.chord.is_none()
            && self
                .cells
                .iter()
                .zip(&next.cells)
                .all(|(here, there)| there.is_empty() || !here.is_empty())
    }

    /// The width of its widest cell.
    #[must_use]
    pub fn text_width(&self) -> Characters {
        let cell = |marks: &Vec<super::Mark>| marks.iter().map(|m| m.text().chars().count()).sum();
        Characters(self.cells.iter().map(cell).max().unwrap_or(0).max(1))
    }
}

impl Tab {
    /// The systems that fit `width` (the room for columns and bar lines, without the string names): broken at
    /// bar lines, and inside a bar only where the bar alone is too wide.
    #[must_use]
    pub fn systems(&self, width: Characters) -> Vec<System> {
        let mut systems: Vec<System> = Vec::new();
        let mut used = 0;
        for (index, bar) in self.bars.iter().enumerate() {
            let whole = 2 + (0..bar.columns.len()).map(|c| bar.room(c).0).sum::<usize>();
            if used > 0 && used + whole <= width.0 {
                used += whole;
                if let Some(last) = systems.last_mut() {
                    last.pieces.push(Piece {
                        bar: index,
                        columns: 0..bar.columns.len(),
                        opens: true,
                        closes: true,
                    });
                }
                continue;
            }
            let mut rest = 0;
            while rest < bar.columns.len() {
                let end = fitting(bar, rest, width);
                let closes = end == bar.columns.len();
                systems.push(System {
                    pieces: vec![Piece {
                        bar: index,
                        columns: rest..end,
                        opens: rest == 0,
                        closes,
                    }],
                });
                used = 2 + (rest..end).map(|c| bar.room(c).0).sum::<usize>();
                rest = end;
            }
        }
        systems
    }
}

/// The end of the columns from `from` that fit one system; always at least one.
fn fitting(bar: &Bar, from: usize, width: Characters) -> usize {
    let mut used = 2;
    let mut end = from;
    while end < bar.columns.len() {
        used += bar.room(end).0;
        if used > width.0 && end > from {
            break;
        }
        end += 1;
    }
    end
}
