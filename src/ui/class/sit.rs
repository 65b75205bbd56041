//! Answering work that was set: a name, the exercises, and what is handed in.

use super::share::Shared;
use crate::app::class::{content, file_name};
use crate::app::learning::Sitting;
use crate::teach::exercise::Task;
use crate::teach::{Answer, Evidence};
use crate::ui::answer::Asked;
use crate::ui::language::look;
use crate::ui::neck::OpenNeck;
use crate::ui::playing;
use crate::ui::reporting::{Reporting, Standings};
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The work, exercise by exercise, and its end.
#[component]
pub(super) fn Sit(sitting: RwSignal<Sitting>) -> impl IntoView {
    let page = Page::here();
    let platform = Reporting::here().keeps();
    // One neck at a time in all of the work.
    OpenNeck::provide();
    on_cleanup(move || playing::give_back(page));
    let work = sitting.with_untracked(|s| s.work.clone());
    let exercises = work
        .items
        .iter()
        .enumerate()
        .map(|(index, item)| match work.task(item) {
            Ok(task) => view! { <Exercise task=Arc::new(task) sitting index /> }.into_any(),
            Err(error) => {
                view! { <p class="fault">{say!("Exercise {index}: {error}", index = index + 1, error)}</p> }.into_any()
            }
        });
    let exercises = exercises.collect_view();
    view! {
        <section class="class-part" aria-label=say!("The work")>
            <h2>{work.title.clone()}</h2>
            {(!work.words.is_empty()).then(|| view! { <p>{work.words.clone()}</p> })}
            {(!work.due.is_empty()).then(|| view! { <p class="small soft">{say!("Wanted by: ")}{work.due.clone()}</p> })}
            {(!platform).then(|| view! { <Name sitting /> })}
        </section>
        {exercises}
        {if platform { view! { <Reported sitting /> }.into_any() } else { view! { <HandIn sitting /> }.into_any() }}
    }
}

/// Who hands it in.
#[component]
fn Name(sitting: RwSignal<Sitting>) -> impl IntoView {
    view! {
        <label class="class-field">
            {say!("Your name, as your teacher knows it")}
            <input
                type="text"
                maxlength="80"
                autocomplete="off"
                prop:value=move || sitting.with(|s| s.name.clone())
                on:input=move |e| sitting.update(|s| s.name = event_target_value(&e))
            />
        </label>
        <p class="small soft">{say!("It stays on this device and in what you hand in. Nothing is sent from here.")}</p>
    }
}

/// What the learning platform has of it.
#[component]
fn Reported(sitting: RwSignal<Sitting>) -> impl IntoView {
    let words = Memo::new(move |_| {
        sitting.with(|s| {
            let (done, all) = (s.done(), s.work.items.len());
            say!(
                "{done} of {all} answered, {work} so far.",
                done,
                all,
                work = s.attempt.score(&s.work)
            )
        })
    });
    view! {
        <section class="class-part" aria-label=say!("Reported")>
            <h2>{say!("Reported")}</h2>
            <p>{words}</p>
            <Standings />
        </section>
    }
}

/// One exercise of the work: what was answered and how many hints were taken is kept in the sitting.
#[component]
fn Exercise(task: Arc<Task>, sitting: RwSignal<Sitting>, index: usize) -> impl IntoView {
    let given = move || sitting.with(|s| s.attempt.given.get(index).cloned().unwrap_or_default());
    let earned = move || sitting.with(|s| s.attempt.earned(index));
    let mark = {
        let task = Arc::clone(&task);
        Memo::new(move |_| given().answer.map(|a| task.mark(&a)))
    };
    let offered = sitting.with_untracked(|s| s.work.hints);
    let hints = offered.then(|| Signal::derive(move || usize::from(given().hints)));
    let take_hint = move || {
        sitting.update(|s| {
            s.hint(index);
        });
    };
    let on_played = Callback::new(move |(answer, played): (Answer, Evidence)| {
        sitting.update(|s| s.play(index, answer, played));
    });
    let played = {
        let task = Arc::clone(&task);
        move || {
            let given = given();
            let tally = given.played?.tally(&task, given.answer.as_ref()?).ok()?;
            Some(say!("Goes with your answer, played: {how}.", how = tally.words()))
        }
    };
    view! {
        <section class="class-part exercise" aria-label=say!("Exercise {index}", index = index + 1)>
            <h3>{format!("{}. {}", index + 1, look(task.kind().name()))}</h3>
            {move || earned().map(|score| view! {
                <p class="small soft">{say!("Answered before: {score}. The answer itself found no room on your platform.", score)}</p>
            })}
            <Asked
                task=task
                answer=RwSignal::new(given().answer)
                mark=mark.into()
                hints=hints
                on_check=move |answer| sitting.update(|s| s.answer(index, answer))
                on_hint=take_hint
                on_played=on_played
            />
            {move || played().map(|words| view! { <p class="small" role="status">{words}</p> })}
        </section>
    }
}

/// What is handed in, once something is answered.
#[component]
fn HandIn(sitting: RwSignal<Sitting>) -> impl IntoView {
    let ready = Memo::new(move |_| sitting.with(|s| s.done() > 0 && !s.name.trim().is_empty()));
    let sendable = Memo::new(move |_| sitting.with(|s| content(&s.handed())));
    let file = Signal::derive(move || sitting.with(|s| file_name("answer", &s.name, "txt")));
    let left = move || sitting.with(|s| s.work.items.len() - s.done());
    view! {
        <section class="class-part" aria-label=say!("Hand in")>
            <h2>{say!("Hand in")}</h2>
            {move || {
                if !ready.get() {
                    return view! { <p class="soft">{say!("Write your name and check an answer first.")}</p> }.into_any();
                }
                let open = move || (left() > 0).then(|| view! { <p>{say!("{left} without an answer yet.", left = left())}</p> });
                view! { {open}<Shared content=sendable file what=say!("answer") /> }.into_any()
            }}
        </section>
    }
}
