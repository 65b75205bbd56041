//! What will be written, and what was.

use crate::app::delivery::{Order, Planned as File, size_words};
use crate::app::levels::Setup;
use crate::ui::language::number;
use crate::ui::state::{Made, Page, Stage};
use leptos::prelude::*;
use std::sync::Arc;

/// The parcel before it is written: its name, its size, its files.
#[component]
pub(super) fn Planned(order: Signal<Option<Order>>) -> impl IntoView {
    let page = Page::here();
    let summary = move || {
        let order = order.get()?;
        let files = order.planned();
        let size: u64 = files.iter().map(|file| file.size).sum();
        let steel = if page.desk.with(|d| d.levels.setup == Setup::Driven) {
            say!("driven")
        } else {
            say!("clean")
        };
        let names = files.iter().map(|File { name, .. }| view! { <li>{name.clone()}</li> });
        Some(view! {
            <h2>{say!("One parcel")}</h2>
            <p class="deliver-name">{order.parcel_name()}</p>
            <p class="small soft">
                {say!("{files} files, about {size}, {length_words} long each. ", files = files.len(), size = size_words(size), length_words = order.length_words())}
                {say!("The mix has the {steel} steel and your levels.", steel)}
            </p>
            <details class="deliver-files">
                <summary class="small">{say!("The files")}</summary>
                <ul class="small">{names.collect_view()}</ul>
            </details>
        })
    };
    view! { {summary} }
}

/// What came of it: the file to save, or why there is none.
#[component]
pub(super) fn Result(order: Signal<Option<Order>>) -> impl IntoView {
    let delivering = Page::here().delivering;
    view! {
        <div class="deliver-result" role="status">
            {move || match delivering.stage.get() {
                Stage::Done(made) => view! { <Parcel made=made order=order /> }.into_any(),
                Stage::Failed(words) => view! { <p class="fault"><b>{say!("Nothing was written. ")}</b>{words}</p> }.into_any(),
                Stage::Resting | Stage::Going(_) => ().into_any(),
            }}
        </div>
    }
}

/// The written parcel.
#[component]
fn Parcel(made: Arc<Made>, order: Signal<Option<Order>>) -> impl IntoView {
    let page = Page::here();
    let name = made.delivery.name.clone();
    let save = move |_| {
        if let Some(words) = page.delivering.save(&name) {
            page.say(words);
        }
    };
    let loudness = made
        .delivery
        .loudness
        .and_then(|mix| Some((mix.integrated?, mix.true_peak)));
    let mix = loudness.map(|(loud, peak)| {
        let words = say!(
            "The mix came out at {loud} LUFS, its highest point at {peak} dBTP. ",
            loud = number(format!("{:.1}", loud.0)),
            peak = number(format!("{:.1}", peak.0))
        );
        words.replace('-', "\u{2212}")
    });
    let size = size_words(made.delivery.size);
    let changed = move || order.with(|now| now.as_ref() != Some(&made.order));
    view! {
        <button type="button" class="go" on:click=save>{say!("Save the parcel, {size}", size)}</button>
        {move || changed().then(|| view! { <p class="hint small">{say!("Something has changed since it was written: write again to have it in.")}</p> })}
        <p class="small soft">
            {mix}
            {say!("Files are louder than this page plays: turn down before you listen to them.")}
        </p>
    }
}
