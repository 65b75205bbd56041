//! The board: wood, frets, marks and strings, all that is only looked at.

use super::plan::{NAMES, NUMBERS, Plan};
use crate::app::neck_view::{FretLine, Inlay, NeckFrame};
use crate::ui::language::notes;
use crate::ui::state::Lasting;
use leptos::prelude::*;

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
