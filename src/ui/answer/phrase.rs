//! A phrase as an answer: strokes put down one after the other.

use super::places::PlacePad;
use crate::app::learning::{Way, phrase, with_one_more};
use crate::solo::stroke::{Grip, Stroke};
use crate::teach::exercise::{Input, Task};
use crate::teach::{Answer, rows};
use crate::theory::Beats;
use crate::ui::controls::{Choice, Stepper, words};
use leptos::prelude::*;
use std::sync::Arc;

/// Strokes to put down, change and take away.
#[component]
pub(super) fn StrokesPad(task: Arc<Task>, answer: RwSignal<Option<Answer>>) -> impl IntoView {
    let first = match task.input() {
        Input::Phrase(first) => first,
        _ => Vec::new(),
    };
    let given = answer
        .get_untracked()
        .and_then(|a| a.strokes(&task.setting))
        .and_then(Result::ok);
    let strokes = RwSignal::new(given.unwrap_or(first));
    let setting = Arc::clone(&task);
    Effect::new(move |before: Option<()>| {
        let now = strokes.get();
        if before.is_some() {
            answer.set(Some(phrase(&setting.setting, &now)));
        }
    });
    let count = Memo::new(move |_| strokes.with(Vec::len));
    let more = {
        let task = Arc::clone(&task);
        move |_| strokes.update(|s| *s = with_one_more(&task.setting, s))
    };
    let list = move || {
        let task = &task;
        (0..count.get())
            .map(|index| view! { <StrokePad task=Arc::clone(task) strokes index /> })
            .collect_view()
    };
    view! {
        <ol class="stroke-pads">{list}</ol>
        <button type="button" class="do" on:click=more>"Put down a stroke"</button>
    }
}

/// One stroke: when, where, how.
#[component]
fn StrokePad(task: Arc<Task>, strokes: RwSignal<Vec<Stroke>>, index: usize) -> impl IntoView {
    let stroke = Memo::new(move |_| strokes.with(|s| s.get(index).copied()));
    let change = move |how: &dyn Fn(Stroke) -> Stroke| {
        strokes.update(|s| {
            if let Some(stroke) = s.get_mut(index) {
                *stroke = how(*stroke);
            }
        });
    };
    let at = move || stroke.get().map_or(Beats::ZERO, |s| s.at);
    #[allow(clippy::cast_possible_truncation)] // half beats of a short song
    let halves = Signal::derive(move || (at().0 * 2.0).round() as i32);
    #[allow(clippy::cast_possible_truncation)] // half beats of a short song
    let most = (task.setting.timeline.length().0 * 2.0) as i32 - 1;
    let moment = {
        let task = Arc::clone(&task);
        move || format!("Bar and beat {}", rows::moment_name(&task.setting.timeline, at()))
    };
    let grip = Signal::derive(move || stroke.get().map_or(crate::app::learning::NOWHERE, |s| s.grip));
    let to = move |grip: Grip| change(&|s| Way::of(&s).take(Stroke { grip, ..s }));
    let way = Signal::derive(move || stroke.get().map_or(Way::Struck, |s| Way::of(&s)));
    let out = move |_| {
        strokes.update(|s| {
            if index < s.len() {
                s.remove(index);
            }
        })
    };
    view! {
        <li class="stroke-pad">
            <b>{moment}</b>
            <Stepper
                name="When, in half beats"
                value=halves
                least=0
                most=Signal::stored(most)
                step=1
                unit=""
                on_change=move |to| change(&|s| Stroke { at: Beats(f64::from(to) / 2.0), ..s })
            />
            <PlacePad task name="Where" grip on_change=to />
            <form on:submit=move |e| e.prevent_default()>
                <Choice name="How" options=words(Way::ALL) value=way on_change=move |way: Way| change(&|s| way.take(s)) />
            </form>
            <button type="button" class="do slim" on:click=out>"Take this away"</button>
        </li>
    }
}
