//! A mark: points, reasons, where, and one next step.

use super::pointed::Pointed;
use crate::app::answering::place_names;
use crate::teach::exercise::{Criterion, Mark, Task};
use crate::ui::language::tell;
use leptos::prelude::*;
use std::sync::Arc;

/// A mark; a tap on a bar and beat or a place it speaks of goes there.
#[component]
pub(super) fn Marked(task: Arc<Task>, mark: Mark, pointed: RwSignal<Option<Pointed>>) -> impl IntoView {
    let right = mark.is_right();
    let head = say!(
        "{points} of {out_of} points",
        points = mark.points(),
        out_of = mark.out_of()
    );
    let next = mark.next_step().map(|n| say!("Next: {n}", n = *n));
    let song = &task.setting.timeline;
    let names = place_names(&task);
    let line = |c: Criterion| {
        let at = c
            .spot
            .as_ref()
            .and_then(|s| Some((tell(&s.said()), Pointed::At(s.moment(song)?))));
        let held = c.place.and_then(|p| Some((tell(names.get(p)?), Pointed::Place(p))));
        let place = at.or(held).map(|(words, to)| {
            view! {
                <button type="button" class="do slim" on:click=move |_| pointed.set(Some(to))>{words}</button>
            }
        });
        view! {
            <li class:missed=!c.is_met()>
                <b>{c.name.clone()}</b>
                <span class="small">{format!(" {}/{} ", c.points, c.of)}</span>
                {c.why.clone()}
                {place}
            </li>
        }
    };
    view! {
        <div class="marked" class:right=right>
            <p><b>{head}</b></p>
            <ul>{mark.criteria.iter().cloned().map(line).collect_view()}</ul>
            {next.map(|words| view! { <p class="hint">{words}</p> })}
        </div>
    }
}
