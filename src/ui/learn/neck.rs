//! A place on the neck in a lesson: a small picture that sounds, and the whole neck to try it on.

use crate::app::lesson_view::{Example, hold_of, span_of, still};
use crate::app::neck_view::Hold;
use crate::sound::LiveEvent;
use crate::steel::{Instrument, StringSet};
use crate::teach::lesson::NeckBlock;
use crate::theory::ChordSpan;
use crate::ui::NeckView;
use crate::ui::neck::{OpenNeck, PlaceCard, Ringing};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// The picture of a place with its chord, stance and caption.
#[component]
pub(super) fn NeckLive(block: NeckBlock) -> impl IntoView {
    let opened = OpenNeck::here();
    let mine = opened.ticket();
    let silent = Example::silent(still(span_of(&block).as_ref()), block.instrument.clone());
    let hold = hold_of(&block);
    let caption = block.caption.clone();
    let open = move || opened.is(mine);
    let (span, instrument) = (span_of(&block), Arc::clone(&silent.instrument));
    let score = Arc::clone(&silent.score);
    view! {
        <figure class="live live-neck">
            <PlaceCard block score />
            {caption.map(|words| view! { <figcaption>{words}</figcaption> })}
            <button
                type="button"
                class="do slim"
                aria-expanded=move || if open() { "true" } else { "false" }
                on:click=move |_| opened.turn(mine)
            >
                {move || if open() { say!("Close the neck") } else { say!("Try it on the neck") }}
            </button>
            {move || {
                open()
                    .then(|| {
                        view! {
                            <TryNeck
                                instrument=instrument.clone()
                                span
                                hold=hold.clone()
                                silent=silent.clone()
                            />
                        }
                    })
            }}
        </figure>
    }
}

/// The whole neck, to be tried from the place that was shown.
#[component]
fn TryNeck(instrument: Arc<Instrument>, span: Option<ChordSpan>, hold: Hold, silent: Example) -> impl IntoView {
    let page = Page::here();
    let hold = RwSignal::new(hold);
    let ringing = Ringing::new();
    let score = silent.score.clone();
    let pluck = move |strings: StringSet| {
        ringing.pluck(strings);
        playing::lend(page, &score);
        playing::pluck(page, strings, &hold.get_untracked());
    };
    view! {
        <NeckView
            instrument=Signal::stored(instrument)
            span=Signal::stored(span)
            hold
            ringing=ringing.strings()
            on_bar=move |bar| {
                hold.update(|h| *h = h.clone().straight(bar));
                playing::bend(page, LiveEvent::Bar { fret: bar });
            }
            on_press=move |(change, travel)| {
                hold.update(|h| *h = h.clone().with(change, travel));
                playing::bend(page, LiveEvent::Press { change, travel });
            }
            on_pluck=pluck
        />
    }
}
