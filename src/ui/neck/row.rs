//! A string's places on the neck: an element for each, written by hand.
//!
//! A neck has about 250 places, and each can change in six ways. As views that listen each for itself they took 1.4 MB; so
//! a row listens for all of its places, and writes only what differs from what it wrote last.

use super::plan::{LEAST_PLACE, Plan};
use super::plate::{Face, class};
use crate::app::appearance::NamedBy;
use crate::app::lanes_view::Role;
use crate::app::neck_view::{Cell, FretLine, NeckFrame};
use crate::steel::Fret;
use crate::ui::drawn::{group, part, rect, text};
use crate::ui::language::tell;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, SvgElement};

/// A plate of the neck: width and height.
const PLATE: (f64, f64) = (20.0, 16.0);
/// The room before the nut that belongs to the open string, in CSS pixels, and where its plate stands in it.
const OPEN: (f64, f64) = (30.0, 16.0);

/// What all rows show.
#[derive(Clone)]
pub(super) struct Shown {
    /// What each place is to the chord, string by string.
    pub places: Arc<Vec<Vec<Cell>>>,
    pub naming: NamedBy,
    /// The fret whose plates the bar hides.
    pub covered: Option<u8>,
    /// The place that the tab key reaches: string and fret, counted from 0.
    pub here: (usize, usize),
}

/// The places of one string as they were last written.
pub(super) struct Row {
    /// Which string, counted from 0.
    row: usize,
    /// The neck and how it lies.
    laid: Arc<(NeckFrame, Plan)>,
    spots: Vec<Spot>,
    written: Option<Shown>,
}

struct Spot {
    group: Element,
    centre: (f64, f64),
    plate: Option<Element>,
    marks: Marks,
}

/// What changes as the bar moves and as strings sound.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
struct Marks {
    covered: bool,
    selected: bool,
    here: bool,
}

impl Row {
    /// Draws the places into the row's own element, in the place of those that were in it.
    pub(super) fn draw(into: &SvgElement, row: usize, laid: Arc<(NeckFrame, Plan)>) -> Result<Self, JsValue> {
        let (neck, plan) = &*laid;
        into.set_text_content(None);
        let spot = |fret: &FretLine| Spot::draw(into, row, fret.number, neck, plan);
        let spots = neck.frets.iter().map(spot).collect::<Result<_, _>>()?;
        Ok(Self {
            row,
            laid,
            spots,
            written: None,
        })
    }

    /// Whether it was drawn so.
    pub(super) fn is_laid(&self, laid: &Arc<(NeckFrame, Plan)>) -> bool {
        Arc::ptr_eq(&self.laid, laid)
    }

    /// Writes what differs from what was written last; `selected` is whether the string is.
    pub(super) fn write(&mut self, shown: Shown, selected: bool) -> Result<(), JsValue> {
        // What was called another way is all written anew.
        let before = self.written.take().filter(|written| written.naming == shown.naming);
        let before = before.as_ref().and_then(|written| written.places.get(self.row));
        for (fret, spot) in self.spots.iter_mut().enumerate() {
            let cell = shown.places.get(self.row).and_then(|cells| cells.get(fret));
            if let Some(cell) = cell.filter(|cell| before.and_then(|cells| cells.get(fret)) != Some(*cell)) {
                spot.tell(cell, shown.naming)?;
            }
            spot.mark(Marks {
                covered: shown.covered.is_some_and(|covered| usize::from(covered) == fret),
                selected: selected && usize::from(shown.covered.unwrap_or(0)) == fret,
                here: shown.here == (self.row, fret),
            })?;
        }
        self.written = Some(shown);
        Ok(())
    }
}

impl Spot {
    fn draw(into: &Element, row: usize, fret: u8, neck: &NeckFrame, plan: &Plan) -> Result<Self, JsValue> {
        let (from, to) = neck.cell(fret);
        let from = if fret == 0 { -OPEN.0 / plan.length } else { from };
        // The last fret has room behind it.
        let to = to.max(from + LEAST_PLACE / plan.length);
        let across = plan.across(row);
        let (x, y, w, h) = plan.rect(
            (plan.along(from), plan.along(to)),
            (across - plan.gap / 2.0, across + plan.gap / 2.0),
        );
        let along = if fret == 0 {
            -OPEN.1 / plan.length
        } else {
            neck.along(Fret(f64::from(fret)))
        };
        let id = id((row, usize::from(fret)));
        let said = [("class", "neck-place"), ("role", "gridcell"), ("id", id.as_str())];
        let unmarked = [("tabindex", "-1"), ("aria-selected", "false")];
        let group = part(into, "g", &[&said[..], &unmarked].concat())?;
        rect(&group, "neck-ground", (x, y), (w, h))?;
        Ok(Self {
            group,
            centre: plan.point(plan.along(along), across),
            plate: None,
            marks: Marks::default(),
        })
    }

    /// Writes what the place is to the chord.
    fn tell(&mut self, cell: &Cell, naming: NamedBy) -> Result<(), JsValue> {
        self.group.set_attribute("aria-label", &tell(&cell.spoken))?;
        if let Some(plate) = self.plate.take() {
            plate.remove();
        }
        // What is not in the chord has no plate.
        if let Some(degree) = cell.degree.as_ref().filter(|degree| degree.role != Role::Tension) {
            let face = Face::of(&degree.called, naming, self.centre, PLATE);
            let plate = group(&self.group, &class(degree.role))?;
            rect(&plate, "", face.corner, face.size)?;
            if let Some(second) = &face.second {
                text(&plate, "second-name", (self.centre.0, second.0), &second.1)?;
            }
            text(&plate, "", (self.centre.0, face.first.0), &face.first.1)?;
            self.plate = Some(plate);
        }
        Ok(())
    }

    fn mark(&mut self, marks: Marks) -> Result<(), JsValue> {
        if marks.covered != self.marks.covered {
            let class = if marks.covered {
                "neck-place covered"
            } else {
                "neck-place"
            };
            self.group.set_attribute("class", class)?;
        }
        if marks.selected != self.marks.selected {
            self.group
                .set_attribute("aria-selected", if marks.selected { "true" } else { "false" })?;
        }
        if marks.here != self.marks.here {
            self.group
                .set_attribute("tabindex", if marks.here { "0" } else { "-1" })?;
        }
        self.marks = marks;
        Ok(())
    }
}

/// What a place's element is called.
fn id((row, fret): (usize, usize)) -> String {
    format!("place-{row}-{fret}")
}

/// The place that an event comes from.
pub(super) fn place_of(event: &web_sys::Event) -> Option<(usize, usize)> {
    let within = event.target()?.dyn_into::<Element>().ok()?;
    let id = within.closest("[role=gridcell]").ok()??.id();
    let (row, fret) = id.strip_prefix("place-")?.split_once('-')?;
    Some((row.parse().ok()?, fret.parse().ok()?))
}

/// Puts the focus on a place.
pub(super) fn focus(place: (usize, usize)) {
    let found = document()
        .get_element_by_id(&id(place))
        .and_then(|e| e.dyn_into::<SvgElement>().ok());
    if let Some(element) = found {
        // Only a detached element refuses the focus.
        drop(element.focus());
    }
}
