//! The chart: the song's bars in numbers, and the text they are read from.

mod bars;
mod editor;
mod heading;
mod hearing;
mod notes;

use super::later::Later;
use super::state::Page;
use crate::app::Command;
pub(crate) use bars::BarFace;
use bars::Bars;
use editor::Editor;
use hearing::{Correcting, FromRecording};
pub(super) use hearing::{Ear, connect as connect_hearing};
use leptos::prelude::*;

/// The view of the chart: what was heard of a recording while that is corrected, else the song's.
#[component]
pub(super) fn ChartView() -> impl IntoView {
    let ear = Ear::here();
    move || {
        if ear.is_open() {
            view! { <Correcting /> }.into_any()
        } else {
            view! { <SongChart /> }.into_any()
        }
    }
}

/// The song's bars and their text.
#[component]
fn SongChart() -> impl IntoView {
    let page = Page::here();
    let writing = move || page.desk.with(|d| d.writing);
    view! {
        <div class="chart" class:writing=writing>
            <section class="chart-bars" aria-label=say!("Bars")>
                <Bars />
                <Later>
                    <FromRecording />
                </Later>
            </section>
            <button
                type="button"
                class="go chart-turn"
                aria-expanded=move || if writing() { "true" } else { "false" }
                on:click=move |_| page.act(Command::Writing(!writing()))
            >
                {move || if writing() { say!("Done") } else { say!("Write") }}
            </button>
            <section class="chart-text" aria-label=say!("Text of the chart")>
                <Later>
                    <Editor />
                </Later>
            </section>
        </div>
    }
}
