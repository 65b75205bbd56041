//! Why each move is there: the one that sounds, and all of them.

use crate::app::passes::MoveLine;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;

/// Which move is in force at the place that is shown.
fn current(page: Page) -> Memo<Option<usize>> {
    Memo::new(move |_| {
        let at = page.playing.at.get();
        page.chosen.with(|shown| shown.as_ref()?.move_at(at))
    })
}

/// The move that sounds, in a place of its own that never moves.
#[component]
pub(super) fn Now() -> impl IntoView {
    let page = Page::here();
    let here = current(page);
    let line = move |read: fn(&MoveLine) -> String| {
        move || {
            page.chosen
                .with(|shown| Some(read(shown.as_ref()?.moves.get(here.get()?)?)))
        }
    };
    view! {
        <section class="now" aria-label="The move that sounds">
            <h2>{line(|m| m.name.clone())}</h2>
            <p>{line(|m| m.why.clone())}</p>
        </section>
    }
}

/// All moves; a tap plays from there.
#[component]
pub(super) fn Moves() -> impl IntoView {
    let page = Page::here();
    let here = current(page);
    let row = move |(index, line): (usize, MoveLine)| {
        let is = move || here.get() == Some(index);
        let at = line.at;
        view! {
            <li class:here=is>
                <button type="button" aria-current=move || is().then_some("true") on:click=move |_| playing::play_from(page, at)>
                    <span class="move-bar">{line.bar}</span>
                    <span class="move-text"><b>{line.name}</b><span>{line.why}</span></span>
                </button>
            </li>
        }
    };
    let rows = move || {
        let lines = page
            .chosen
            .with(|shown| shown.as_ref().map(|s| s.moves.clone()).unwrap_or_default());
        lines.into_iter().enumerate().map(row).collect_view()
    };
    view! {
        <section aria-label="Every move and its reason">
            <h2>"Why each move"</h2>
            <ol class="moves">{rows}</ol>
        </section>
    }
}

/// Whether a body can play it.
#[component]
pub(super) fn Playable() -> impl IntoView {
    let page = Page::here();
    move || {
        let shown = page.chosen.get()?;
        Some(if shown.breaches.is_empty() {
            view! { <p class="small playable"><b>"Playable."</b>" Every reach, pedal and pick is within what a steady player can do."</p> }
                .into_any()
        } else {
            let rows = shown
                .breaches
                .iter()
                .map(|breach| {
                    let at = breach.at;
                    view! {
                        <li>
                            <button type="button" class="place" on:click=move |_| playing::seek(page, at)>{format!("Bar {}", breach.bar)}</button>
                            {format!(": {}", breach.words)}
                        </li>
                    }
                })
                .collect_view();
            view! { <ul class="small fault playable">{rows}</ul> }.into_any()
        })
    }
}
