//! The sheet of files and links: everything that leaves the page and comes to it.

pub(super) mod arrivals;
mod offered;
mod sending;

use super::help::SheetHead;
use super::state::Page;
use crate::app::Work;
use crate::app::files::{Desktop, Export, Saved};
use crate::platform::{files, picture};
use crate::ui::language::{look, tell, words};
use arrivals::Arrivals;
use leptos::prelude::*;
pub(super) use offered::{Offer, Offered};
use sending::Sending;
pub(super) use sending::{InstrumentLink, sentence};
use web_sys::Blob;
use web_sys::js_sys::{Array, Uint8Array};

/// The sheet.
#[component]
pub(super) fn FilesSheet() -> impl IntoView {
    view! {
        <div class="sheet" id="files" popover="auto" role="dialog" aria-label=say!("Files and links")>
            <SheetHead name=say!("Files and links") sheet="files" />
            <section>
                <h3>{say!("Open")}</h3>
                <Arrivals />
            </section>
            <section>
                <h3>{say!("Save as a file")}</h3>
                <ul class="songs">{Export::ALL.map(|export| view! { <SaveButton export /> }).collect_view()}</ul>
            </section>
            <section>
                <h3>{say!("Send as a link")}</h3>
                <Sending />
            </section>
        </div>
    }
}

/// Saves one kind of file.
#[component]
fn SaveButton(export: Export) -> impl IntoView {
    let page = Page::here();
    let idle = move || export.needs_solo() && page.chosen.with(Option::is_none);
    view! {
        <li>
            <button type="button" prop:disabled=idle on:click=move |_| save(page, export)>
                <b>{look(export.label())}</b>
                <span class="small soft">{look(export.about())}</span>
            </button>
        </li>
    }
}

/// One kind of file of what is on the page; where it can't be, that is said.
fn made(page: Page, export: Export) -> Option<Saved> {
    let (work, song) = (page.work.get_untracked(), page.song.get_untracked());
    let (instrument, shown) = (page.instrument.get_untracked(), page.chosen.get_untracked());
    let desktop = Desktop {
        work: &work,
        song: song.as_deref(),
        instrument: instrument.as_deref(),
        shown: shown.as_deref(),
        words: words(),
    };
    let file = export.file(desktop);
    if file.is_none() {
        page.say(say!("There is no solo to save yet: draft one first."));
    }
    file
}

/// Saves one kind of file of what is on the page.
pub(super) fn save(page: Page, export: Export) {
    let Some(Saved { name, bytes }) = made(page, export) else {
        return;
    };
    let parts = Array::of1(&Uint8Array::from(bytes.as_slice()));
    let Ok(blob) = Blob::new_with_u8_array_sequence(&parts) else {
        page.say(say!(
            "There is not enough memory to save this file: close other pages and try again."
        ));
        return;
    };
    hand_over(page, &blob, &name);
}

/// Saves a drawing as dots.
pub(super) fn save_as_dots(page: Page, export: Export) {
    let Some(Saved { name, bytes }) = made(page, export) else {
        return;
    };
    let Ok(svg) = String::from_utf8(bytes) else { return };
    let name = format!("{}.png", name.trim_end_matches(".svg"));
    leptos::task::spawn_local(async move {
        match picture::png(&svg).await {
            Ok(blob) => hand_over(page, &blob, &name),
            Err(error) => page.say(tell(&error.said())),
        }
    });
}

fn hand_over(page: Page, blob: &Blob, name: &str) {
    match files::save(blob, name) {
        Ok(()) => page.say(say!("{name} is saved where your browser puts files.", name)),
        Err(error) => page.say(tell(&error.said())),
    }
}

/// A song's name for a list.
fn name_of(work: &Work) -> String {
    crate::app::reading::Reading::of(&work.chart)
        .title
        .unwrap_or_else(|| say!("Untitled song").to_owned())
}
