//! What is drawn of a tab: a system of bars, and what is pointed at in it.

use super::laid::Laid;
use super::signs::Signs;
use crate::app::lanes_view::{Spot, SpotKind};
use crate::app::rehearsal::Hidden;
use crate::exchange::tab::{System, Tab};
use crate::theory::Beats;
use crate::ui::lanes::{exclamation, zigzag};
use leptos::prelude::*;
use leptos::svg::G;
use std::sync::Arc;

/// The width of one character of room, the space between strings, and the margins, in CSS pixels.
pub(super) const CHARACTER: f64 = 9.0;
const STRING: f64 = 17.0;
pub(super) const LEFT: f64 = 40.0;
pub(super) const TOP: f64 = 34.0;
const FOOT: f64 = 14.0;

/// What a drawing needs beside the tab.
#[derive(Clone, Copy)]
pub(in crate::ui) struct Tools {
    /// The column that sounds, as bar and column.
    pub now: Memo<Option<(usize, usize)>>,
    /// Hears a tap on a column.
    pub on_seek: Callback<Beats>,
    /// Stretches that are pointed at.
    pub spots: Signal<Vec<Spot>>,
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
pub(in crate::ui) fn times(count: usize) -> f64 {
    count as f64
}

/// The height of a system with so many strings.
pub(super) fn system_height(rows: usize) -> f64 {
    TOP + times(rows.saturating_sub(1)) * STRING + FOOT
}

pub(super) fn row_y(row: usize) -> f64 {
    TOP + times(row) * STRING
}

/// One system: the strings, the bar lines, the columns. Of the tab's strings those in `rows` (indices) are drawn;
/// bars that are hidden keep their chords alone.
pub(in crate::ui) fn draw_system(
    tab: &Arc<Tab>,
    system: &System,
    rows: &[usize],
    hidden: Hidden,
    tools: Tools,
) -> impl IntoView + use<> {
    let laid = Arc::new(Laid::of(tab, system, rows, hidden));
    let (width, foot, height) = (laid.width, laid.foot(), system_height(rows.len()));
    let strings: String = (0..rows.len())
        .map(|r| format!("M{LEFT:.1} {y:.1}H{width:.1}", y = row_y(r)))
        .collect();
    let lines = laid.lines.clone();
    let places = laid.places();
    let signs = NodeRef::<G>::new();
    follow(Arc::clone(&laid), signs, tools.now);
    let seek = move |event: web_sys::MouseEvent| laid.pointed(&event).into_iter().for_each(|at| tools.on_seek.run(at));
    view! {
        <svg
            class="tab-system"
            width=width + 2.0
            height=height
            viewBox=format!("0 0 {:.0} {height:.0}", width + 2.0)
            preserveAspectRatio="xMinYMin meet"
            aria-hidden="true"
        >
            {move || tools.spots.with(|spots| draw_spots(spots, &places, foot))}
            <path class="tab-strings" d=strings></path>
            <path class="tab-lines" d=lines></path>
            <g node_ref=signs on:click=seek></g>
        </svg>
    }
}

/// Draws a system's signs, and marks the column that sounds.
fn follow(laid: Arc<Laid>, signs: NodeRef<G>, now: Memo<Option<(usize, usize)>>) {
    Effect::new(move |drawn: Option<Option<Signs>>| {
        let into = signs.get()?;
        // What the browser refuses to draw is drawn anew when the next column sounds.
        let mut drawn = drawn.flatten().or_else(|| Signs::draw(&into, &laid).ok())?;
        drawn.mark(now.get()).ok().map(|()| drawn)
    });
}

/// The stretches of a system that are pointed at; `places` are its columns' moments, left edges and widths.
fn draw_spots(spots: &[Spot], places: &[(Beats, f64, f64)], foot: f64) -> impl IntoView + use<> {
    let draw = |spot: &Spot| {
        let mut held = places.iter().filter(|(at, _, _)| spot.holds(*at));
        let (_, from, room) = *held.next()?;
        let to = held.next_back().map_or(from + room, |(_, x, room)| x + room) - 6.0;
        Some(match spot.kind {
            SpotKind::Picked => {
                let (top, height) = (TOP - 11.0, foot - TOP + 22.0);
                view! { <rect class="tab-picked" x=from - 4.0 y=top width=to - from + 6.0 height=height rx="3"></rect> }
                    .into_any()
            }
            SpotKind::Locked => {
                let (x, y) = (from, TOP - 16.0);
                let lock = format!("M{x:.1} {y:.1}h9v7h-9zM{:.1} {y:.1}v-2a3 3 0 0 1 6 0v2", x + 1.5);
                view! { <path class="spot-lock" d=lock></path> }.into_any()
            }
            SpotKind::Differs => {
                view! { <path class="spot-differs" d=zigzag(from, to, foot + 11.0)></path> }.into_any()
            }
            SpotKind::Missed => {
                let (top, height) = (TOP - 11.0, foot - TOP + 22.0);
                view! {
                    <rect class="tab-missed" x=from - 4.0 y=top width=to - from + 6.0 height=height rx="3"></rect>
                    <path class="spot-mark" d=exclamation(from, foot + 1.0)></path>
                }
                .into_any()
            }
        })
    };
    spots.iter().filter_map(draw).collect_view()
}
