//! A mark: points, reasons, where, and one next step.

use crate::teach::exercise::{Criterion, Mark, Task};
use crate::theory::Beats;
use leptos::prelude::*;
use std::sync::Arc;

/// A mark; a tap on a bar and beat it speaks of goes there.
#[component]
pub(super) fn Marked(task: Arc<Task>, mark: Mark, pointed: RwSignal<Option<Beats>>) -> impl IntoView {
    let right = mark.is_right();
    let head = format!("{} of {} points", mark.points(), mark.out_of());
    let next = mark.next_step().map(|n| format!("Next: {n}"));
    let song = &task.setting.timeline;
    let line = |c: Criterion| {
        let spot = c.spot.as_ref().map(|s| (s.to_string(), s.moment(song)));
        let place = spot.map(|(words, at)| match at {
            Some(at) => view! {
                <button type="button" class="do slim" on:click=move |_| pointed.set(Some(at))>{words}</button>
            }
            .into_any(),
            None => view! { <span>{words}</span> }.into_any(),
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
