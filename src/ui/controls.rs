//! The controls that views share: one of each kind.

use super::icons::{Icon, Sign};
use super::language::look;
use super::state::Page;
use crate::app::Command;
use leptos::prelude::*;
use web_sys::{File, HtmlInputElement};

/// The way back and forth over the work.
#[component]
pub(super) fn UndoRedo() -> impl IntoView {
    let page = Page::here();
    view! {
        <BackForth
            can_undo=Signal::derive(move || page.can_undo())
            can_redo=Signal::derive(move || page.can_redo())
            on_undo=move || page.act(Command::Undo)
            on_redo=move || page.act(Command::Redo)
        />
    }
}

/// A step back and a step forth.
#[component]
pub(super) fn BackForth(
    /// Whether there is a step back.
    can_undo: Signal<bool>,
    /// Whether there is a step forth.
    can_redo: Signal<bool>,
    /// Called for a step back.
    on_undo: impl Fn() + 'static,
    /// Called for a step forth.
    on_redo: impl Fn() + 'static,
) -> impl IntoView {
    view! {
        <div class="line-up">
            <button type="button" class="do slim" prop:disabled=move || !can_undo.get() on:click=move |_| on_undo()>
                <Icon sign=Sign::Undo />{say!("Undo")}
            </button>
            <button type="button" class="do slim" prop:disabled=move || !can_redo.get() on:click=move |_| on_redo()>
                <Icon sign=Sign::Redo />{say!("Redo")}
            </button>
        </div>
    }
}

/// A figure with one step less and one step more.
#[component]
pub(super) fn Stepper(
    /// What the figure is.
    #[prop(into)]
    name: String,
    /// The figure.
    value: Signal<i32>,
    /// Its least.
    least: i32,
    /// Its most.
    #[prop(into)]
    most: Signal<i32>,
    /// One step.
    step: i32,
    /// What is written behind it.
    unit: &'static str,
    /// Called with the new figure.
    on_change: impl Fn(i32) + Copy + 'static,
) -> impl IntoView {
    let go = move |by: i32| on_change((value.get_untracked() + by).clamp(least, most.get_untracked()));
    view! {
        <div class="stepper" role="group" aria-label=name.clone()>
            <span class="label">{name.clone()}</span>
            <button
                type="button"
                aria-label=say!("{name}: less", name)
                prop:disabled=move || value.get() <= least
                on:click=move |_| go(-step)
            >
                <Icon sign=Sign::Less />
            </button>
            <output>{move || format!("{}{unit}", value.get())}</output>
            <button
                type="button"
                aria-label=say!("{name}: more", name)
                prop:disabled=move || most.get() <= value.get()
                on:click=move |_| go(step)
            >
                <Icon sign=Sign::More />
            </button>
        </div>
    }
}

/// Something that is on or off.
#[component]
pub(super) fn Tick(
    /// What it is.
    #[prop(into)]
    name: String,
    /// Whether it is on.
    #[prop(into)]
    on: Signal<bool>,
    /// Called with the new state.
    on_change: impl Fn(bool) + 'static,
) -> impl IntoView {
    view! {
        <label class="tick">
            <input type="checkbox" prop:checked=on on:change=move |event| on_change(event_target_checked(&event)) />
            <span>{name}</span>
        </label>
    }
}

/// Options with their words, as [`Choice`] takes them; the words are marked by `key!`.
pub(super) fn words<T: Clone, const N: usize>(options: [(T, &'static str); N]) -> Vec<(T, String)> {
    options.map(|(option, word)| (option, look(word).to_owned())).to_vec()
}

/// One of a few, all of them seen.
#[component]
pub(super) fn Choice<T>(
    /// What is chosen.
    name: &'static str,
    /// Sets it apart from another choice of the same name that may be in the page.
    #[prop(default = "")]
    apart: &'static str,
    /// Whether its name is only for those who hear the page: the options say what they are for.
    #[prop(default = false)]
    plain: bool,
    /// Each with its word.
    options: Vec<(T, String)>,
    /// The chosen one.
    #[prop(into)]
    value: Signal<T>,
    /// Called with the new choice.
    on_change: impl Fn(T) + Copy + 'static,
) -> impl IntoView
where
    T: Clone + PartialEq + Send + Sync + 'static,
{
    let one = move |(option, word): (T, String)| {
        let (mine, chosen) = (option.clone(), option);
        view! {
            <label>
                <input
                    type="radio"
                    name=format!("{name}{apart}")
                    prop:checked=move || value.with(|v| *v == mine)
                    on:change=move |_| on_change(chosen.clone())
                />
                <span data-word=word.clone()>{word.clone()}</span>
            </label>
        }
    };
    view! {
        <fieldset>
            <legend class:unseen=plain>{name}</legend>
            <div class="choice">{options.into_iter().map(one).collect_view()}</div>
        </fieldset>
    }
}

/// A way to a sound file.
#[component]
pub(super) fn SoundFile(
    /// What it is for.
    #[prop(into)]
    words: Signal<&'static str>,
    /// Called with the file.
    on_choose: impl Fn(File) + 'static,
) -> impl IntoView {
    let take = move |event: web_sys::Event| {
        let input: HtmlInputElement = event_target(&event);
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            on_choose(file);
        }
        // So that the same file can be chosen again.
        input.set_value("");
    };
    view! {
        <label class="do slim file">
            {words}
            <input type="file" accept="audio/*" on:change=take />
        </label>
    }
}
