//! The handles of a stroke in hand, over the lanes: dragged by a pointer, moved by arrow keys.
//!
//! *Invariant:* a handle stays the same element while it is dragged, so the pointer and the focus stay with it.

use super::measure::Measure;
use crate::app::by_hand::{Handle, Hold, Site};
use crate::app::lanes_view::LanesView;
use crate::steel::Fret;
use crate::theory::Beats;
use crate::ui::language::{look, tell};
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// How far a handle stands beside the place it moves, and from another handle, in CSS pixels.
const BESIDE: f64 = 28.0;
const APART: f64 = 46.0;
/// The middle of a handle is never nearer to the left edge than this: all of it can be touched.
const EDGE: f64 = 22.0;

/// What a hand does with a handle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pull {
    /// It takes hold.
    Taken,
    /// It is so far from where it took hold; frets count upwards.
    Dragged {
        /// Along the song.
        by: Beats,
        /// Up the lane.
        frets: Fret,
    },
    /// It lets go.
    LetGo,
    /// So many steps on, by keys.
    Stepped(i32),
}

/// What is in hand: the handles, and the grid they come to rest on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Held {
    /// Each handle where it stands.
    pub holds: Vec<Hold>,
    /// The grid around them.
    pub grid: Vec<Beats>,
}

impl Held {
    /// How many handles stand on the bar's path behind the stroke, before that of its slant.
    fn on_the_path(&self) -> u8 {
        let stands = |hold: &&Hold| {
            let behind = matches!(hold.setting.handle(), Handle::Length | Handle::Curve);
            behind && matches!(hold.site, Site::Path(_))
        };
        self.holds.iter().filter(stands).map(|_| 1).sum()
    }
}

/// The grid, drawn under the pass.
#[component]
pub(super) fn Grid(held: Signal<Held>, measure: Memo<Measure>) -> impl IntoView {
    let lines = move || {
        let m = measure.get();
        held.with(|held| {
            let line = |at: &Beats| format!("M{:.1} {:.1}V{:.1}", m.x(*at), m.head(), m.height());
            held.grid.iter().map(line).collect::<String>()
        })
    };
    view! { <path class="lanes-snap" d=lines aria-hidden="true"></path> }
}

/// All handles.
#[component]
pub(super) fn Handles(
    held: Signal<Held>,
    lanes: Memo<Arc<LanesView>>,
    measure: Memo<Measure>,
    on_pull: Callback<(Handle, Pull)>,
) -> impl IntoView {
    Handle::ALL
        .map(|handle| {
            let hold =
                Memo::new(move |_| held.with(|h| h.holds.iter().find(|h| h.setting.handle() == handle).cloned()));
            let place = Memo::new(move |_| {
                let hold = hold.get()?;
                let beside = held.with(Held::on_the_path);
                measure.with(|m| lanes.with(|l| place(&hold, l, m, beside)))
            });
            let there = Memo::new(move |_| place.with(Option::is_some));
            view! {
                <Show when=move || there.get()>
                    <Knob handle hold place measure on_pull />
                </Show>
            }
        })
        .collect_view()
}

/// Where the middle of a handle is, that of a slant behind so many others; nothing where its lane is not drawn.
fn place(hold: &Hold, lanes: &LanesView, m: &Measure, others: u8) -> Option<(f64, f64)> {
    let y = match hold.site {
        Site::Path(fret) => m.has_path().then(|| m.fret(fret))?,
        Site::Ribbon(change) => {
            let index = lanes.ribbons.iter().position(|r| r.change == change)?;
            (index < m.ribbons()).then(|| m.ribbon(index) - 10.0)?
        }
        Site::Row(string) => (string.index() < m.rows()).then(|| m.row(string.index()))?,
    };
    // At the left edge all of them move in together: a thumb must not take the one behind.
    let x = m.x(hold.at).max(EDGE + BESIDE);
    let x = match hold.setting.handle() {
        Handle::When | Handle::From => x - BESIDE,
        Handle::Length | Handle::Ring => x + BESIDE,
        Handle::Curve => x + BESIDE + APART,
        Handle::Slant => x + BESIDE + f64::from(others) * APART,
    };
    Some((x, y))
}

/// One handle.
#[component]
fn Knob(
    handle: Handle,
    hold: Memo<Option<Hold>>,
    place: Memo<Option<(f64, f64)>>,
    measure: Memo<Measure>,
    on_pull: Callback<(Handle, Pull)>,
) -> impl IntoView {
    // Where the pointer took hold, and the measures of then: the lanes may be drawn otherwise while it drags.
    let taken = StoredValue::new(None::<(f64, f64, Measure)>);
    let take = move |event: web_sys::PointerEvent| {
        let knob = event
            .current_target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        if let Some(knob) = knob {
            // A pointer that is gone already cannot be captured; nothing is lost then.
            drop(knob.set_pointer_capture(event.pointer_id()));
            let (x, y) = (f64::from(event.client_x()), f64::from(event.client_y()));
            taken.set_value(Some((x, y, measure.get_untracked())));
            on_pull.run((handle, Pull::Taken));
        }
    };
    let drag = move |event: web_sys::PointerEvent| {
        taken.with_value(|taken| {
            let Some((x, y, m)) = taken else { return };
            let by = m.beats(f64::from(event.client_x()) - x);
            let frets = m.frets(f64::from(event.client_y()) - y);
            on_pull.run((handle, Pull::Dragged { by, frets }));
        });
    };
    let leave = move |_: web_sys::PointerEvent| {
        if taken.with_value(Option::is_some) {
            taken.set_value(None);
            on_pull.run((handle, Pull::LetGo));
        }
    };
    let press = move |event: web_sys::KeyboardEvent| {
        let steps = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => 1,
            "ArrowLeft" | "ArrowDown" => -1,
            "PageUp" => 4,
            "PageDown" => -4,
            _ => return,
        };
        event.prevent_default();
        on_pull.run((handle, Pull::Stepped(steps)));
    };
    let at = move |read: fn((f64, f64)) -> f64| move || format!("{:.1}px", place.get().map_or(-99.0, read));
    let words = move || hold.with(|h| h.as_ref().map(|h| tell(&h.words)));
    let sign = if handle.is_upright() {
        "M11 4v14M8 7l3-3 3 3M8 15l3 3 3-3"
    } else {
        "M4 11h14M7 8l-3 3 3 3M15 8l3 3-3 3"
    };
    view! {
        <div
            class="knob"
            class:upright=handle.is_upright()
            role="slider"
            tabindex="0"
            aria-label=look(handle.name())
            aria-orientation=if handle.is_upright() { "vertical" } else { "horizontal" }
            aria-valuenow=move || hold.with(|h| h.as_ref().map(|h| format!("{:.2}", h.setting.figure())))
            aria-valuetext=words
            style:left=at(|p| p.0)
            style:top=at(|p| p.1)
            on:pointerdown=take
            on:pointermove=drag
            on:pointerup=leave
            on:pointercancel=leave
            on:keydown=press
        >
            <svg width="22" height="22" viewBox="0 0 22 22" aria-hidden="true"><path d=sign></path></svg>
        </div>
    }
}
