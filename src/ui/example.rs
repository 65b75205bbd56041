//! What plays beside the song, in a lesson or of an answer: one example at a time stands in the place of the song, and
//! the transport plays it.

use super::icons::{Icon, Sign};
use super::playing;
use super::state::Page;
use super::{Lanes, TabSheet};
use crate::app::lanes_view::Spot;
use crate::app::lesson_view::Example;
use crate::solo::Performance;
use crate::theory::Beats;
use leptos::prelude::*;
use std::sync::Arc;

/// The moment that is shown or heard of an example; nothing while something else stands in the song's place.
pub(super) fn position(page: Page, example: Signal<Example>) -> Signal<Option<Beats>> {
    let lent = Memo::new(move |_| {
        page.lent
            .with(|l| l.as_ref().is_some_and(|l| example.with(|e| Arc::ptr_eq(l, &e.score))))
    });
    Signal::derive(move || lent.get().then(|| page.playing.at.get()))
}

/// Goes to a moment of an example; one that was not in the song's place comes into it.
pub(super) fn seek(page: Page, example: &Example, at: Beats) {
    playing::lend(page, &example.score);
    playing::seek(page, at);
}

/// Plays an example from its start, or stops it.
#[component]
pub(super) fn PlayButton(#[prop(into)] example: Signal<Example>, #[prop(into)] name: String) -> impl IntoView {
    let page = Page::here();
    let place = position(page, example);
    let runs = Memo::new(move |_| page.playing.runs() && place.with(Option::is_some));
    let press = move |_| {
        if runs.get_untracked() {
            playing::stop(page);
        } else {
            playing::play_lent(page, &example.get_untracked().score);
        }
    };
    let label = move || {
        if runs.get() {
            say!("Stop").to_owned()
        } else {
            name.clone()
        }
    };
    view! {
        <button type="button" class="do live-play" on:click=press>
            <Icon sign=Signal::derive(move || if runs.get() { Sign::Stop } else { Sign::Play }) />
            {label}
        </button>
    }
}

/// Something played: its lanes, its sound, and its tab on demand.
///
/// `other` is laid over it in the second accent, `spots` are pointed at, and `on_point` hears a tap below the ruler
/// instead of going there. While it does not sound, the moment `here` is kept in sight.
#[component]
pub(super) fn Played(
    #[prop(into)] example: Signal<Example>,
    #[prop(into)] name: String,
    #[prop(default = Signal::stored(None))] other: Signal<Option<Arc<Performance>>>,
    #[prop(default = Signal::stored(Vec::new()))] spots: Signal<Vec<Spot>>,
    #[prop(default = Signal::stored(None))] here: Signal<Option<Beats>>,
    #[prop(optional)] on_point: Option<Callback<Beats>>,
) -> impl IntoView {
    let page = Page::here();
    let heard = position(page, example);
    let place = Signal::derive(move || {
        let here = here.get().filter(|_| !page.playing.runs());
        here.or_else(|| heard.get())
    });
    let go = Callback::new(move |at| seek(page, &example.get_untracked(), at));
    let point = on_point.unwrap_or(go);
    let performance = Signal::derive(move || Arc::clone(&example.get().performance));
    let timeline = Signal::derive(move || Arc::clone(&example.get().timeline));
    let instrument = Signal::derive(move || Arc::clone(&example.get().instrument));
    let open = RwSignal::new(false);
    let tab = move || {
        open.get().then(|| {
            view! { <TabSheet performance timeline instrument position=place on_seek=go spots on_point=point /> }
        })
    };
    view! {
        <div class="lanes-room">
            <Lanes performance timeline instrument position=place other spots on_seek=go on_point=point />
        </div>
        <div class="line-up">
            <PlayButton example name />
            <button
                type="button"
                class="do slim"
                aria-expanded=move || if open.get() { "true" } else { "false" }
                on:click=move |_| open.update(|o| *o = !*o)
            >
                {say!("Tab")}
            </button>
        </div>
        {tab}
    }
}
