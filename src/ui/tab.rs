//! Tablature on the screen: the same systems as in plain text, engraved, following what is played.

use super::follow::{Axis, Follow, width_of};
use super::state::Page;
use crate::exchange::tab::{Characters, Column, Mark, Signs, System, Tab, Way};
use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use wasm_bindgen_futures::JsFuture;

/// The width of one character of room, the space between strings, and the margins, in CSS pixels.
const CHARACTER: f64 = 9.0;
const STRING: f64 = 17.0;
const LEFT: f64 = 40.0;
const TOP: f64 = 34.0;
const FOOT: f64 = 14.0;
/// Between two systems; the style sheet has the same.
const SYSTEM_GAP: f64 = 16.0;
/// The width of the copied text: what fits a printed page.
const PAGE_WIDTH: Characters = Characters(80);

/// A performance as tablature. `position` marks the column that sounds; `on_seek` hears a tap on a column.
#[component]
pub fn TabSheet(
    #[prop(into)] performance: Signal<Arc<Performance>>,
    #[prop(into)] timeline: Signal<Arc<Timeline>>,
    #[prop(into)] instrument: Signal<Arc<Instrument>>,
    #[prop(into)] position: Signal<Option<Beats>>,
    #[prop(into)] on_seek: Callback<Beats>,
) -> impl IntoView {
    let raises = RwSignal::new(false);
    let tab = Memo::new(move |_| {
        let signs = if raises.get() {
            Signs::Accidentals
        } else {
            Signs::Letters
        };
        Arc::new(performance.with(|p| instrument.with(|i| timeline.with(|t| Tab::of(p, i, t, signs)))))
    });
    let has_changes = move || instrument.with(|i| !i.changes.is_empty());
    let follow = Follow::new();
    let width = width_of(follow.scroller);
    let room = Memo::new(move |_| Characters(characters(width.get() - LEFT - 8.0)));
    let systems = Memo::new(move |_| tab.with(|t| t.systems(room.get())));
    let now = Memo::new(move |_| position.get().and_then(|at| tab.with(|t| t.column_at(at))));
    let height = move || tab.with(|t| system_height(t.rows.len()));

    Effect::new(move || {
        let Some((bar, column)) = now.get() else { return };
        let place = systems.with(|s| {
            s.iter()
                .position(|s| s.pieces.iter().any(|p| p.bar == bar && p.columns.contains(&column)))
        });
        if let Some(index) = place {
            #[allow(clippy::cast_precision_loss)]
            follow.show(Axis::Down, (index as f64 + 0.5) * (height() + SYSTEM_GAP), 0.3, false);
        }
    });
    view! {
        <div class="tab">
            <div
                class="tab-scroll"
                node_ref=follow.scroller
                tabindex="0"
                role="region"
                aria-label="Tablature"
                on:wheel=move |_| follow.touched()
                on:touchmove=move |_| follow.touched()
                on:scroll=move |_| {
                    follow.scrolled();
                }
            >
                {move || {
                    let tab = tab.get();
                    systems.get().into_iter().map(|s| draw_system(&tab, &s, now, on_seek)).collect_view()
                }}
            </div>
            <dl class="tab-legend">
                {move || tab.with(|t| t.legend.clone()).into_iter().map(|e| view! { <div><dt>{e.sign}</dt><dd>{e.meaning}</dd></div> }).collect_view()}
            </dl>
            <div class="tab-tools">
                <button type="button" class="do slim" on:click=move |_| copy(&tab.get_untracked())>
                    "Copy as text"
                </button>
                <label class="tick small" hidden=move || !has_changes()>
                    <input type="checkbox" on:change=move |e| raises.set(event_target_checked(&e)) />
                    "Raises as # and b"
                </label>
            {move || {
                follow
                    .let_go
                    .get()
                    .then(|| {
                        view! {
                            <button type="button" class="do slim" on:click=move |_| follow.resume()>
                                "Follow"
                            </button>
                        }
                    })
            }}
            </div>
        </div>
    }
}

/// Puts the tab as plain text on the clipboard, and says so.
fn copy(tab: &Tab) {
    let page = Page::here();
    let written = window().navigator().clipboard().write_text(&tab.text(PAGE_WIDTH));
    spawn_local(async move {
        match JsFuture::from(written).await {
            Ok(_) => page.say("The tab is copied: paste it where you like."),
            Err(_) => page.say("The browser does not let this page copy. Allow it the clipboard and try again."),
        }
    });
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn characters(pixels: f64) -> usize {
    (pixels / CHARACTER).floor().max(8.0) as usize
}

/// A small count as a factor.
#[allow(clippy::cast_precision_loss)]
fn times(count: usize) -> f64 {
    count as f64
}

fn system_height(rows: usize) -> f64 {
    TOP + times(rows.saturating_sub(1)) * STRING + FOOT
}

fn row_y(row: usize) -> f64 {
    TOP + times(row) * STRING
}

/// One system: the strings, the bar lines, the columns.
fn draw_system(
    tab: &Tab,
    system: &System,
    now: Memo<Option<(usize, usize)>>,
    on_seek: Callback<Beats>,
) -> impl IntoView + use<> {
    let mut x = LEFT;
    let (top, foot) = (row_y(0), row_y(tab.rows.len().saturating_sub(1)));
    let mut columns = Vec::new();
    let mut lines = vec![format!("M{LEFT:.1} {top:.1}V{foot:.1}")];
    let mut numbers = Vec::new();
    for piece in &system.pieces {
        let Some(bar) = tab.bars.get(piece.bar) else { continue };
        if piece.opens {
            numbers.push(view! { <text class="tab-bar" x=x + 2.0 y="9">{bar.number}</text> });
        }
        x += CHARACTER;
        for index in piece.columns.clone() {
            let Some(column) = bar.columns.get(index) else { continue };
            let room = times(bar.room(index).0) * CHARACTER;
            let here = Memo::new({
                let place = (piece.bar, index);
                move |_| now.get() == Some(place)
            });
            columns.push(draw_column(column, x, room, foot, here, on_seek));
            x += room;
        }
        x += CHARACTER;
        if piece.closes {
            lines.push(format!("M{x:.1} {top:.1}V{foot:.1}"));
        }
    }
    let strings: String = (0..tab.rows.len())
        .map(|r| format!("M{LEFT:.1} {y:.1}H{x:.1}", y = row_y(r)))
        .collect();
    let names = tab
        .rows
        .iter()
        .enumerate()
        .map(|(r, row)| {
            view! {
                <text class="tab-number" x="14" y=row_y(r) + 4.0>{row.string.number()}</text>
                <text class="tab-name" x="34" y=row_y(r) + 4.0>{row.name.clone()}</text>
            }
        })
        .collect_view();
    view! {
        <svg class="tab-system" width=x + 2.0 height=system_height(tab.rows.len()) aria-hidden="true">
            <path class="tab-strings" d=strings></path>
            <path class="tab-lines" d=lines.concat()></path>
            {names}
            {numbers}
            {columns}
        </svg>
    }
}

fn draw_column(
    column: &Column,
    x: f64,
    room: f64,
    foot: f64,
    here: Memo<bool>,
    on_seek: Callback<Beats>,
) -> impl IntoView + use<> {
    let at = column.at;
    let cells = column
        .cells
        .iter()
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
        Mark::Pick { step, harmonic } => {
            let star = harmonic.map(|h| if h == 12 { "*".to_owned() } else { format!("*{h}") });
            view! {
                <text class="tab-fret" x=x y=base>
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
