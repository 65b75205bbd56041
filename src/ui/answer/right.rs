//! A right answer: drawn as one's own is, heard, and laid over one's own.

use crate::app::answering::{answer_words, cards_of, example_of, is_in_time, score_of};
use crate::app::lesson_view::{Example, still};
use crate::app::written::is_one_of_several;
use crate::solo::stroke::Grip;
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::teach::lesson::NeckBlock;
use crate::ui::example::Played;
use crate::ui::neck::PlaceCard;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// One right answer of a task, beside what is on the pad.
#[component]
pub(super) fn RightAnswer(task: Arc<Task>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let model = task.model_answer();
    let seen = match &model {
        Answer::Places(places) => Some(view! { <Places task=Arc::clone(&task) places=places.clone() answer /> }),
        _ => None,
    };
    let words = answer_words(&model);
    let several = is_one_of_several(&model);
    let in_time = is_in_time(&task);
    let sounds = !in_time && !matches!(model, Answer::Places(_)) && task.heard().is_some();
    let heard = sounds.then(|| view! { <HearRight task=Arc::clone(&task) model=model.clone() /> });
    let played = example_of(&task, Some(&model)).filter(|_| in_time).map(|example| {
        let other = Signal::derive(move || {
            let own = answer.get()?;
            example_of(&task, Some(&own)).map(|e| e.performance)
        });
        view! {
            <p class="small soft">{say!("Yours is drawn behind it, in the other colour.")}</p>
            <Played example=Signal::stored(example) name=say!("Hear this") other />
        }
    });
    view! {
        <section class="right-answer" aria-label=say!("A right answer")>
            <h4>{say!("A right answer")}</h4>
            {(!words.is_empty()).then(|| view! { <p><b>{words}</b></p> })}
            {seen}
            {played}
            {heard}
            {several.then(|| view! {
                <p class="small soft">{say!("It is one of those that are right; yours may be another.")}</p>
            })}
        </section>
    }
}

/// The right places as pictures, and below each one's own where it is another.
#[component]
fn Places(task: Arc<Task>, places: Vec<Grip>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let silent = Example::silent(still(None), task.setting.instrument.clone());
    let card = move |block: NeckBlock| view! { <PlaceCard block score=Arc::clone(&silent.score) /> };
    let own = {
        let (task, card) = (Arc::clone(&task), card.clone());
        move || {
            let Some(Answer::Places(own)) = answer.get() else {
                return Vec::new();
            };
            let seen = cards_of(&task, &own).into_iter().flatten();
            seen.map(card.clone()).collect()
        }
    };
    let right = cards_of(&task, &places).into_iter().flatten().map(card).collect_view();
    view! {
        <div class="right-places">{right}</div>
        <p class="small soft">{say!("Yours:")}</p>
        <div class="right-places">{move || own().collect_view()}</div>
    }
}

/// Plays what a right answer makes of what is heard.
#[component]
fn HearRight(task: Arc<Task>, model: Answer) -> impl IntoView {
    let page = Page::here();
    let press = move |_| {
        if let Some(heard) = task.heard_with(&model) {
            playing::play_lent(page, &score_of(heard, &task.setting));
        }
    };
    view! { <button type="button" class="do" on:click=press>{say!("Hear this")}</button> }
}
