//! The shape of the solo: where it begins, climbs to and ends, as three places on one fret axis.

use crate::app::Command;
use crate::app::command::ArcPoint;
use crate::app::session::LAST_FRET;
use crate::ui::language::look;
use crate::ui::state::Page;
use leptos::prelude::*;

/// Height of the picture and the room a handle needs at each end, in its own units (pixels).
const HEIGHT: f64 = 192.0;
const ROOM: f64 = 16.0;
/// Width of the picture in its own units; it stretches to its box.
const WIDTH: f64 = 300.0;
/// Frets with a line of their own.
const LINES: [u8; 6] = [0, 5, 10, 15, 20, 24];

const POINTS: [(ArcPoint, &str); 3] = [
    (ArcPoint::Start, key!("Begins")),
    (ArcPoint::High, key!("Climbs to")),
    (ArcPoint::End, key!("Ends")),
];

fn height_of(fret: u8) -> f64 {
    let part = f64::from(fret) / f64::from(LAST_FRET);
    HEIGHT - ROOM - part * (HEIGHT - 2.0 * ROOM)
}

/// The three places, each a handle that can be dragged, tapped and moved by keys.
#[component]
pub(super) fn Arc() -> impl IntoView {
    let page = Page::here();
    let fret = move |point| {
        page.work.with(|w| match point {
            ArcPoint::Start => w.request.start_fret,
            ArcPoint::High => w.request.high_fret,
            ArcPoint::End => w.request.end_fret,
        })
    };
    let path = move || {
        let [a, b, c] = [ArcPoint::Start, ArcPoint::High, ArcPoint::End].map(|p| height_of(fret(p)));
        format!("M50 {a} C90 {a} 110 {b} 150 {b} S210 {c} 250 {c}")
    };
    let drags = StoredValue::new(0_u64);
    let handle = move |(point, name): (ArcPoint, &'static str)| {
        let name = look(name);
        let set = move |event: web_sys::Event| {
            if let Ok(fret) = event_target_value(&event).parse() {
                let run = Some(drags.get_value());
                page.act(Command::AskFret { point, fret, run });
            }
        };
        view! {
            <label class="arc-col">
                <input
                    type="range"
                    class="arc-slide"
                    min="0"
                    max=LAST_FRET
                    aria-label=say!("{name}, fret", name)
                    prop:value=move || fret(point)
                    on:input=set
                    on:change=move |_| drags.update_value(|d| *d += 1)
                />
                <span class="arc-name">{name}</span>
                <output class="arc-fret">{move || fret(point)}</output>
            </label>
        }
    };
    view! {
        <fieldset class="arc">
            <legend>{say!("Where on the neck")}</legend>
            <svg class="arc-picture" viewBox=format!("0 0 {WIDTH} {HEIGHT}") preserveAspectRatio="none" aria-hidden="true">
                {LINES
                    .map(|fret| view! { <path class="arc-line" d=format!("M0 {y}H{WIDTH}", y = height_of(fret))></path> })
                    .collect_view()}
                <path class="arc-path" d=path></path>
            </svg>
            <ol class="arc-scale" aria-hidden="true">
                {LINES.iter().rev().map(|fret| view! { <li>{*fret}</li> }).collect_view()}
            </ol>
            <div class="arc-cols">{POINTS.map(handle).collect_view()}</div>
        </fieldset>
    }
}
