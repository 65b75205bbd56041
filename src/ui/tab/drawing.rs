//! What is drawn of a tab: a system of bars, its columns, the signs in their cells.

use crate::app::lanes_view::{Spot, SpotKind};
use crate::app::rehearsal::Hidden;
use crate::exchange::tab::{Column, Mark, RAKE, System, Tab, Way};
use crate::theory::Beats;
use crate::ui::lanes::{exclamation, zigzag};
use crate::ui::language::notes;
use leptos::prelude::*;

/// The width of one character of room, the space between strings, and the margins, in CSS pixels.
pub(super) const CHARACTER: f64 = 9.0;
const STRING: f64 = 17.0;
pub(super) const LEFT: f64 = 40.0;
const TOP: f64 = 34.0;
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

fn row_y(row: usize) -> f64 {
    TOP + times(row) * STRING
}

/// One system: the strings, the bar lines, the columns. Of the tab's strings those in `rows` (indices) are drawn;
/// bars that are hidden keep their chords alone.
pub(in crate::ui) fn draw_system(
    tab: &Tab,
    system: &System,
    rows: &[usize],
    hidden: Hidden,
    tools: Tools,
) -> impl IntoView + use<> {
    let mut x = LEFT;
    let (top, foot) = (row_y(0), row_y(rows.len().saturating_sub(1)));
    let mut columns = Vec::new();
    let mut places = Vec::new();
    let mut lines = vec![format!("M{LEFT:.1} {top:.1}V{foot:.1}")];
    let mut numbers = Vec::new();
    for piece in &system.pieces {
        let Some(bar) = tab.bars.get(piece.bar) else { continue };
        if piece.opens {
            numbers.push(view! { <text class="tab-bar" x=x + 2.0 y="9">{bar.number}</text> });
        }
        x += CHARACTER;
        let veiled = hidden.hides(bar.number - 1);
        for index in piece.columns.clone() {
            let Some(column) = bar.columns.get(index) else { continue };
            let room = times(bar.room(index).0) * CHARACTER;
            let here = Memo::new({
                let place = (piece.bar, index);
                move |_| tools.now.get() == Some(place)
            });
            let shown = if veiled { &[][..] } else { rows };
            let place = Place { x, room, foot, here };
            columns.push(draw_column(column, shown, place, tools.on_seek));
            places.push((column.at, x, room));
            x += room;
        }
        x += CHARACTER;
        if piece.closes {
            lines.push(format!("M{x:.1} {top:.1}V{foot:.1}"));
        }
    }
    let strings: String = (0..rows.len())
        .map(|r| format!("M{LEFT:.1} {y:.1}H{x:.1}", y = row_y(r)))
        .collect();
    let names = rows
        .iter()
        .filter_map(|row| tab.rows.get(*row))
        .enumerate()
        .map(|(r, row)| {
            view! {
                <text class="tab-number" x="14" y=row_y(r) + 4.0>{row.string.number()}</text>
                <text class="tab-name" x="34" y=row_y(r) + 4.0>{notes(&row.name)}</text>
            }
        })
        .collect_view();
    let height = system_height(rows.len());
    view! {
        <svg
            class="tab-system"
            width=x + 2.0
            height=height
            viewBox=format!("0 0 {:.0} {height:.0}", x + 2.0)
            preserveAspectRatio="xMinYMin meet"
            aria-hidden="true"
        >
            {move || tools.spots.with(|spots| draw_spots(spots, &places, foot))}
            <path class="tab-strings" d=strings></path>
            <path class="tab-lines" d=lines.concat()></path>
            {names}
            {numbers}
            {columns}
        </svg>
    }
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

/// Where a column is drawn, and whether it sounds.
struct Place {
    x: f64,
    room: f64,
    foot: f64,
    here: Memo<bool>,
}

fn draw_column(column: &Column, rows: &[usize], place: Place, on_seek: Callback<Beats>) -> impl IntoView + use<> {
    let Place { x, room, foot, here } = place;
    let at = column.at;
    let cells = rows
        .iter()
        .filter_map(|row| column.cells.get(*row))
        .enumerate()
        .filter(|(_, marks)| !marks.is_empty())
        .map(|(row, marks)| draw_cell(marks, x, row_y(row)))
        .collect_view();
    let chord = column
        .chord
        .clone()
        .map(|c| view! { <text class="tab-chord" x=x y="24">{c}</text> });
    view! {
        <g class="tab-column" class:now=move || here.get() on:click=move |_| on_seek.run(at)>
            <rect class="tab-now" x=x - 4.0 y=TOP - 9.0 width=room height=foot - TOP + 18.0 rx="3"></rect>
            {chord}
            {cells}
        </g>
    }
}

/// The signs of one cell, each where the plain text has it.
fn draw_cell(marks: &[Mark], x: f64, y: f64) -> impl IntoView + use<> {
    let mut place = x;
    let mut drawn = Vec::new();
    let room = times(marks.iter().map(|m| m.text().chars().count()).sum()) * CHARACTER;
    let ground = view! { <rect class="tab-ground" x=x - 1.5 y=y - 6.0 width=room + 1.0 height="12"></rect> };
    for mark in marks {
        drawn.push(draw_mark(mark, place, y));
        place += times(mark.text().chars().count()) * CHARACTER;
    }
    (ground, drawn)
}

fn draw_mark(mark: &Mark, x: f64, y: f64) -> AnyView {
    let base = y + 4.8;
    match mark {
        Mark::Pick { step, harmonic, raked } => {
            let star = harmonic.map(|h| if h == 12 { "*".to_owned() } else { format!("*{h}") });
            view! {
                <text class="tab-fret" x=x y=base>
                    <tspan class="tab-sign">{raked.then_some(RAKE)}</tspan>
                    {step.fret.clone()}
                    <tspan class="tab-sign">{step.signs.clone()}</tspan>
                    <tspan class="tab-sign">{star}</tspan>
                </text>
            }
            .into_any()
        }
        Mark::Slide(way, step) => view! {
            <path class="tab-slide" d=slide(*way, x, y)></path>
            <text class="tab-fret held" x=x + CHARACTER y=base>
                {step.fret.clone()}
                <tspan class="tab-sign">{step.signs.clone()}</tspan>
            </text>
        }
        .into_any(),
        Mark::Press(step) => view! {
            <path class="tab-slide" d=format!("M{:.1} {:.1}q2 -4.5 3.5 0t3.5 0", x, y)></path>
            <text class="tab-fret held" x=x + CHARACTER y=base>
                {step.fret.clone()}
                <tspan class="tab-sign">{step.signs.clone()}</tspan>
            </text>
        }
        .into_any(),
        Mark::Hold(step) => view! {
            <path class="tab-slide" d=format!("M{x:.1} {:.1}h6m-6 4h6", y - 2.0)></path>
            <text class="tab-fret held" x=x + CHARACTER y=base>
                {step.fret.clone()}
                <tspan class="tab-sign">{step.signs.clone()}</tspan>
            </text>
        }
        .into_any(),
        Mark::Away(way) => view! { <path class="tab-slide" d=slide(*way, x, y)></path> }.into_any(),
        Mark::Stop => {
            view! { <path class="tab-stop" d=format!("M{:.1} {:.1}l7 7m0 -7l-7 7", x, y - 3.5)></path> }.into_any()
        }
    }
}

fn slide(way: Way, x: f64, y: f64) -> String {
    match way {
        Way::Up => format!("M{:.1} {:.1}l6 -9", x + 0.5, y + 4.5),
        Way::Down => format!("M{:.1} {:.1}l6 9", x + 0.5, y - 4.5),
    }
}
