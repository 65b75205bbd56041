//! What came back: taken in, marked anew, as a table.

use super::table::Outcome;
use crate::app::marking::{keep, kept};
use crate::platform::{handed, storage};
use crate::teach::Class;
use crate::teach::class::MOST_FILE;
use leptos::html::{Input, Textarea};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Under which name what was taken in is kept on the device.
const KEPT: &str = "leadbar.marking";

/// What was taken in, and is kept until it is cleared.
pub(super) fn taken() -> RwSignal<Class> {
    let class = RwSignal::new(storage::kept(KEPT).map(|text| kept(&text)).unwrap_or_default());
    Effect::new(move |before: Option<()>| {
        let (none, text) = class.with(|c| (c.sheets.is_empty(), keep(c)));
        if before.is_some() && none {
            storage::forget(KEPT);
        } else if before.is_some() {
            // What the browser will not keep is still there until the page is closed, and so is its table.
            let _ = storage::keep(KEPT, &text);
        }
    });
    class
}

/// Files and pasted links go in; a table comes out.
#[component]
pub(super) fn Marks(class: RwSignal<Class>) -> impl IntoView {
    let over = RwSignal::new(false);
    let any = Memo::new(move |_| class.with(|c| !c.sheets.is_empty() || !c.refused.is_empty()));
    let pasted = NodeRef::<Textarea>::new();
    let take_all = move |files: Vec<handed::Handed>| async move {
        for file in files {
            if file.size() > MOST_FILE {
                class.update(|c| c.refuse_size(&file.name(), file.size()));
                continue;
            }
            let bytes = file.bytes().await;
            class.update(|c| c.take(&file.name(), &bytes));
        }
    };
    let take = move |files: Vec<handed::Handed>| spawn_local(take_all(files));
    let paste = move |_| {
        let Some(area) = pasted.get_untracked() else { return };
        class.update(|c| c.take("pasted", area.value().as_bytes()));
        area.set_value("");
    };
    view! {
        <section
            class="class-part class-drop"
            class:over=over
            aria-label=say!("Take in answers")
            on:dragover=move |e| {
                e.prevent_default();
                over.set(true);
            }
            on:dragleave=move |_| over.set(false)
            on:drop=move |e| {
                e.prevent_default();
                over.set(false);
                let files = handed::dropped_whole(&e);
                spawn_local(async move { take_all(files.await).await });
            }
        >
            <p>{say!("Drop the files that students sent, or their folder, or choose them. Links can be pasted, as many as you like.")}</p>
            <div class="line-up">
                <Files name=say!("Choose files") folder=false on_files=take />
                <Files name=say!("Choose a folder") folder=true on_files=take />
            </div>
            <label class="class-field">
                {say!("Links")}
                <textarea rows="2" node_ref=pasted></textarea>
            </label>
            <button type="button" class="do" on:click=paste>{say!("Mark these")}</button>
        </section>
        {move || any.get().then(|| view! { <Outcome class /> })}
    }
}

/// A button that opens the device's files.
#[component]
fn Files(name: &'static str, folder: bool, on_files: impl Fn(Vec<handed::Handed>) + Copy + 'static) -> impl IntoView {
    let input = NodeRef::<Input>::new();
    Effect::new(move |_| {
        // Browsers have no standard attribute for a folder; this one all of them know.
        if let Some(input) = input.get().filter(|_| folder) {
            drop(input.set_attribute("webkitdirectory", ""));
        }
    });
    let chosen = move |_| {
        if let Some(input) = input.get_untracked() {
            on_files(handed::chosen(&input));
            input.set_value("");
        }
    };
    view! {
        <label class="do class-files">
            {name}
            <input type="file" class="unseen" multiple node_ref=input on:change=chosen />
        </label>
    }
}
