//! A lesson's exercises: asked, answered, marked, and asked again with another draw.

use super::learnt::Learnt;
use crate::platform::frames::clock;
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::teach::lesson::ExerciseBlock;
use crate::ui::answer::Asked;
use crate::ui::language::look;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// All exercises of a lesson.
#[component]
pub(super) fn Practice(blocks: Vec<ExerciseBlock>) -> impl IntoView {
    let exercises = blocks
        .into_iter()
        .enumerate()
        .map(|(index, block)| view! { <One block index /> });
    view! {
        <section class="lesson-practice" aria-labelledby="practice-name">
            <h2 id="practice-name">{say!("Exercises")}</h2>
            {exercises.collect_view()}
        </section>
    }
}

/// One exercise; each draw of it begins with a clean pad.
#[component]
fn One(block: ExerciseBlock, index: usize) -> impl IntoView {
    let page = Page::here();
    let seed = RwSignal::new(block.seed.unwrap_or_else(drawn));
    let again = block.seed.is_none();
    let title = format!("{}. {}", index + 1, look(block.exercise.kind.name()));
    let caption = block.caption.clone();
    let drawn_task = move || match block.exercise.task(seed.get()) {
        Ok(task) => view! { <Drawn task=Arc::new(task) skill=block.skill.clone() /> }.into_any(),
        Err(error) => view! { <p class="fault">{error.said()}</p> }.into_any(),
    };
    let next = move |_| {
        playing::give_back(page);
        seed.update(|seed| *seed = seed.wrapping_add(1));
    };
    view! {
        <section class="class-part exercise" aria-label=say!("Exercise {index}", index = index + 1)>
            <h3>{title}</h3>
            {caption.map(|words| view! { <p class="soft">{words}</p> })}
            {drawn_task}
            {again.then(|| view! { <button type="button" class="do slim" on:click=next>{say!("Another one like it")}</button> })}
        </section>
    }
}

/// A draw that the last visit did not have.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // milliseconds; any number will do
fn drawn() -> u64 {
    (clock() * 1000.0) as u64
}

#[component]
fn Drawn(task: Arc<Task>, skill: String) -> impl IntoView {
    let page = Page::here();
    let learnt = Learnt::here();
    let answer = RwSignal::new(None::<Answer>);
    let checked = RwSignal::new(None::<Answer>);
    let hints = RwSignal::new(0_usize);
    let mark = {
        let task = Arc::clone(&task);
        Memo::new(move |_| checked.get().map(|answer| task.mark(&answer)))
    };
    let check = {
        let task = Arc::clone(&task);
        move |answer: Answer| {
            let hinted = hints.get_untracked() > 0;
            learnt.note(page, &skill, &task.mark(&answer), hinted);
            checked.set(Some(answer));
        }
    };
    view! {
        <Asked
            task=task
            answer=answer
            mark=mark.into()
            hints=Some(hints.into())
            on_check=check
            on_hint=move || hints.update(|h| *h += 1)
        />
    }
}
