//! A task as it is asked: the question, what is seen and heard, the pad, hints, and the mark.

use super::AnswerPad;
use crate::app::learning::{score_of, shown_words};
use crate::teach::Answer;
use crate::teach::exercise::{Criterion, Heard, Mark, Task};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The most hints there are to a task.
const MOST_HINTS: usize = 3;

/// The whole of a task.
#[component]
pub(in crate::ui) fn Asked(
    /// What is asked.
    task: Arc<Task>,
    /// What is on the pad.
    answer: RwSignal<Option<Answer>>,
    /// The mark of what was checked last.
    mark: Signal<Option<Mark>>,
    /// How many hints were taken; nothing where none are given.
    hints: Option<Signal<usize>>,
    /// Called with what is to be marked.
    on_check: impl Fn(Answer) + 'static,
    /// Called when one more hint is wanted.
    on_hint: impl Fn() + Copy + 'static,
) -> impl IntoView {
    let check = move |_| {
        if let Some(answer) = answer.get_untracked() {
            on_check(answer);
        }
    };
    let shown = shown_words(&task)
        .into_iter()
        .map(|line| view! { <code>{line}</code> })
        .collect_view();
    let heard = task
        .heard()
        .is_some()
        .then(|| view! { <Hear task=Arc::clone(&task) answer /> });
    let words = task.hints();
    let taken = move || hints.map_or(0, |h| h.get());
    let all_taken = move || taken() >= MOST_HINTS;
    let told = move || {
        words
            .iter()
            .take(taken())
            .map(|h| view! { <p class="hint">{h.clone()}</p> })
            .collect_view()
    };
    view! {
        <p>{task.question()}</p>
        <div class="exercise-shown">{shown}</div>
        {heard}
        <AnswerPad task answer />
        <div class="line-up">
            <button type="button" class="go" prop:disabled=move || answer.with(Option::is_none) on:click=check>
                "Check"
            </button>
            {hints.is_some().then(|| view! {
                <button type="button" class="do" prop:disabled=all_taken on:click=move |_| on_hint()>"Hint"</button>
            })}
        </div>
        <div class="exercise-hints" role="status">{told}</div>
        <div role="status">{move || mark.get().map(|mark| view! { <Marked mark /> })}</div>
    }
}

/// Plays what is heard, with what is on the pad taken into account.
#[component]
fn Hear(task: Arc<Task>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let page = Page::here();
    let press = move |_| {
        let heard: Option<Heard> = match answer.get_untracked() {
            Some(answer) => task.heard_with(&answer),
            None => task.heard(),
        };
        if let Some(heard) = heard {
            playing::play_lent(page, &score_of(heard, &task.setting));
        }
    };
    view! { <button type="button" class="do" on:click=press>"Hear it"</button> }
}

/// A mark: points, reasons, and one next step.
#[component]
fn Marked(mark: Mark) -> impl IntoView {
    let right = mark.is_right();
    let head = format!("{} of {} points", mark.points(), mark.out_of());
    let next = mark.next_step().map(|n| format!("Next: {n}"));
    let line = |c: Criterion| {
        let spot = c.spot.as_ref().map(|s| format!(", {s}"));
        view! {
            <li class:missed=!c.is_met()>
                <b>{c.name.clone()}{spot}</b>
                <span class="small">{format!(" {}/{} ", c.points, c.of)}</span>
                {c.why.clone()}
            </li>
        }
    };
    view! {
        <div class="marked" class:right=right>
            <p><b>{head}</b></p>
            <ul>{mark.criteria.into_iter().map(line).collect_view()}</ul>
            {next.map(|words| view! { <p class="hint">{words}</p> })}
        </div>
    }
}
