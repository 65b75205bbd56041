//! The steel bar: it lies where the hold says, carries the degree of each string, and is dragged by its end.

use super::plan::Plan;
use super::plate::plate;
use crate::app::appearance::{Called, NamedBy};
use crate::app::lanes_view::Role;
use crate::app::neck_view::{Degree, NeckFrame};
use crate::steel::{Fret, Instrument, Lie, StringNumber, StringSet};
use crate::ui::state::Lasting;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// The bar's thickness.
const THICK: f64 = 15.0;
/// A plate on the bar.
const PLATE: (f64, f64) = (22.0, 18.0);
/// The side of the square by which the bar is taken.
const GRIP: f64 = 44.0;

/// The bar and what each string is under it; a string that is picked and has no degree carries its number.
/// Dragging the bar's end moves it; a tap on any place does the same.
#[component]
pub(super) fn SteelBar(
    instrument: Signal<Arc<Instrument>>,
    neck: Lasting<Memo<NeckFrame>>,
    plan: Lasting<Memo<Plan>>,
    lie: Lasting<Memo<Lie>>,
    under: Lasting<Memo<Vec<Option<Degree>>>>,
    ringing: Lasting<Memo<StringSet>>,
    picked: Lasting<Memo<StringSet>>,
    on_bar: Callback<Fret>,
    #[prop(into)] naming: Signal<NamedBy>,
) -> impl IntoView {
    let shift = move || {
        let plan = plan.get();
        let (x, y) = plan.point(neck.with(|n| plan.bar(n, lie.get().far)), 0.0);
        format!("translate({x:.2} {y:.2})")
    };
    // How far along the neck the bar lies on a string, from where it lies on string 1.
    let aside = move |string: StringNumber| {
        let (plan, lie) = (plan.get(), lie.get());
        let at = instrument.with(|i| lie.on(i, string));
        neck.with(|n| plan.bar(n, at) - plan.bar(n, lie.far))
    };
    let last = Memo::new(move |_| neck.with(|n| n.strings.last().map(|s| s.string)));
    let grip = move || {
        let (x, y) = plan.get().point(last.get().map_or(0.0, aside), 0.0);
        format!("translate({x:.1} {y:.1})")
    };
    let turned = move || turn(&plan.get(), &neck.get(), lie.get());
    let dragged = RwSignal::new(false);
    let take = move |event: web_sys::PointerEvent| {
        if let Some(grip) = event
            .current_target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
        {
            // A pointer that is gone already cannot be captured; nothing is lost then.
            drop(grip.set_pointer_capture(event.pointer_id()));
            dragged.set(true);
            event.prevent_default();
        }
    };
    let drag = move |event: web_sys::PointerEvent| {
        let sheet = event
            .current_target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|grip| grip.closest("svg").ok().flatten());
        if let (true, Some(sheet)) = (dragged.get_untracked(), sheet) {
            let (ground, plan) = (sheet.get_bounding_client_rect(), plan.get_untracked());
            let place = if plan.upright {
                f64::from(event.client_y()) - ground.top()
            } else {
                f64::from(event.client_x()) - ground.left()
            };
            on_bar.run(neck.with_untracked(|n| n.fret_at(plan.part(place))));
        }
    };
    view! {
        <g class="steel-bar" class:off=move || lie.get().far.0 < 0.5 transform=shift>
            {move || {
                let plan = plan.get();
                let (x, y, w, h) = plan.rect((-THICK / 2.0, THICK / 2.0), (plan.strings_head() - 2.0, plan.strings_foot() + 14.0));
                let (lx, ly, lw, lh) = plan.rect((-THICK * 0.22, -THICK * 0.08), (plan.strings_head(), plan.strings_foot() + 8.0));
                let (gx, gy, gw, gh) = plan.rect((-GRIP / 2.0, GRIP / 2.0), (plan.broad() - GRIP, plan.broad()));
                let dots: String = [-4.0, 0.0, 4.0]
                    .map(|d| {
                        let (x, y) = plan.point(d, plan.strings_foot() + 26.0);
                        format!("M{x:.1} {y:.1}h0")
                    })
                    .concat();
                view! {
                    <g aria-hidden="true">
                        <g transform=turned>
                            <rect class="bar-body" x=x y=y width=w height=h rx=THICK / 2.0></rect>
                            <rect class="bar-light" x=lx y=ly width=lw height=lh rx="1"></rect>
                        </g>
                        <g
                            class="bar-grip"
                            transform=grip
                            on:pointerdown=take
                            on:pointermove=drag
                            on:pointerup=move |_| dragged.set(false)
                            on:pointercancel=move |_| dragged.set(false)
                        >
                            <rect x=gx y=gy width=gw height=gh></rect>
                            <path d=dots></path>
                        </g>
                        {under_plates(plan, neck, aside, under, ringing, picked, naming)}
                    </g>
                }
            }}
        </g>
    }
}

/// Turns what is drawn straight across at string 1 so that it lies over both outer strings, as long as it was drawn.
fn turn(plan: &Plan, frame: &NeckFrame, lie: Lie) -> String {
    let last = frame.strings.len().saturating_sub(1);
    let along = plan.bar(frame, lie.near) - plan.bar(frame, lie.far);
    let (from, to) = (plan.across(0), plan.across(last));
    if along.abs() < 0.01 || last == 0 {
        return String::new();
    }
    let angle = (along / (to - from)).atan().to_degrees();
    let angle = if plan.upright { angle } else { -angle };
    let (x, y) = plan.point(0.0, from);
    format!("rotate({angle:.2} {x:.1} {y:.1})")
}

fn under_plates(
    plan: Plan,
    neck: Lasting<Memo<NeckFrame>>,
    aside: impl Fn(StringNumber) -> f64 + Copy + Send + Sync + 'static,
    under: Lasting<Memo<Vec<Option<Degree>>>>,
    ringing: Lasting<Memo<StringSet>>,
    picked: Lasting<Memo<StringSet>>,
    naming: Signal<NamedBy>,
) -> impl IntoView {
    let strings = neck.with(|n| n.strings.iter().map(|s| s.string).collect::<Vec<_>>());
    strings
        .into_iter()
        .map(|string| {
            let centre = move || plan.point(aside(string), plan.across(string.index()));
            let degree = Lasting::memo(move |_| under.with(|u| u.get(string.index()).cloned().flatten()));
            let role = Memo::new(move |_| degree.with(|d| d.as_ref().map(|d| d.role)));
            let called =
                Signal::derive(move || degree.with(|d| d.as_ref().map_or_else(Called::default, |d| d.called.clone())));
            let sounds = move || ringing.get().contains(string);
            let is_picked = Memo::new(move |_| picked.get().contains(string));
            let number = move || {
                (is_picked.get() && role.get().is_none()).then(|| {
                    let number = Called {
                        number: string.number().to_string(),
                        ..Called::default()
                    };
                    let (number, plain) = (Signal::stored(number), Signal::stored(NamedBy::Numbers));
                    view! { <g class="pick">{plate(Role::Root, (0.0, 0.0), PLATE, number, plain)}</g> }
                })
            };
            view! {
                <g
                    class="under"
                    class:sounding=move || sounds() || is_picked.get()
                    transform=move || {
                        let size = if sounds() || is_picked.get() { 1.28 } else { 0.92 };
                        let (x, y) = centre();
                        format!("translate({x:.1} {y:.1}) scale({size})")
                    }
                >
                    {move || role.get().map(|role| plate(role, (0.0, 0.0), PLATE, called, naming))}
                    {number}
                </g>
            }
        })
        .collect_view()
}
