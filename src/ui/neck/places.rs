//! The places where the chord lives, to tap through and hear.

use crate::app::neck_view::Hold;
use crate::steel::hold::{Hold as Home, homes};
use crate::steel::{Instrument, Place};
use crate::theory::ChordSpan;
use crate::ui::language::{look, tell};
use crate::ui::state::Lasting;
use leptos::prelude::*;
use std::sync::Arc;

/// "8"; of a slanted bar the frets of its far and its near string, "5-6".
fn fret_words(place: Place) -> String {
    match place.slant {
        None => place.fret.to_string(),
        Some(slant) => format!("{}-{}", place.fret, place.fret.saturating_add_signed(slant.frets)),
    }
}

/// A button for each home of the chord. `go` hears which one is chosen.
#[component]
pub(super) fn Places(
    instrument: Signal<Arc<Instrument>>,
    span: Lasting<Memo<Option<ChordSpan>>>,
    hold: Lasting<Memo<Hold>>,
    go: Callback<Home>,
) -> impl IntoView {
    let found = Memo::new(move |_| {
        span.with(|s| {
            s.as_ref()
                .map_or_else(Vec::new, |s| instrument.with(|i| homes(i, &s.chord)))
        })
    });
    let button = move |home: Home| {
        let there = instrument.with_untracked(|i| Hold::holding(home.place, i));
        let stance = instrument.with_untracked(|i| tell(&there.stance_name(i)));
        let (fret, inversion) = (fret_words(home.place), look(home.inversion.name()));
        let stance = home
            .place
            .slant
            .map_or(stance, |s| say!("slanted {name}", name = look(s.way().name())));
        let strings = home.strings.to_string();
        let here = move || hold.with(|h| *h == there);
        view! {
            <button
                type="button"
                class="neck-home"
                aria-pressed=move || if here() { "true" } else { "false" }
                on:click=move |_| go.run(home.clone())
            >
                <b>{fret}</b>
                <span>{stance}</span>
                <small>{inversion}<br /><span>{say!("strings {strings}", strings)}</span></small>
            </button>
        }
    };
    view! {
        <div class="neck-homes" role="group" aria-label=say!("Where it lives: tap to hear")>
            {move || {
                let found = found.get();
                if found.is_empty() {
                    view! { <p class="small soft">{say!("This instrument has no grip for all of this chord.")}</p> }.into_any()
                } else {
                    found.into_iter().map(button).collect_view().into_any()
                }
            }}
        </div>
    }
}
