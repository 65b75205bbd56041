//! A chart in a lesson: its bars, which play.

use crate::app::bars::{BarCard, cards};
use crate::app::lesson_view::Example;
use crate::steel::Instrument;
use crate::teach::lesson::ChartBlock;
use crate::ui::chart::BarFace;
use crate::ui::example::{PlayButton, position, seek};
use crate::ui::state::Page;
use leptos::prelude::*;

/// The bars of a chart with a button that plays them; a tap on a bar goes there.
#[component]
pub(super) fn ChartLive(block: ChartBlock) -> impl IntoView {
    // The band alone plays: any instrument may stand silent beside it.
    let Some(instrument) = Instrument::shipped("e9") else {
        return ().into_any();
    };
    let page = Page::here();
    let example = Example::silent(block.timeline.clone(), instrument);
    let at = position(page, Signal::stored(example.clone()));
    let timeline = example.timeline.clone();
    let here = Memo::new(move |_| at.get().and_then(|at| timeline.bar_index_at(at)));
    let bar = |(index, card): (usize, BarCard)| {
        let (start, opens) = (card.start, card.section.is_some());
        let example = example.clone();
        let is_here = move || here.get() == Some(index);
        view! {
            <li class="bar" class:here=is_here class:opens=opens>
                <button
                    type="button"
                    aria-current=move || is_here().then_some("true")
                    on:click=move |_| seek(page, &example, start)
                >
                    <BarFace index card />
                </button>
            </li>
        }
    };
    let bars = cards(&block.timeline).into_iter().enumerate().map(bar).collect_view();
    view! {
        <figure class="live live-chart" aria-label=say!("Chart")>
            <ol class="bars">{bars}</ol>
            <PlayButton example=Signal::stored(example) name=say!("Play the chart") />
        </figure>
    }
    .into_any()
}
