//! Places on the neck as an answer: one or several, each opened to be held, and those in turn seen and heard in time.

use super::asked::Told;
use super::grip::GripEditor;
use super::pointed::Pointed;
use crate::app::answering::{NOWHERE, example_of, first_places, grip_words, is_in_time, place_names};
use crate::solo::stroke::Grip;
use crate::teach::Answer;
use crate::teach::exercise::Task;
use crate::ui::example::Played;
use crate::ui::language::tell;
use crate::ui::neck::OpenNeck;
use leptos::prelude::*;
use std::sync::Arc;

/// As many places as the task wants.
#[component]
pub(super) fn PlacesPad(task: Arc<Task>, answer: RwSignal<Option<Answer>>, told: Told) -> impl IntoView {
    let first = first_places(&task);
    let count = first.len();
    let places = Memo::new(move |_| match answer.get() {
        Some(Answer::Places(places)) if places.len() == count => places,
        _ => first.clone(),
    });
    let set = Callback::new(move |(index, grip): (usize, Grip)| {
        let mut now = places.get_untracked();
        if let Some(place) = now.get_mut(index) {
            *place = grip;
        }
        answer.set(Some(Answer::Places(now)));
    });
    let names = StoredValue::new(place_names(&task));
    let name_of = move |index: usize| names.with_value(|n| n.get(index).cloned().unwrap_or_default());
    let opened = OpenNeck::here();
    let mine = opened.ticket();
    let chosen = RwSignal::new(0_usize);
    Effect::new(move || {
        if let Some(Pointed::Place(index)) = told.pointed.get() {
            chosen.set(index);
            opened.show(mine);
        }
    });
    let is_open = move |index: usize| opened.is(mine) && chosen.get() == index;
    let slot = {
        let task = Arc::clone(&task);
        move |index: usize| {
            let task = Arc::clone(&task);
            let name = name_of(index);
            let turn = move |_| {
                if chosen.get_untracked() == index {
                    opened.turn(mine);
                } else {
                    chosen.set(index);
                    opened.show(mine);
                }
            };
            let words = move || {
                let grip = places.with(|p| p.get(index).copied().unwrap_or(NOWHERE));
                if grip.strings.is_empty() {
                    say!("hold it on the neck").to_owned()
                } else {
                    tell(&grip_words(&task.setting.instrument, grip))
                }
            };
            let is_missed = move || told.places.with(|p| p.contains(&index));
            view! {
                <button
                    type="button"
                    class="slot"
                    class:missed=is_missed
                    aria-expanded=move || if is_open(index) { "true" } else { "false" }
                    on:click=turn
                >
                    <b>{name}</b>
                    <span>{words}</span>
                </button>
            }
        }
    };
    let span = {
        let task = Arc::clone(&task);
        Signal::derive(move || {
            let spans = &task.setting.timeline.spans;
            // Of two chords the second is the one to be found.
            told.is_open.get().then(|| spans.last().copied()).flatten()
        })
    };
    let editor = {
        let task = Arc::clone(&task);
        move || {
            opened.is(mine).then(|| {
                let index = chosen.get();
                let grip = Signal::derive(move || places.with(|p| p.get(index).copied().unwrap_or(NOWHERE)));
                let on_change = Callback::new(move |grip| set.run((index, grip)));
                view! { <GripEditor task=Arc::clone(&task) name=tell(&name_of(index)) grip span on_change /> }
            })
        }
    };
    let in_time = is_in_time(&task).then(|| view! { <InTime task=Arc::clone(&task) places told /> });
    view! {
        <div class="slots">{(0..count).map(slot).collect_view()}</div>
        {editor}
        {in_time}
    }
}

/// The places as they are played one after the other.
#[component]
fn InTime(task: Arc<Task>, places: Memo<Vec<Grip>>, told: Told) -> impl IntoView {
    let first = places.with_untracked(|p| example_of(&task, Some(&Answer::Places(p.clone()))));
    first.map(|first| {
        let example = RwSignal::new(first);
        Effect::new(move |before: Option<()>| {
            let now = Answer::Places(places.get());
            if let Some(now) = before.and_then(|()| example_of(&task, Some(&now))) {
                example.set(now);
            }
        });
        view! { <Played example name=say!("Hear it with the band") spots=told.spots.into() /> }
    })
}
