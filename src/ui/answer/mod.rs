//! How an exercise is answered: a pad for each kind of answer.

mod asked;
mod change;
mod given;
mod grip;
mod marked;
mod phrase;
mod places;
mod play;
mod pointed;
mod right;

pub(in crate::ui) use asked::Asked;
pub(in crate::ui) use given::Given;

use crate::app::written::with_capital;
use crate::teach::Answer;
use crate::teach::exercise::{Input, Task};
use crate::theory::Cents;
use crate::ui::controls::Choice;
use crate::ui::language::{look, number};
use asked::Told;
use change::ChangePad;
use leptos::prelude::*;
use phrase::PhrasePad;
use places::PlacesPad;
use std::sync::Arc;

/// The pad that a task is answered on. What is on it is the answer.
#[component]
fn AnswerPad(
    task: Arc<Task>,
    answer: RwSignal<Option<Answer>>,
    told: Told,
    /// Called where Enter says that this is the answer.
    on_enter: UnsyncCallback<()>,
) -> impl IntoView {
    match task.input() {
        Input::Chord => {
            let of = |text: String| Answer::Chord(with_capital(&text));
            view! { <Written name=say!("The chord, in letters") answer of on_enter /> }.into_any()
        }
        Input::Number => view! { <Written name=say!("The number") answer of=Answer::Number on_enter /> }.into_any(),
        Input::Chart(bars) => {
            let name = say!("{bars} bars, as numbers", bars);
            view! { <Written name answer of=Answer::Chart on_enter /> }.into_any()
        }
        Input::Numbers(numbers) => {
            let options = numbers.iter().map(|n| (Answer::Number(n.to_string()), n.to_string()));
            view! { <OneOf name=say!("The number") options=options.collect() answer on_enter /> }.into_any()
        }
        Input::Bar(bars) => {
            let bars = u16::try_from(bars).unwrap_or(u16::MAX);
            let options = (1..=bars).map(|bar| (Answer::Bar(bar), bar.to_string()));
            view! { <OneOf name=say!("The bar") options=options.collect() answer on_enter /> }.into_any()
        }
        Input::Changes(offered) => view! { <ChangePad task offered answer /> }.into_any(),
        Input::Inversions(all) => {
            let options = all
                .into_iter()
                .map(|i| (Answer::Inversion(i), look(i.name()).to_owned()));
            view! { <OneOf name=say!("The inversion") options=options.collect() answer on_enter /> }.into_any()
        }
        Input::Cents(most) => view! { <Turn most answer /> }.into_any(),
        Input::Places(_) => view! { <PlacesPad task answer told /> }.into_any(),
        Input::Phrase(_) => view! { <PhrasePad task answer told /> }.into_any(),
    }
}

/// An answer in writing.
#[component]
fn Written(
    #[prop(into)] name: String,
    answer: RwSignal<Option<Answer>>,
    of: fn(String) -> Answer,
    on_enter: UnsyncCallback<()>,
) -> impl IntoView {
    let text = move || match answer.get() {
        Some(Answer::Chord(text) | Answer::Number(text) | Answer::Chart(text)) => text,
        _ => String::new(),
    };
    let write = move |event| {
        let text: String = event_target_value(&event);
        answer.set((!text.trim().is_empty()).then(|| of(text)));
    };
    view! {
        <form
            class="class-field"
            on:submit=move |e| {
                e.prevent_default();
                on_enter.run(());
            }
        >
            <label class="class-field">
                {name}
                <input type="text" autocapitalize="off" autocomplete="off" spellcheck="false" prop:value=text on:input=write />
            </label>
        </form>
    }
}

/// One answer of a few.
#[component]
fn OneOf(
    name: &'static str,
    options: Vec<(Answer, String)>,
    answer: RwSignal<Option<Answer>>,
    on_enter: UnsyncCallback<()>,
) -> impl IntoView {
    let options = options.into_iter().map(|(a, word)| (Some(a), word)).collect();
    // A form of its own: the buttons of one exercise know nothing of another's.
    view! {
        <form
            on:submit=move |e| {
                e.prevent_default();
                on_enter.run(());
            }
        >
            <Choice name options value=answer on_change=move |to| answer.set(to) />
        </form>
    }
}

/// A string turned up or down.
#[component]
fn Turn(most: Cents, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let turned = move || match answer.get() {
        Some(Answer::Cents(by)) => by.0,
        _ => 0.0,
    };
    let turn = move |event| {
        answer.set(
            event_target_value(&event)
                .parse()
                .ok()
                .map(|by| Answer::Cents(Cents(by))),
        )
    };
    view! {
        <label class="class-field">
            {move || say!("Turned by {turned} cents", turned = number(format!("{:+.1}", turned())))}
            <input
                type="range"
                class="slide"
                min=-most.0
                max=most.0
                step="0.1"
                prop:value=move || turned().to_string()
                on:input=turn
            />
        </label>
    }
}
