//! What plays in a lesson: one example at a time stands in the place of the song, and the transport plays it.

use crate::app::lesson_view::Example;
use crate::theory::Beats;
use crate::ui::icons::{Icon, Sign};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The moment that is shown or heard of an example; nothing while something else stands in the song's place.
pub(super) fn position(page: Page, example: &Example) -> Signal<Option<Beats>> {
    let score = Arc::clone(&example.score);
    let lent = Memo::new(move |_| page.lent.with(|l| l.as_ref().is_some_and(|l| Arc::ptr_eq(l, &score))));
    Signal::derive(move || lent.get().then(|| page.playing.at.get()))
}

/// Goes to a moment of an example; one that was not in the song's place comes into it.
pub(super) fn seek(page: Page, example: &Example, at: Beats) {
    playing::lend(page, &example.score);
    playing::seek(page, at);
}

/// Plays an example from its start, or stops it.
#[component]
pub(super) fn PlayButton(example: Example, #[prop(into)] name: String) -> impl IntoView {
    let page = Page::here();
    let place = position(page, &example);
    let runs = Memo::new(move |_| page.playing.runs() && place.with(Option::is_some));
    let press = move |_| {
        if runs.get_untracked() {
            playing::stop(page);
        } else {
            playing::play_lent(page, &example.score);
        }
    };
    let label = move || if runs.get() { "Stop".to_owned() } else { name.clone() };
    view! {
        <button type="button" class="do live-play" on:click=press>
            <Icon sign=Signal::derive(move || if runs.get() { Sign::Stop } else { Sign::Play }) />
            {label}
        </button>
    }
}
