//! The bars as they were heard, under the playhead.

use super::ear::Ear;
use super::player::Player;
use crate::app::hearing::{HeardCard, Hearing, Sureness};
use crate::ui::chart::BarFace;
use crate::ui::state::Page;
use leptos::prelude::*;
use web_sys::{ScrollBehavior, ScrollIntoViewOptions, ScrollLogicalPosition};

/// All bars. A tap looks at one and plays it.
#[component]
pub(super) fn HeardBars(player: Player, bar: RwSignal<usize>) -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    let place = Memo::new(move |_| ear.read(|hearing| hearing.song().bar_at(player.at.get())));
    let here = Memo::new(move |_| place.get().map(|(bar, _)| bar));
    let running = move || here.get().filter(|_| player.plays.get());
    let part = move || place.get().map_or(0.0, |(_, part)| part);
    // The bar that is played stays in sight, with the one ahead.
    Effect::new(move || {
        if let Some(bar) = running().filter(|_| player.follows.get_untracked()) {
            bring_into_sight(bar + 1);
            bring_into_sight(bar);
        }
    });
    let one = move |(index, heard): (usize, HeardCard)| {
        let unsure = heard.sureness.is_unsure();
        let words = heard.sureness.words();
        let sign = match heard.sureness {
            Sureness::Said => "\u{2713}".to_owned(),
            Sureness::Sure(percent) => format!("{percent}%"),
            Sureness::Unsure(percent) => format!("{percent}%?"),
        };
        view! {
            <li
                class="bar heard-bar"
                id=id_of(index)
                class:here=move || running() == Some(index)
                class:ahead=move || running().is_some_and(|bar| bar + 1 == index)
                class:looked=move || bar.get() == index
                class:unsure=unsure
            >
                <button
                    type="button"
                    aria-current=move || (bar.get() == index).then_some("true")
                    on:click=move |_| look_and_hear(page, player, ear, bar, index)
                >
                    <BarFace index card=heard.card />
                    <span class="heard-sure" aria-hidden="true">{sign}</span>
                    <span class="unseen">{words}</span>
                </button>
            </li>
        }
    };
    let cards = Memo::new(move |_| ear.read(Hearing::cards));
    view! {
        <ol class="bars heard-bars" style=("--part", move || part().to_string())>
            {move || cards.get().into_iter().enumerate().map(one).collect_view()}
        </ol>
    }
}

/// Looks at a bar and plays just that.
pub(super) fn look_and_hear(page: Page, player: Player, ear: Ear, bar: RwSignal<usize>, index: usize) {
    bar.set(index);
    let stretch = ear.hearing.with_untracked(|hearing| {
        let song = hearing.as_ref()?.song();
        Some((song.bars.get(index)?.at, song.end_of(index)))
    });
    if let Some((from, to)) = stretch {
        player.play(page, from, Some(to));
    }
}

fn id_of(bar: usize) -> String {
    format!("heard-bar-{}", bar + 1)
}

/// Scrolls no further than needed.
pub(super) fn bring_into_sight(bar: usize) {
    if let Some(element) = document().get_element_by_id(&id_of(bar)) {
        let how = ScrollIntoViewOptions::new();
        how.set_behavior(ScrollBehavior::Auto);
        how.set_block(ScrollLogicalPosition::Nearest);
        element.scroll_into_view_with_scroll_into_view_options(&how);
    }
}
