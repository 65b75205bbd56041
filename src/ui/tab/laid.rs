//! Where the parts of a system stand.

use super::drawing::{CHARACTER, LEFT, row_y, times};
use crate::app::rehearsal::Hidden;
use crate::exchange::tab::{Column, System, Tab};
use crate::theory::Beats;
use std::sync::Arc;
use wasm_bindgen::JsCast;
use web_sys::Element;

/// What tells a column's element from others: its bar and its place in the bar.
pub(super) const PLACE: &str = "data-place";

/// A system as it is laid out. Lengths are in CSS pixels.
pub(super) struct Laid {
    pub(super) tab: Arc<Tab>,
    /// The strings that are drawn, as indices of the tab's rows.
    pub(super) rows: Vec<usize>,
    pub(super) columns: Vec<Placed>,
    /// The numbers of the bars that begin here, and where they stand.
    pub(super) numbers: Vec<(f64, usize)>,
    /// The bar lines, as a path.
    pub(super) lines: String,
    /// Where the strings end.
    pub(super) width: f64,
}

/// Where a column stands.
pub(super) struct Placed {
    /// Its bar and its place in the bar, as indices of the tab.
    pub(super) place: (usize, usize),
    pub(super) x: f64,
    pub(super) room: f64,
    /// Whether its bar is to be played from memory: its chord alone is shown.
    pub(super) veiled: bool,
}

impl Laid {
    pub(super) fn of(tab: &Arc<Tab>, system: &System, rows: &[usize], hidden: Hidden) -> Self {
        let (top, foot) = (row_y(0), row_y(rows.len().saturating_sub(1)));
        let mut laid = Self {
            tab: Arc::clone(tab),
            rows: rows.to_vec(),
            columns: Vec::new(),
            numbers: Vec::new(),
            lines: format!("M{LEFT:.1} {top:.1}V{foot:.1}"),
            width: LEFT,
        };
        for piece in &system.pieces {
            let Some(bar) = tab.bars.get(piece.bar) else { continue };
            if piece.opens {
                laid.numbers.push((laid.width + 2.0, bar.number));
            }
            laid.width += CHARACTER;
            let veiled = hidden.hides(bar.number - 1);
            for index in piece.columns.clone().filter(|index| *index < bar.columns.len()) {
                let room = times(bar.room(index).0) * CHARACTER;
                laid.columns.push(Placed {
                    place: (piece.bar, index),
                    x: laid.width,
                    room,
                    veiled,
                });
                laid.width += room;
            }
            laid.width += CHARACTER;
            if piece.closes {
                laid.lines += &format!("M{:.1} {top:.1}V{foot:.1}", laid.width);
            }
        }
        laid
    }

    /// The height of the last string.
    pub(super) fn foot(&self) -> f64 {
        row_y(self.rows.len().saturating_sub(1))
    }

    /// A column of the tab.
    pub(super) fn column(&self, (bar, index): (usize, usize)) -> Option<&Column> {
        self.tab.bars.get(bar)?.columns.get(index)
    }

    /// The columns' moments, left edges and widths.
    pub(super) fn places(&self) -> Vec<(Beats, f64, f64)> {
        let place = |placed: &Placed| Some((self.column(placed.place)?.at, placed.x, placed.room));
        self.columns.iter().filter_map(place).collect()
    }

    /// The moment of the column that an event comes from.
    pub(super) fn pointed(&self, event: &web_sys::Event) -> Option<Beats> {
        let within = event.target()?.dyn_into::<Element>().ok()?;
        let column = within.closest(".tab-column").ok()??;
        let place = column.get_attribute(PLACE)?;
        let (bar, index) = place.split_once('.')?;
        Some(self.column((bar.parse().ok()?, index.parse().ok()?))?.at)
    }
}
