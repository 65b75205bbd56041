//! An answer that somebody gave, beside its question: what it says, where it lies, how it sounds, and its mark.

use super::marked::Marked;
use crate::app::answering::{answer_words, cards_of, example_of, is_in_time, shown_words};
use crate::app::lesson_view::{Example, still};
use crate::app::marking::Answered;
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::ui::example::Played;
use crate::ui::language::look;
use crate::ui::neck::PlaceCard;
use leptos::prelude::*;
use std::sync::Arc;

/// One answer with its question and its mark.
#[component]
pub(in crate::ui) fn Given(index: usize, answered: Answered) -> impl IntoView {
    let Answered {
        task,
        answer,
        tries,
        hints,
    } = answered;
    let shown = shown_words(&task);
    let helped = [
        (hints > 0).then(|| say!(usize::from(hints) => "One hint was taken.", "{n} hints were taken.")),
        (tries > 0).then(|| say!(usize::from(tries) => "Another answer was checked before.", "{n} other answers were checked before.")),
    ];
    let helped: Vec<String> = helped.into_iter().flatten().collect();
    let name = format!("{}. {}", index + 1, look(task.kind().name()));
    let said = match answer {
        Some((answer, mark)) => view! {
            <Said task=Arc::clone(&task) answer />
            <Marked task=Arc::clone(&task) mark pointed=RwSignal::new(None) />
        }
        .into_any(),
        None => view! { <p class="soft">{say!("No answer.")}</p> }.into_any(),
    };
    view! {
        <section class="class-part exercise" aria-label=say!("Exercise {index}", index = index + 1)>
            <h3>{name}</h3>
            <p>{task.question()}</p>
            <div class="exercise-shown">{shown.into_iter().map(|line| view! { <code>{line}</code> }).collect_view()}</div>
            {said}
            {(!helped.is_empty()).then(|| view! { <p class="small soft">{helped.join(" ")}</p> })}
        </section>
    }
}

/// What an answer says: in words, as places, or as something played.
#[component]
fn Said(task: Arc<Task>, answer: Answer) -> impl IntoView {
    let words = answer_words(&answer);
    let silent = Example::silent(still(None), task.setting.instrument.clone());
    let places = match &answer {
        Answer::Places(places) => cards_of(&task, places),
        _ => Vec::new(),
    };
    let cards: Vec<_> = places
        .into_iter()
        .flatten()
        .map(|block| view! { <PlaceCard block score=Arc::clone(&silent.score) /> })
        .collect();
    let played = example_of(&task, Some(&answer)).filter(|_| is_in_time(&task));
    view! {
        {(!words.is_empty()).then(|| view! { <p><b>{words}</b></p> })}
        {(!cards.is_empty()).then(|| view! { <div class="right-places">{cards}</div> })}
        {played.map(|example| view! { <Played example=Signal::stored(example) name=say!("Hear this") /> })}
    }
}
