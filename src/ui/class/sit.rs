//! Answering work that was set: a name, the exercises, and what is handed in.

use super::share::Shared;
use crate::app::class::{file_name, share};
use crate::app::learning::{Sitting, score_of, shown_words};
use crate::teach::exercise::{Heard, Mark, Task};
use crate::ui::answer::AnswerPad;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The work, exercise by exercise, and its end.
#[component]
pub(super) fn Sit(sitting: RwSignal<Sitting>) -> impl IntoView {
    let page = Page::here();
    on_cleanup(move || playing::give_back(page));
    let work = sitting.with_untracked(|s| s.work.clone());
    let exercises = work
        .items
        .iter()
        .enumerate()
        .map(|(index, item)| match work.task(item) {
            Ok(task) => view! { <Exercise task=Arc::new(task) sitting index /> }.into_any(),
            Err(error) => view! { <p class="fault">{format!("Exercise {}: {error}", index + 1)}</p> }.into_any(),
        });
    let exercises = exercises.collect_view();
    view! {
        <section class="class-part" aria-label="The work">
            <h2>{work.title.clone()}</h2>
            <p>{work.words.clone()}</p>
            {(!work.due.is_empty()).then(|| view! { <p class="small soft">"Wanted by: "{work.due.clone()}</p> })}
            <label class="class-field">
                "Your name, as your teacher knows it"
                <input
                    type="text"
                    maxlength="80"
                    autocomplete="off"
                    prop:value=move || sitting.with(|s| s.name.clone())
                    on:input=move |e| sitting.update(|s| s.name = event_target_value(&e))
                />
            </label>
            <p class="small soft">"It stays on this device and in what you hand in. Nothing is sent from here."</p>
        </section>
        {exercises}
        <HandIn sitting />
    }
}

/// One exercise: asked, seen, heard, answered, marked.
#[component]
fn Exercise(task: Arc<Task>, sitting: RwSignal<Sitting>, index: usize) -> impl IntoView {
    let given = move || sitting.with(|s| s.given.get(index).cloned().unwrap_or_default());
    let answer = RwSignal::new(given().answer);
    let mark = {
        let task = Arc::clone(&task);
        Memo::new(move |_| given().answer.map(|a| task.mark(&a)))
    };
    let check = move |_| {
        if let Some(answer) = answer.get_untracked() {
            sitting.update(|s| s.answer(index, answer));
        }
    };
    let hints = task.hints();
    let hinted = move || usize::from(given().hints);
    let all_hinted = move || hinted() >= 3;
    let take_hint = move |_| {
        sitting.update(|s| {
            s.hint(index);
        });
    };
    let offered = sitting.with_untracked(|s| s.work.hints);
    let shown = shown_words(&task)
        .into_iter()
        .map(|line| view! { <code>{line}</code> })
        .collect_view();
    let heard = task
        .heard()
        .is_some()
        .then(|| view! { <Hear task=Arc::clone(&task) answer /> });
    let told = move || {
        hints
            .iter()
            .take(hinted())
            .map(|h| view! { <p class="hint">{h.clone()}</p> })
            .collect_view()
    };
    view! {
        <section class="class-part exercise" aria-label=format!("Exercise {}", index + 1)>
            <h3>{format!("{}. {}", index + 1, task.kind().name())}</h3>
            <p>{task.question()}</p>
            <div class="exercise-shown">{shown}</div>
            {heard}
            <AnswerPad task answer />
            <div class="line-up">
                <button type="button" class="go" prop:disabled=move || answer.with(Option::is_none) on:click=check>
                    "Check"
                </button>
                {offered.then(|| view! {
                    <button
                        type="button"
                        class="do"
                        prop:disabled=all_hinted
                        on:click=take_hint
                    >
                        "Hint"
                    </button>
                })}
            </div>
            <div class="exercise-hints" role="status">{told}</div>
            <div role="status">{move || mark.get().map(|mark| view! { <Marked mark /> })}</div>
        </section>
    }
}

/// Plays what is heard, with what is on the pad taken into account.
#[component]
fn Hear(task: Arc<Task>, answer: RwSignal<Option<crate::teach::Answer>>) -> impl IntoView {
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
    let line = |c: crate::teach::exercise::Criterion| {
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

/// What is handed in, once something is answered.
#[component]
fn HandIn(sitting: RwSignal<Sitting>) -> impl IntoView {
    let ready = move || sitting.with(|s| s.done() > 0 && !s.name.trim().is_empty());
    let shared = move || {
        let page = window().location().href().unwrap_or_default();
        sitting.with(|s| (share(&s.handed(), &page), file_name("answer", &s.name)))
    };
    let left = move || sitting.with(|s| s.work.items.len() - s.done());
    view! {
        <section class="class-part" aria-label="Hand in">
            <h2>"Hand in"</h2>
            {move || {
                if !ready() {
                    return view! { <p class="soft">"Write your name and check an answer first."</p> }.into_any();
                }
                let open = (left() > 0).then(|| view! { <p>{format!("{} without an answer yet.", left())}</p> });
                match shared() {
                    (Ok(share), file) => view! { {open}<Shared share file what="answer" /> }.into_any(),
                    (Err(words), _) => view! { <p class="fault">{words}</p> }.into_any(),
                }
            }}
        </section>
    }
}
