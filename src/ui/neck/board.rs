//! The board: wood, frets, marks, strings, and a cell for every place.

use super::plan::{LEAST_PLACE, NAMES, NUMBERS, Plan};
use crate::app::appearance::{Called, NamedBy};
use crate::app::lanes_view::Role;
use crate::app::neck_view::{Cell, FretLine, Inlay, NeckFrame};
use crate::steel::{StringNumber, StringSet};
use crate::ui::language::{notes, spell, tell};
use crate::ui::later::{Later, later};
use crate::ui::state::Lasting;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// A plate of the neck: width and height.
const PLATE: (f64, f64) = (20.0, 16.0);
/// The least height of a plate with two names.
const TALL: f64 = 23.0;

/// Everything that is only looked at.
#[component]
pub(super) fn Board(neck: Lasting<Memo<NeckFrame>>, plan: Lasting<Memo<Plan>>) -> impl IntoView {
    move || {
        let (neck, plan) = (neck.get(), plan.get());
        let edge = (plan.strings_head(), plan.strings_foot());
        let (x, y, w, h) = plan.rect((plan.along(0.0), plan.along(1.0)), edge);
        let frets = neck.frets.iter().map(|f| draw_fret(f, &neck, &plan)).collect_view();
        let strings = neck
            .strings
            .iter()
            .map(|s| {
                let d = line(&plan, (plan.along(-0.03), plan.along(1.015)), plan.across(s.string.index()));
                let width = (s.thickness * plan.length * 1.15).max(0.8);
                view! {
                    <path class="neck-string" d=d.clone() stroke-width=format!("{width:.2}")></path>
                    {s.wound.then(|| view! { <path class="neck-winding" d=d stroke-width=format!("{:.2}", width * 0.8)></path> })}
                }
            })
            .collect_view();
        view! {
            <g aria-hidden="true">
                <rect class="neck-board" x=x y=y width=w height=h></rect>
                {frets}
                {strings}
            </g>
        }
    }
}

fn line(plan: &Plan, along: (f64, f64), across: f64) -> String {
    let (a, b) = (plan.point(along.0, across), plan.point(along.1, across));
    format!("M{:.1} {:.1}L{:.1} {:.1}", a.0, a.1, b.0, b.1)
}

fn draw_fret(fret: &FretLine, neck: &NeckFrame, plan: &Plan) -> impl IntoView + use<> {
    let along = plan.along(fret.along);
    let (a, b) = (
        plan.point(along, plan.strings_head()),
        plan.point(along, plan.strings_foot()),
    );
    let (x, y) = plan.point(along, NUMBERS - 14.0);
    let class = if fret.number == 0 { "neck-nut" } else { "neck-fret" };
    let before = neck
        .frets
        .get(usize::from(fret.number).saturating_sub(1))
        .map_or(0.0, |f| f.along);
    let middle = plan.along(f64::midpoint(before, fret.along));
    let room = (fret.along - before) * plan.length;
    let half = f64::midpoint(plan.strings_head(), plan.strings_foot());
    let leaves = match fret.inlay {
        None => Vec::new(),
        Some(Inlay::One) => vec![leaf(plan, middle, half, room)],
        Some(Inlay::Two) => vec![
            leaf(plan, middle, f64::midpoint(plan.strings_head(), half), room),
            leaf(plan, middle, f64::midpoint(half, plan.strings_foot()), room),
        ],
    };
    let inlaid = fret.inlay.is_some();
    view! {
        <path class=class d=format!("M{:.1} {:.1}L{:.1} {:.1}", a.0, a.1, b.0, b.1)></path>
        {leaves.into_iter().map(|d| view! { <path class="neck-inlay" d=d></path> }).collect_view()}
        {(fret.number > 0).then(|| view! {
            <text class="neck-number" class:inlaid=inlaid x=x y=y + 4.0>{fret.number}</text>
        })}
    }
}

/// A willow leaf lying along the frets.
fn leaf(plan: &Plan, along: f64, across: f64, room: f64) -> String {
    let (long, wide) = (plan.gap * 1.15, (room * 0.17).clamp(3.0, 8.0));
    let at = |a: f64, c: f64| {
        let (x, y) = plan.point(along + a, across + c);
        format!("{x:.1} {y:.1}")
    };
    format!(
        "M{}Q{} {}Q{} {}Z",
        at(0.0, -long),
        at(wide, 0.0),
        at(0.0, long),
        at(-wide, 0.0),
        at(0.0, -long)
    )
}

/// The names of the strings at the nut, which stay while the neck scrolls.
#[component]
pub(super) fn Names(neck: Lasting<Memo<NeckFrame>>, plan: Lasting<Memo<Plan>>) -> impl IntoView {
    move || {
        let (neck, plan) = (neck.get(), plan.get());
        let size = plan.point(NAMES, plan.broad());
        let names = neck
            .strings
            .iter()
            .map(|s| {
                let across = plan.across(s.string.index());
                let (number, name) = if plan.upright {
                    ((across, 12.0), (across, 27.0))
                } else {
                    ((8.0, across + 4.0), (25.0, across + 4.0))
                };
                view! {
                    <text class="neck-string-number" x=number.0 y=number.1>{s.string.number()}</text>
                    <text class="neck-string-name" x=name.0 y=name.1>{notes(&s.name)}</text>
                }
            })
            .collect_view();
        view! { <svg class="neck-names" width=size.0 height=size.1 aria-hidden="true">{names}</svg> }
    }
}

/// The grid of places: one tab stop, arrows move, Enter chooses.
#[component]
pub(super) fn Grid(
    neck: Lasting<Memo<NeckFrame>>,
    plan: Lasting<Memo<Plan>>,
    places: Lasting<Memo<Arc<Vec<Vec<Cell>>>>>,
    selected: Lasting<Memo<StringSet>>,
    covered: Lasting<Memo<Option<u8>>>,
    choose: Callback<(StringNumber, u8)>,
    #[prop(into)] naming: Signal<NamedBy>,
) -> impl IntoView {
    let here = Lasting::signal((0_usize, 3_usize));
    let heard = Heard {
        places,
        selected,
        covered,
        here,
        choose,
        naming,
    };
    let keys = move |event: web_sys::KeyboardEvent| {
        let (row, fret) = here.get_untracked();
        let (rows, frets) = neck.with_untracked(|n| (n.strings.len(), n.frets.len()));
        let key = event.key();
        let goal = match key.as_str() {
            "Home" => (row, 0),
            "End" => (row, frets.saturating_sub(1)),
            _ => {
                let Some((down, along)) = plan.with_untracked(|p| p.step(&key)) else {
                    return;
                };
                let step = |at: usize, by: isize, most: usize| at.saturating_add_signed(by).min(most.saturating_sub(1));
                (step(row, down, rows), step(fret, along, frets))
            }
        };
        event.prevent_default();
        event.stop_propagation();
        here.set(goal);
        focus(goal);
    };
    let strings = Memo::new(move |_| neck.with(|n| n.strings.iter().map(|s| s.string).collect::<Vec<_>>()));
    // The many places of a neck are too much for one task. Each row is drawn anew in a task of its own, before which the
    // row that was drawn last is let go: the whole neck twice is a megabyte, which the module would never give back.
    let row = move |string: StringNumber| {
        let drawn = later(move || (neck.get(), plan.get()));
        let cells = move || {
            drawn.with(|(neck, plan)| {
                let cell = |fret: &FretLine| draw_cell(string, fret.number, neck, plan, heard);
                neck.frets.iter().map(cell).collect_view()
            })
        };
        view! { <g role="row"><Later>{cells}</Later></g> }
    };
    view! { <g role="rowgroup" on:keydown=keys>{move || strings.get().into_iter().map(row).collect_view()}</g> }
}

fn id((row, fret): (usize, usize)) -> String {
    format!("place-{row}-{fret}")
}

fn focus(place: (usize, usize)) {
    let found = document()
        .get_element_by_id(&id(place))
        .and_then(|e| e.dyn_into::<web_sys::SvgElement>().ok());
    if let Some(element) = found {
        // Only a detached element refuses the focus.
        drop(element.focus());
    }
}

/// What every place listens to. The places are drawn anew with every turn of the neck, so all of it forgets those that
/// are gone.
#[derive(Clone, Copy)]
struct Heard {
    places: Lasting<Memo<Arc<Vec<Vec<Cell>>>>>,
    selected: Lasting<Memo<StringSet>>,
    covered: Lasting<Memo<Option<u8>>>,
    here: Lasting<RwSignal<(usize, usize)>>,
    choose: Callback<(StringNumber, u8)>,
    naming: Signal<NamedBy>,
}

fn draw_cell(string: StringNumber, fret: u8, neck: &NeckFrame, plan: &Plan, heard: Heard) -> impl IntoView + use<> {
    let Heard {
        places,
        selected,
        covered,
        here,
        choose,
        naming,
    } = heard;
    let place = (string.index(), usize::from(fret));
    let (from, to) = neck.cell(fret);
    let from = if fret == 0 { -30.0 / plan.length } else { from };
    // The last fret has room behind it.
    let to = to.max(from + LEAST_PLACE / plan.length);
    let across = plan.across(place.0);
    let (x, y, w, h) = plan.rect(
        (plan.along(from), plan.along(to)),
        (across - plan.gap / 2.0, across + plan.gap / 2.0),
    );
    let along = if fret == 0 {
        -16.0 / plan.length
    } else {
        neck.along(crate::steel::Fret(f64::from(fret)))
    };
    let centre = plan.point(plan.along(along), across);
    fn with_cell<T: Default>(places: &[Vec<Cell>], place: (usize, usize), read: impl Fn(&Cell) -> Option<T>) -> T {
        let cell = places.get(place.0).and_then(|row| row.get(place.1));
        cell.and_then(read).unwrap_or_default()
    }
    let role = move || places.with(|p| with_cell(p, place, |c| Some(c.degree.as_ref().map(|d| d.role))));
    let called =
        Signal::derive(move || places.with(|p| with_cell(p, place, |c| c.degree.as_ref().map(|d| d.called.clone()))));
    let shown = Memo::new(move |_| role());
    let press = move |event: web_sys::KeyboardEvent| {
        if matches!(event.key().as_str(), "Enter" | " ") {
            event.prevent_default();
            event.stop_propagation();
            choose.run((string, fret));
        }
    };
    let chosen = move |_| {
        here.set(place);
        choose.run((string, fret));
    };
    view! {
        <g
            class="neck-place"
            class:covered=move || covered.get() == Some(fret)
            role="gridcell"
            id=id(place)
            tabindex=move || if here.get() == place { "0" } else { "-1" }
            aria-label=move || places.with(|p| with_cell(p, place, |c| Some(tell(&c.spoken))))
            aria-selected=move || {
                let there = covered.get().unwrap_or(0) == fret;
                if there && selected.get().contains(string) { "true" } else { "false" }
            }
            on:click=chosen
            on:keydown=press
        >
            <rect class="neck-ground" x=x y=y width=w height=h rx="3"></rect>
            {move || {
                let role = shown.get()?;
                (role != Role::Tension).then(|| plate(role, centre, PLATE, called, naming))
            }}
        </g>
    }
}

/// A plate with a note's name: both names stand one over the other.
pub(super) fn plate(
    role: Role,
    centre: (f64, f64),
    size: (f64, f64),
    called: Signal<Called>,
    naming: Signal<NamedBy>,
) -> impl IntoView {
    let both = move || naming.get() == NamedBy::Both && !called.with(|c| c.letter.is_empty());
    let (height, first) = (
        move || if both() { size.1.max(TALL) } else { size.1 },
        move || centre.1 + if both() { -1.0 } else { 4.2 },
    );
    let first_name = move || match naming.get() {
        NamedBy::Both => called.with(|c| c.number.clone()),
        naming => called.with(|c| c.by(naming, spell)),
    };
    let second_name = move || {
        both().then(|| view! { <text class="second-name" x=centre.0 y=centre.1 + 9.4>{called.with(|c| format!("{} ", notes(&c.letter)))}</text> })
    };
    let class = match role {
        Role::Root => "plate root",
        Role::Tone => "plate tone",
        Role::Tension => "plate tension",
    };
    view! {
        <g class=class>
            <rect x=centre.0 - size.0 / 2.0 y=move || centre.1 - height() / 2.0 width=size.0 height=height rx="3"></rect>
            {second_name}
            <text x=centre.0 y=first>{first_name}</text>
        </g>
    }
}
