//! What came back: taken in, marked anew, as a table.

use crate::app::class::{Row, rows};
use crate::platform::handed;
use crate::teach::Class;
use crate::teach::class::MOST_FILE;
use crate::ui::language::tell;
use leptos::html::{Input, Textarea};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The most criteria named as missed.
const NAMED: usize = 3;

/// Files and pasted links go in; a table comes out.
#[component]
pub(super) fn Marks() -> impl IntoView {
    let class = RwSignal::new(Class::default());
    let over = RwSignal::new(false);
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
        {move || class.with(|c| !c.sheets.is_empty() || !c.refused.is_empty()).then(|| view! { <Outcome class /> })}
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

/// The table, what the class misses, what could not be marked.
#[component]
fn Outcome(class: RwSignal<Class>) -> impl IntoView {
    let table = move || class.with(rows);
    let most = move || table().iter().map(|r| r.cells.len()).max().unwrap_or(0);
    let missed = move || {
        let missed = class.with(Class::missed);
        let words: Vec<String> = missed
            .iter()
            .take(NAMED)
            .map(|(name, part)| format!("{} ({:.0} %)", tell(name), part * 100.0))
            .collect();
        (!words.is_empty()).then(|| say!("Most points are lost in: {words}.", words = words.join(", ")))
    };
    let refused = move || {
        let refused = class.with(|c| c.refused.clone());
        refused
            .into_iter()
            .map(|r| view! { <p class="fault"><b>{r.file}</b>": "{r.why.said()}"."</p> })
            .collect_view()
    };
    let csv = move || {
        format!(
            "data:text/csv;charset=utf-8,{}",
            String::from(js_sys::encode_uri_component(&class.with(Class::csv)))
        )
    };
    view! {
        <section class="class-part" aria-label=say!("Marks")>
            <h2>{say!("Marks")}</h2>
            <p class="small soft">
                {say!("Computed here from the answers themselves. They say what was answered, not who answered it.")}
            </p>
            <div class="class-scroll" tabindex="0" role="region" aria-label=say!("Table of marks")>
                <table>
                    <thead>
                        <tr>
                            <th scope="col">{say!("Name")}</th>
                            <th scope="col">{say!("Score")}</th>
                            {move || (1..=most()).map(|i| view! { <th scope="col">{i}</th> }).collect_view()}
                        </tr>
                    </thead>
                    <tbody>{move || table().into_iter().map(line).collect_view()}</tbody>
                </table>
            </div>
            <p>{missed}</p>
            {refused}
            <a class="do" download="marks.csv" href=csv>{say!("Save the table")}</a>
        </section>
    }
}

fn line(row: Row) -> impl IntoView {
    let cells = row
        .cells
        .into_iter()
        .map(|cell| view! { <td>{cell.map_or("–".to_owned(), |s| s.0.to_string())}</td> });
    let remarks = row
        .remarks
        .into_iter()
        .map(|words| view! { <span class="small">{words}</span> });
    view! {
        <tr>
            <th scope="row">{row.name}{remarks.collect_view()}</th>
            <td><b>{row.score.to_string()}</b></td>
            {cells.collect_view()}
        </tr>
    }
}
