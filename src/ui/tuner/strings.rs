//! What there is to tune: the strings with their targets, and what is held down meanwhile.

use super::{Manner, Tuner};
use crate::app::tuner::{Target, Verdict};
use crate::ui::language::notes;
use leptos::prelude::*;

/// The change that is held down, where there are any.
#[component]
pub(super) fn Pressed(tuner: Tuner) -> impl IntoView {
    let changes = Memo::new(move |_| {
        tuner.page.instrument.with(|i| {
            i.iter()
                .flat_map(|i| i.change_ids().zip(i.changes.iter().map(|c| c.name.clone())))
                .collect::<Vec<_>>()
        })
    });
    let one = move |change, name: String| {
        let word = name.clone();
        view! {
            <label>
                <input
                    type="radio"
                    name=say!("Held down")
                    prop:checked=move || tuner.pressed.get() == change
                    on:change=move |_| tuner.press(change)
                />
                <span data-word=word>{name}</span>
            </label>
        }
    };
    move || {
        let changes = changes.get();
        (!changes.is_empty()).then(|| {
            let rest = changes.into_iter().map(|(id, name)| one(Some(id), name));
            view! {
                <fieldset>
                    <legend>{say!("Held down")}</legend>
                    <div class="choice">{one(None, say!("Nothing").to_owned())} {rest.collect_view()}</div>
                </fieldset>
            }
        })
    }
}

/// The strings, each a button that holds the tuner on it.
#[component]
pub(super) fn Strings(tuner: Tuner) -> impl IntoView {
    let hint = move || match tuner.manner.get() {
        Manner::One => say!("The tuner finds the string you pick. Tap one to hold it there, tap again to let it go."),
        Manner::Two => say!("Tap the two strings you pick together."),
    };
    view! {
        <p class="small soft" id="tuner-hint">{hint}</p>
        <ul class="tuner-list" aria-describedby="tuner-hint">
            {move || tuner.targets.get().into_iter().map(|target| view! { <Line tuner target /> }).collect_view()}
        </ul>
    }
}

/// One string.
#[component]
fn Line(tuner: Tuner, target: Target) -> impl IntoView {
    let string = target.string;
    let taken = move || tuner.taken(string);
    let here = Memo::new(move |_| tuner.shown.with(|s| s.filter(|s| s.string == string)));
    let last = RwSignal::new(None::<(f64, Verdict)>);
    // What was read of a string stays beside it, so that all can be gone over once more.
    Effect::new(move || {
        if let Some(shown) = here.get().filter(|s| s.reading.steady) {
            last.set(Some((shown.reading.off.0, shown.verdict)));
        }
    });
    let read = move || {
        last.get().map(|(off, verdict)| match verdict {
            Verdict::InTune => say!("in tune").to_owned(),
            Verdict::Flat => say!("{min} flat", min = format!("{:.0}", -off.min(-1.0))),
            Verdict::Sharp => say!("{max} sharp", max = format!("{:.0}", off.max(1.0))),
        })
    };
    view! {
        <li>
            <button
                type="button"
                class:here=move || here.get().is_some()
                aria-pressed=move || if taken() { "true" } else { "false" }
                on:click=move |_| tuner.take(string)
            >
                <span class="soft fine">{string.number()}</span>
                <b>{notes(&target.note)}</b>
                <span class="small">{super::super::rig::cents(target.off)}</span>
                <span class="small soft">{read}</span>
            </button>
        </li>
    }
}
