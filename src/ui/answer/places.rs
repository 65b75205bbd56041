//! Places on the neck as an answer: fret, strings, what is pressed.

use crate::app::learning::{first_places, grip_words, pressed_further};
use crate::solo::stroke::Grip;
use crate::steel::Travel;
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::ui::controls::Stepper;
use leptos::prelude::*;
use std::sync::Arc;

/// As many places as the task wants, one below the other.
#[component]
pub(super) fn PlacesPad(task: Arc<Task>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let first = first_places(&task);
    let count = first.len();
    let places = Memo::new(move |_| match answer.get() {
        Some(Answer::Places(places)) if places.len() == count => places,
        _ => first.clone(),
    });
    let set = move |index: usize, grip: Grip| {
        let mut now = places.get_untracked();
        if let Some(place) = now.get_mut(index) {
            *place = grip;
        }
        answer.set(Some(Answer::Places(now)));
    };
    let one = |index: usize| {
        let task = Arc::clone(&task);
        let name = if count == 1 {
            "The place".to_owned()
        } else {
            format!("Place {}", index + 1)
        };
        let grip =
            Signal::derive(move || places.with(|p| p.get(index).copied().unwrap_or(crate::app::learning::NOWHERE)));
        view! { <PlacePad task name grip on_change=move |grip| set(index, grip) /> }
    };
    (0..count).map(one).collect_view()
}

/// One place: the bar's fret, the strings picked, the pedals and levers pressed.
#[component]
pub(super) fn PlacePad(
    task: Arc<Task>,
    #[prop(into)] name: String,
    grip: Signal<Grip>,
    on_change: impl Fn(Grip) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let instrument = task.setting.instrument.clone();
    let frets = i32::from(instrument.frets);
    let fret = Signal::derive(move || i32::from(grip.get().place.fret));
    let to_fret = move |to: i32| {
        let mut moved = grip.get_untracked();
        moved.place.fret = u8::try_from(to).unwrap_or(0);
        on_change(moved);
    };
    let strings = instrument.string_numbers().map(|string| {
        let on = move || grip.get().strings.contains(string);
        let turn = move |_| {
            let mut now = grip.get_untracked();
            now.strings = if on() { now.strings.without(string) } else { now.strings.with(string) };
            on_change(now);
        };
        view! {
            <button type="button" class="chip" aria-label=format!("String {string}") aria-pressed=move || on().to_string() on:click=turn>
                {string.number()}
            </button>
        }
    });
    let changes = instrument.change_ids().filter_map(|id| {
        let change = instrument.change(id)?.name.clone();
        let travel = move || grip.get().place.stance.travel(id);
        let further = instrument.clone();
        let press = move |_| {
            let mut now = grip.get_untracked();
            now.place.stance = pressed_further(&further, now.place.stance, id);
            on_change(now);
        };
        let pressed = move || match travel() {
            Travel::UP => "false",
            Travel::DOWN => "true",
            _ => "mixed",
        };
        let half = move || (pressed() == "mixed").then_some("½");
        // A reader says what is seen, the half as well.
        let said = {
            let change = change.clone();
            move || format!("Press {change}{}", half().unwrap_or_default())
        };
        Some(view! {
            <button type="button" class="chip" aria-label=said aria-pressed=pressed on:click=press>
                {change.clone()}{half}
            </button>
        })
    });
    let (strings, changes) = (strings.collect_view(), changes.collect_view());
    let words = move || grip_words(&task.setting.instrument, grip.get());
    view! {
        <fieldset class="place-pad">
            <legend>{name}</legend>
            <Stepper name="Fret" value=fret least=0 most=Signal::stored(frets) step=1 unit="" on_change=to_fret />
            <div class="chips" role="group" aria-label="Strings">{strings}</div>
            <div class="chips" role="group" aria-label="Pedals and levers">{changes}</div>
            <output class="small soft">{words}</output>
        </fieldset>
    }
}
