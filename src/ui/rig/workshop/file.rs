//! An instrument to a file or a link and from one.

use super::Workshop;
use crate::app::Command;
use crate::app::files::Export;
use crate::app::workshop::{MOST_INSTRUMENT, is_own, read_instrument};
use crate::platform::given;
use crate::ui::files::{self, InstrumentLink, Offered};
use crate::ui::language::tell;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use web_sys::{File, HtmlInputElement};

/// Save, send, open, let go.
#[component]
pub(super) fn InstrumentFile(workshop: Workshop) -> impl IntoView {
    let (page, offered) = (workshop.page, Offered::here());
    let own = Memo::new(move |_| page.work.with(|work| is_own(&work.rig.instrument)));
    let choose = move |event: web_sys::Event| {
        let input: Option<HtmlInputElement> = event.target().and_then(|t| t.dyn_into().ok());
        let Some(input) = input else { return };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            open(workshop, offered, file);
        }
        // So that the same file can be chosen again.
        input.set_value("");
    };
    view! {
        <div class="line-up">
            <button type="button" class="do slim" on:click=move |_| files::save(page, Export::Instrument)>
                {say!("Save this instrument as a file")}
            </button>
            <InstrumentLink slim=true />
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

fn open(workshop: Workshop, offered: Offered, file: File) {
    spawn_local(async move {
        let text = match given::bytes(&file, MOST_INSTRUMENT).await {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) => return workshop.complain(tell(&error.said())),
        };
        match read_instrument(&text) {
            Ok(given) => offered.offer(workshop.page, given),
            Err(faults) => workshop.complain(say!("{name} can't be read: {faults}.", name = file.name(), faults)),
        }
    });
}
