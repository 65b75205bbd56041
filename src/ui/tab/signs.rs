//! The signs of a system, written by hand: the names of its strings, its columns, the signs in their cells.

use super::drawing::{CHARACTER, TOP, row_y, times};
use super::laid::{Laid, PLACE, Placed};
use crate::exchange::tab::{Mark, RAKE, Step, Way};
use crate::ui::drawn::{part, path, plain_rect, rect, text};
use crate::ui::language::notes;
use wasm_bindgen::JsValue;
use web_sys::Element;

/// How far the foot of a fret's figure stands below its string, in CSS pixels.
const FOOT: f64 = 4.8;

/// The columns that are drawn, and which of them is marked.
pub(super) struct Signs {
    columns: Vec<((usize, usize), Element)>,
    marked: Option<usize>,
}

impl Signs {
    /// Draws a system's signs into a group of their own, in the place of what was in it.
    pub(super) fn draw(into: &Element, laid: &Laid) -> Result<Self, JsValue> {
        into.set_text_content(None);
        let rows = laid.rows.iter().filter_map(|row| laid.tab.rows.get(*row));
        for (index, row) in rows.enumerate() {
            let y = row_y(index) + 4.0;
            text(into, "tab-number", (14.0, y), &row.string.number().to_string())?;
            text(into, "tab-name", (34.0, y), &notes(&row.name))?;
        }
        for (x, number) in &laid.numbers {
            text(into, "tab-bar", (*x, 9.0), &number.to_string())?;
        }
        let draw = |placed: &Placed| Ok((placed.place, draw_column(into, laid, placed)?));
        Ok(Self {
            columns: laid.columns.iter().map(draw).collect::<Result<_, JsValue>>()?,
            marked: None,
        })
    }

    /// Marks the column that sounds, and no other.
    pub(super) fn mark(&mut self, now: Option<(usize, usize)>) -> Result<(), JsValue> {
        let marked = now.and_then(|now| self.columns.iter().position(|(place, _)| *place == now));
        if marked == self.marked {
            return Ok(());
        }
        for (index, class) in [(self.marked, "tab-column"), (marked, "tab-column now")] {
            if let Some((_, column)) = index.and_then(|index| self.columns.get(index)) {
                column.set_attribute("class", class)?;
            }
        }
        self.marked = marked;
        Ok(())
    }
}

fn draw_column(into: &Element, laid: &Laid, placed: &Placed) -> Result<Element, JsValue> {
    let (bar, index) = placed.place;
    let place = format!("{bar}.{index}");
    let drawn = part(into, "g", &[("class", "tab-column"), (PLACE, &place)])?;
    let corner = (placed.x - 4.0, TOP - 9.0);
    rect(&drawn, "tab-now", corner, (placed.room, laid.foot() - TOP + 18.0))?;
    let Some(column) = laid.column(placed.place) else {
        return Ok(drawn);
    };
    if let Some(chord) = &column.chord {
        text(&drawn, "tab-chord", (placed.x, 24.0), chord)?;
    }
    let rows = if placed.veiled { &[][..] } else { &laid.rows };
    let cells = rows.iter().filter_map(|row| column.cells.get(*row)).enumerate();
    for (row, marks) in cells.filter(|(_, marks)| !marks.is_empty()) {
        draw_cell(&drawn, marks, placed.x, row_y(row))?;
    }
    Ok(drawn)
}

/// The signs of one cell, each where the plain text has it.
fn draw_cell(into: &Element, marks: &[Mark], x: f64, y: f64) -> Result<(), JsValue> {
    let room = |mark: &Mark| times(mark.text().chars().count()) * CHARACTER;
    let all: f64 = marks.iter().map(room).sum();
    plain_rect(into, "tab-ground", (x - 1.5, y - 6.0), (all + 1.0, 12.0))?;
    let mut place = x;
    for mark in marks {
        draw_mark(into, mark, place, y)?;
        place += room(mark);
    }
    Ok(())
}

fn draw_mark(into: &Element, mark: &Mark, x: f64, y: f64) -> Result<(), JsValue> {
    match mark {
        Mark::Pick { step, harmonic, raked } => {
            let fret = text(into, "tab-fret", (x, y + FOOT), "")?;
            sign(&fret, if *raked { RAKE } else { "" })?;
            name(&fret, step)?;
            match harmonic {
                None => Ok(()),
                Some(12) => sign(&fret, "*"),
                Some(harmonic) => sign(&fret, &format!("*{harmonic}")),
            }
        }
        Mark::Slide(way, step) => led(into, &slide(*way, x, y), step, x, y),
        Mark::Press(step) => led(into, &format!("M{x:.1} {y:.1}q2 -4.5 3.5 0t3.5 0"), step, x, y),
        Mark::Hold(step) => led(into, &format!("M{x:.1} {:.1}h6m-6 4h6", y - 2.0), step, x, y),
        Mark::Away(way) => path(into, "tab-slide", &slide(*way, x, y)).map(drop),
        Mark::Stop => path(into, "tab-stop", &format!("M{x:.1} {:.1}l7 7m0 -7l-7 7", y - 3.5)).map(drop),
    }
}

/// A fret that is come to without a pluck, behind the sign of how.
fn led(into: &Element, how: &str, step: &Step, x: f64, y: f64) -> Result<(), JsValue> {
    path(into, "tab-slide", how)?;
    name(&text(into, "tab-fret held", (x + CHARACTER, y + FOOT), "")?, step)
}

/// A fret, with the pedals and levers that go with it.
fn name(into: &Element, step: &Step) -> Result<(), JsValue> {
    into.append_with_str_1(&step.fret)?;
    sign(into, &step.signs)
}

/// A sign beside a fret.
fn sign(into: &Element, words: &str) -> Result<(), JsValue> {
    if !words.is_empty() {
        part(into, "tspan", &[("class", "tab-sign")])?.set_text_content(Some(words));
    }
    Ok(())
}

fn slide(way: Way, x: f64, y: f64) -> String {
    match way {
        Way::Up => format!("M{:.1} {:.1}l6 -9", x + 0.5, y + 4.5),
        Way::Down => format!("M{:.1} {:.1}l6 9", x + 0.5, y - 4.5),
    }
}
