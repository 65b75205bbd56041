//! Deliver: a take as stems for a studio. What will be written is shown before it is.

mod paper;
mod run;
mod wishes;
mod written;

use super::later::Later;
use super::ordering::{order, take_words};
use super::state::{Page, Stage};
use crate::app::bench::Progress;
use crate::app::delivery::Order;
use crate::app::{Chosen, Command, View};
use leptos::prelude::*;

/// The view.
#[component]
pub(super) fn DeliverView() -> impl IntoView {
    let page = Page::here();
    let order = Memo::new(move |_| order(page));
    let there = Memo::new(move |_| order.with(Option::is_some));
    view! {
        <div class="deliver">
            <h1>{say!("Deliver")}</h1>
            {move || {
                if there.get() {
                    view! { <Desk order=Signal::derive(move || order.get()) /> }.into_any()
                } else {
                    view! { <NothingYet /> }.into_any()
                }
            }}
        </div>
    }
}

/// What is chosen, what comes of it, and the button.
#[component]
fn Desk(order: Signal<Option<Order>>) -> impl IntoView {
    view! {
        <div class="deliver-desk">
            <section class="deliver-wishes" aria-label=say!("What to deliver")>
                <Take />
                <Later><wishes::Stems order=order /></Later>
                <Later><wishes::Form /></Later>
            </section>
            <section class="deliver-written" aria-label=say!("What will be written")>
                <Later><written::Planned order=order /></Later>
                <Press order=order />
                <written::Result order=order />
                <Later><paper::Paper /></Later>
                <Others />
            </section>
        </div>
    }
}

/// Nothing can be delivered yet: why, and what to do.
#[component]
fn NothingYet() -> impl IntoView {
    let page = Page::here();
    let words = move || {
        if page.song.with(Option::is_none) {
            say!("There is no song yet. Write a few bars in the chart.")
        } else if page.drafting.working.get() {
            say!("The solo is being drafted. In a moment there is a take to deliver.")
        } else {
            say!("There is no take over these bars yet. Draft a solo, or choose a kept one that was made over them.")
        }
    };
    view! {
        <div class="empty">
            <p>{words}</p>
            <button type="button" class="go" on:click=move |_| page.act(Command::Show(View::Solo))>{say!("Go to the solo")}</button>
        </div>
    }
}

/// Which take.
#[component]
fn Take() -> impl IntoView {
    let page = Page::here();
    let takes = move || {
        let drafted = (0..page.drafted.with(Vec::len)).map(Chosen::Drafted);
        let kept = (0..page.work.with(|w| w.kept.len())).map(Chosen::Kept);
        drafted.chain(kept).collect::<Vec<_>>()
    };
    let options = move || {
        let chosen = page.desk.with(|d| d.chosen);
        takes()
            .into_iter()
            .enumerate()
            .map(|(index, take)| view! { <option value=index.to_string() selected=take == chosen>{take_words(take)}</option> })
            .collect_view()
    };
    let choose = move |event| {
        let index = event_target_value(&event).parse::<usize>();
        if let Some(take) = index.ok().and_then(|index| takes().get(index).copied()) {
            page.act(Command::Choose(take));
        }
    };
    view! {
        <label class="pick">
            {say!("Take")}
            <select on:change=choose>{options}</select>
        </label>
    }
}

/// The way to what is no stem.
#[component]
fn Others() -> impl IntoView {
    view! {
        <section class="deliver-paper" aria-labelledby="other-files">
            <h2 id="other-files">{say!("Other files, and links")}</h2>
            <p class="small soft">{say!("The tab as text, MIDI, notation, the whole project; or a link that opens this solo.")}</p>
            <button type="button" class="do" popovertarget="files" popovertargetaction="show">{say!("Files and links")}</button>
        </section>
    }
}

/// Starts, shows how far it is, and calls off.
#[component]
fn Press(order: Signal<Option<Order>>) -> impl IntoView {
    let page = Page::here();
    let delivering = page.delivering;
    let none = move || order.with(|o| o.as_ref().is_none_or(|o| o.brief.stems.is_empty()));
    let start = move |_| {
        if let Some(order) = order.get_untracked() {
            delivering.start(page, order);
        }
    };
    move || match delivering.stage.get() {
        Stage::Going(progress) => view! { <Going progress=progress /> }.into_any(),
        stage => {
            let word = if matches!(stage, Stage::Done(_)) {
                say!("Write again")
            } else {
                say!("Write the stems")
            };
            let class = if matches!(stage, Stage::Done(_)) { "do" } else { "go" };
            view! {
                <button type="button" class=class id="write-stems" prop:disabled=none on:click=start>{word}</button>
                {move || none().then(|| view! { <p class="small soft">{say!("Tick at least one stem.")}</p> })}
            }
            .into_any()
        }
    }
}

/// How far the writing is.
#[component]
fn Going(progress: Progress) -> impl IntoView {
    let delivering = Page::here().delivering;
    let percent = progress.percent();
    view! {
        <div class="line-up">
            <progress class="progress" max="100" value=percent.to_string() aria-label=say!("Writing the stems")></progress>
            <span class="small">{format!("{percent} %")}</span>
            <button type="button" class="do" on:click=move |_| delivering.call_off()>{say!("Cancel")}</button>
        </div>
        <p class="small soft">{say!("You can go on working meanwhile.")}</p>
    }
}
