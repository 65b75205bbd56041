//! Links to the song, the solo or the instrument at hand.

use crate::app::shared::{SharedPass, SharedSong};
use crate::app::workshop::SharedInstrument;
use crate::exchange::link::{self, LONG_CHARACTERS, LinkError, Linked};
use crate::ui::language::tell;
use crate::ui::state::Page;
use crate::words::Said;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

/// Copies links. All that is sent stands in the link itself.
#[component]
pub(super) fn Sending() -> impl IntoView {
    let page = Page::here();
    let song = move |_| send(page, say!("song"), &SharedSong::of(&page.work.get_untracked()));
    let solo = move |_| {
        if let Some(shown) = page.chosen.get_untracked() {
            send(
                page,
                say!("solo"),
                &SharedPass::of(&page.work.get_untracked(), &shown.pass),
            );
        }
    };
    view! {
        <p class="small soft songs-note">
            {say!("Whoever opens the link has the same song before them. It is all in the link: nothing is kept anywhere else.")}
        </p>
        <div class="line-up">
            <button type="button" class="do" prop:disabled=move || page.song.with(Option::is_none) on:click=song>
                {say!("Copy a link to the song")}
            </button>
            <button type="button" class="do" prop:disabled=move || page.chosen.with(Option::is_none) on:click=solo>
                {say!("Copy a link to this solo")}
            </button>
            <InstrumentLink slim=false />
        </div>
    }
}

/// Copies a link to the instrument by itself.
#[component]
pub(in crate::ui) fn InstrumentLink(
    /// Whether it stands among smaller things.
    slim: bool,
) -> impl IntoView {
    let page = Page::here();
    let copy = move |_| {
        if let Some(shared) = page.work.with_untracked(|work| SharedInstrument::of(&work.rig)) {
            send(page, say!("instrument"), &shared);
        }
    };
    view! {
        <button type="button" class="do" class:slim=slim on:click=copy>{say!("Copy a link to this instrument")}</button>
    }
}

fn send<T: Linked>(page: Page, what: &'static str, value: &T) {
    let address = match address_of(value) {
        Ok(address) => address,
        Err(error) => {
            page.say(sentence(&error.said()));
            return;
        }
    };
    let long = address.chars().count() > LONG_CHARACTERS;
    let written = window().navigator().clipboard().write_text(&address);
    spawn_local(async move {
        page.say(match JsFuture::from(written).await {
            Ok(_) if long => say!(
                "The link to the {what} is copied. It is long: where it breaks, send a file.",
                what
            ),
            Ok(_) => say!("The link to the {what} is copied: paste it where you like.", what),
            Err(_) => say!("The browser does not let this page copy. Allow it the clipboard and try again.").to_owned(),
        });
    });
}

/// The page's own address with the link behind it.
fn address_of<T: Linked>(value: &T) -> Result<String, LinkError> {
    let fragment = link::write(value)?;
    let here = window().location().href().unwrap_or_default();
    let base = here.split('#').next().unwrap_or_default();
    Ok(format!("{base}#{fragment}"))
}

/// An error's words as a sentence.
pub(in crate::ui) fn sentence(error: &Said) -> String {
    let words = tell(error);
    let mut rest = words.chars();
    let first = rest.next().map(char::to_uppercase).into_iter().flatten();
    first.chain(rest).collect::<String>() + "."
}
