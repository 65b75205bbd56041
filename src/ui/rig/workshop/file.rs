//! An instrument to a file and from one.

use super::Workshop;
use crate::app::Command;
use crate::app::workshop::is_own;
use crate::platform::{files, given};
use crate::steel::instrument::parse;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use web_sys::js_sys::{Array, Uint8Array};
use web_sys::{Blob, File, HtmlInputElement};

/// A file of an instrument is a page of text.
const MOST_BYTES: usize = 256 * 1024;

/// Save, open, let go.
#[component]
pub(super) fn InstrumentFile(workshop: Workshop) -> impl IntoView {
    let page = workshop.page;
    let own = Memo::new(move |_| page.work.with(|work| is_own(&work.rig.instrument)));
    let choose = move |event: web_sys::Event| {
        let input: Option<HtmlInputElement> = event.target().and_then(|t| t.dyn_into().ok());
        let Some(input) = input else { return };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            open(workshop, file);
        }
        // So that the same file can be chosen again.
        input.set_value("");
    };
    view! {
        <div class="line-up">
            <button type="button" class="do slim" on:click=move |_| save(workshop)>{say!("Save this instrument as a file")}</button>
            <label class="do slim file">
                {say!("Open an instrument file")}
                <input type="file" accept=".toml,text/plain" aria-label=say!("Open an instrument file") on:change=choose />
            </label>
            <button
                type="button"
                class="do slim"
                hidden=move || !own.get()
                on:click=move |_| page.act(Command::DiscardInstrument)
            >
                {say!("Let this instrument go")}
            </button>
        </div>
    }
}

fn save(workshop: Workshop) {
    let Some(instrument) = workshop.page.instrument.get_untracked() else {
        return;
    };
    let text = instrument.text();
    let parts = Array::of1(&Uint8Array::from(text.as_bytes()));
    let name = format!("{}.toml", instrument.id);
    match Blob::new_with_u8_array_sequence(&parts).map(|blob| files::save(&blob, &name)) {
        Ok(Ok(())) => workshop
            .page
            .say(say!("{name} is saved where your browser puts files.", name)),
        Ok(Err(error)) => workshop.complain(error.to_string()),
        Err(_) => workshop.complain(say!("There is not enough memory to save this file.").to_owned()),
    }
}

fn open(workshop: Workshop, file: File) {
    spawn_local(async move {
        let text = match given::bytes(&file, MOST_BYTES).await {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) => return workshop.complain(error.to_string()),
        };
        match parse(&text) {
            Ok(given) => {
                workshop.page.say(say!("{name} is in the rig.", name = given.name));
                workshop.page.act(Command::AddInstrument(Box::new(given)));
            }
            Err(error) => workshop.complain(say!("{name} can't be read. {error}", name = file.name(), error)),
        }
    });
}
