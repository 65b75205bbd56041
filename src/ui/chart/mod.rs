//! The chart: the song's bars in numbers, and the text they are read from.

mod bars;
mod editor;
mod heading;
mod notes;

use super::state::Page;
use crate::app::Command;
pub(crate) use bars::BarFace;
use bars::Bars;
use editor::Editor;
use leptos::prelude::*;

/// The view of the chart.
#[component]
pub(super) fn ChartView() -> impl IntoView {
    let page = Page::here();
    let writing = move || page.desk.with(|d| d.writing);
    view! {
        <div class="chart" class:writing=writing>
            <section class="chart-bars" aria-label="Bars">
                <Bars />
            </section>
            <button
                type="button"
                class="go chart-turn"
                aria-expanded=move || if writing() { "true" } else { "false" }
                on:click=move |_| page.act(Command::Writing(!writing()))
            >
                {move || if writing() { "Done" } else { "Write" }}
            </button>
            <section class="chart-text" aria-label="Text of the chart">
                <Editor />
            </section>
        </div>
    }
}
