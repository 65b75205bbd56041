//! Something played in a lesson: its lanes, its tab, and the sound.

use super::drafts::Drafts;
use super::example::{PlayButton, position, seek};
use crate::app::lesson_view::{Example, ask};
use crate::teach::lesson::PassBlock;
use crate::ui::state::Page;
use crate::ui::{Lanes, TabSheet};
use leptos::prelude::*;
use std::sync::Arc;

/// A written pass at once, a drafted one as soon as the planner has it.
#[component]
pub(super) fn PassLive(block: PassBlock) -> impl IntoView {
    let found = RwSignal::new(Example::written(&block));
    let refused = RwSignal::new(None::<String>);
    let caption = block.caption.clone();
    if let Some(ask) = ask(&block) {
        Drafts::here().want(ask, move |answer| match answer {
            Ok(draft) => {
                found.try_set(Example::drafted(&block, &draft));
            }
            Err(words) => {
                refused.try_set(Some(words));
            }
        });
    }
    view! {
        <figure class="live live-pass" aria-label="Played">
            {move || match (found.get(), refused.get()) {
                (Some(example), _) => view! { <Played example /> }.into_any(),
                (None, Some(words)) => view! { <p class="fault">{words}</p> }.into_any(),
                (None, None) => view! { <p class="soft small" role="status">"Drafting…"</p> }.into_any(),
            }}
            {caption.map(|words| view! { <figcaption>{words}</figcaption> })}
        </figure>
    }
}

#[component]
pub(super) fn Played(example: Example) -> impl IntoView {
    let page = Page::here();
    let place = position(page, &example);
    let to = example.clone();
    let go = Callback::new(move |at| seek(page, &to, at));
    let (timeline, instrument) = (Arc::clone(&example.timeline), Arc::clone(&example.instrument));
    let performance = Arc::clone(&example.performance);
    let open = RwSignal::new(false);
    let tab = {
        let (performance, timeline, instrument) = (performance.clone(), timeline.clone(), instrument.clone());
        move || {
            open.get().then(|| {
                view! {
                    <TabSheet
                        performance=Signal::stored(performance.clone())
                        timeline=Signal::stored(timeline.clone())
                        instrument=Signal::stored(instrument.clone())
                        position=place
                        on_seek=go
                    />
                }
            })
        }
    };
    view! {
        <div class="lanes-room">
            <Lanes
                performance=Signal::stored(performance)
                timeline=Signal::stored(timeline)
                instrument=Signal::stored(instrument)
                position=place
                on_seek=go
            />
        </div>
        <div class="line-up">
            <PlayButton example name="Play this" />
            <button
                type="button"
                class="do slim"
                aria-expanded=move || if open.get() { "true" } else { "false" }
                on:click=move |_| open.update(|o| *o = !*o)
            >
                "Tab"
            </button>
        </div>
        {tab}
    }
}
