//! A system of tablature as a picture: string names, bar lines, the chords and the count above, the signs.

use super::drawing::{Drawing, Picture, Weight, Words};
use crate::exchange::tab::{Mark, System, Tab};

/// The width of one character, the space between strings, and the margins, in pixels.
const CHARACTER: f64 = 8.43;
const STRING: f64 = 16.0;
/// The left edge of the strings where their names are short, and the room of a name's letter.
const LEFT: f64 = 46.0;
const LETTER: f64 = 7.3;
/// Where the strings' numbers end, and how far from them and from the strings their names stand.
const NUMBERS: f64 = 18.0;
const APART: f64 = 4.0;
const TOP: f64 = 48.0;
const FOOT: f64 = 12.0;
/// Where the rows above the strings stand.
const NUMBER_Y: f64 = 10.0;
const CHORD_Y: f64 = 22.0;
const COUNT_Y: f64 = 36.0;

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn times(count: usize) -> f64 {
    count as f64
}

fn row_y(row: usize) -> f64 {
    TOP + times(row) * STRING
}

/// Where the strings begin beside names of this length.
fn left(names: &[String]) -> f64 {
    let longest = names.iter().map(|name| name.chars().count()).max().unwrap_or(0);
    LEFT.max(NUMBERS + APART + LETTER * times(longest) + APART)
}

/// The picture of one system, its strings called by `names`.
pub(super) fn system(tab: &Tab, system: &System, names: &[String]) -> Picture {
    let left = left(names);
    let mut drawing = Drawing::default();
    let last = tab.rows.len().saturating_sub(1);
    let width = left + CHARACTER * times(system_room(tab, system));
    for (row, (string, name)) in tab.rows.iter().zip(names).enumerate() {
        let y = row_y(row);
        drawing.line((left, y), (width, y), 0.6);
        let number = string.string.number().to_string();
        drawing.words((NUMBERS, y + 4.5), &number, Words::End, Weight::Plain, 12.0);
        drawing.words((left - APART, y + 4.5), name, Words::End, Weight::Soft, 12.0);
    }
    drawing.line((left, row_y(0)), (left, row_y(last)), 1.0);
    let mut x = left;
    for piece in &system.pieces {
        let Some(bar) = tab.bars.get(piece.bar) else { continue };
        if piece.opens {
            let number = bar.number.to_string();
            drawing.words((x + 2.0, NUMBER_Y), &number, Words::Begin, Weight::Soft, 10.0);
        }
        x += CHARACTER;
        for index in piece.columns.clone() {
            let Some(column) = bar.columns.get(index) else { continue };
            if let Some(chord) = &column.chord {
                drawing.words((x, CHORD_Y), chord, Words::Begin, Weight::Bold, 14.0);
            }
            if let Some(count) = bar.counts.get(index).and_then(Option::as_ref) {
                drawing.words((x, COUNT_Y), count, Words::Begin, Weight::Soft, 11.0);
            }
            for (row, marks) in column.cells.iter().enumerate().filter(|(_, marks)| !marks.is_empty()) {
                let sign: String = marks.iter().map(Mark::text).collect();
                let y = row_y(row);
                drawing.ground((x - 1.0, y - 6.0), CHARACTER * times(sign.chars().count()) + 2.0, 12.0);
                drawing.words((x, y + 5.0), &sign, Words::Begin, Weight::Plain, 14.0);
            }
            x += CHARACTER * times(bar.room(index).0);
        }
        x += CHARACTER;
        if piece.closes {
            drawing.line((x, row_y(0)), (x, row_y(last)), 1.0);
        }
    }
    drawing.picture(width + 2.0, row_y(last) + FOOT)
}

/// How many characters a system is wide.
fn system_room(tab: &Tab, system: &System) -> usize {
    let piece = |piece: &crate::exchange::tab::Piece| {
        let bar = tab.bars.get(piece.bar)?;
        Some(2 + piece.columns.clone().map(|index| bar.room(index).0).sum::<usize>())
    };
    system.pieces.iter().filter_map(piece).sum()
}
