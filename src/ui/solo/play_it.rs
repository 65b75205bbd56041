//! Playing the pass of the solo oneself.

use crate::theory::Beats;
use crate::ui::played::{Piece, PlayPart, Recital};
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::prelude::*;
use std::sync::Arc;

/// Playing the chosen pass: the bars that are looped, or all of it.
pub(super) fn recital(page: Page) -> Recital {
    let piece = Signal::derive(move || {
        let (shown, instrument, song) = (page.chosen.get()?, page.tuned.get()?, page.song.get()?);
        let looped = page
            .desk
            .with(|d| d.looped)
            .and_then(|looped| playing::stretch(&song, looped));
        Some(Piece {
            performance: Arc::clone(&shown.performance),
            stretch: looped.unwrap_or(Beats::ZERO..song.length()),
            instrument,
            song,
            lent: false,
        })
    });
    Recital::new(page, piece)
}

/// The section of the solo.
#[component]
pub(super) fn PlayIt() -> impl IntoView {
    let page = Page::here();
    let recital = expect_context::<Recital>();
    let there = Memo::new(move |_| page.chosen.with(Option::is_some));
    let words = Signal::derive(move || {
        let bars = page
            .desk
            .with(|d| d.looped)
            .map_or(say!("the whole pass").to_owned(), |l| {
                say!(
                    "bars {from} to {to}, as they are looped",
                    from = l.from + 1,
                    to = l.to + 1
                )
            });
        say!(
            "Play {bars} into the microphone; a bar is counted, and the solo is silent. ",
            bars
        )
    });
    let on_point = Callback::new(move |at| playing::seek(page, at));
    move || {
        there.get().then(|| {
            view! {
                <section class="play-it" aria-labelledby="play-it">
                    <h2 id="play-it">{say!("Play it yourself")}</h2>
                    <PlayPart recital words on_point />
                </section>
            }
        })
    }
}
