//! Playing a phrase oneself: counted in, heard, marked.

mod curve;
mod run;

pub(in crate::ui) use run::{Piece, Recital};

use crate::app::played::{Line, Played};
use crate::theory::{Beats, Timeline};
use crate::ui::language::tell;
use crate::ui::state::Page;
use crate::words::Said;
use curve::Pitches;
use leptos::prelude::*;
use run::{Stage, What};
use std::sync::Arc;

/// The way to playing it, and what comes of it.
#[component]
pub(in crate::ui) fn PlayPart(
    recital: Recital,
    /// What is to be played, and how.
    #[prop(into)]
    words: Signal<String>,
    /// Called with the moment of something that is to be mended.
    on_point: Callback<Beats>,
) -> impl IntoView {
    let busy = Memo::new(move |_| recital.stage.with(|s| !matches!(s, Stage::Resting | Stage::Failed(_))));
    let press = move |_| {
        if busy.get_untracked() {
            recital.give_up();
        } else {
            recital.start(What::Phrase);
        }
    };
    let word = move || match recital.stage.get() {
        Stage::Resting | Stage::Failed(_) if recital.played.with(Option::is_some) => say!("Play it again"),
        Stage::Resting | Stage::Failed(_) => say!("Play it and be marked"),
        _ => say!("Stop"),
    };
    let told = move || match recital.stage.get() {
        Stage::Resting | Stage::Failed(_) => "",
        Stage::Waiting => say!("Waiting for the microphone"),
        Stage::Playing(What::Phrase) => say!("Listening: play after the count"),
        Stage::Playing(What::Clicks) => say!("Listening to the clicks"),
        Stage::Marking(_) => say!("Going over what was heard"),
    };
    let fault = move || match recital.stage.get() {
        Stage::Failed(words) => Some(view! { <p class="fault small">{words}</p> }),
        _ => None,
    };
    view! {
        <p class="small soft">
            {words}
            {say!("Wear headphones, or keep the backing low: what the microphone hears of it blurs the marks.")}
        </p>
        <div class="line-up">
            <button type="button" class="do" on:click=press>{word}</button>
            <span class="small soft">{say!("Nothing leaves this device.")}</span>
        </div>
        <p class="small" role="status">{told}</p>
        <div role="alert">{fault}</div>
        <Delay recital busy />
        <Result recital on_point />
    }
}

/// How late the device hears itself, and measuring that.
#[component]
fn Delay(recital: Recital, busy: Memo<bool>) -> impl IntoView {
    let page = Page::here();
    let known = Memo::new(move |_| page.desk.with(|d| d.delay));
    let words = move || match known.get() {
        Some(delay) => say!(
            "This device hears itself {delay} ms late; that is taken off.",
            delay = format!("{:.0}", 1000.0 * delay.0)
        ),
        None => say!(
            "How late this device hears itself is not measured yet: until then notes are marked against one another."
        )
        .to_owned(),
    };
    view! {
        <div class="line-up">
            <button type="button" class="do slim" prop:disabled=busy on:click=move |_| recital.start(What::Clicks)>
                {move || if known.get().is_some() { say!("Measure the delay again") } else { say!("Measure the delay") }}
            </button>
            <span class="small soft">{words}</span>
        </div>
    }
}

/// What came of it.
#[component]
fn Result(recital: Recital, on_point: Callback<Beats>) -> impl IntoView {
    move || {
        let played = recital.played.get()?;
        let song = recital.song()?;
        let summary = played.summary();
        let beside = recital
            .before
            .with(|b| b.as_ref().map(|b| tell(&played.beside(b))))
            .filter(|w| !w.is_empty());
        Some(view! {
            <div class="played" role="status">
                <p class="played-head"><b>{summary.head}</b></p>
                <p class="small">{beside}</p>
                <p class="small soft">{Said::joined(summary.faults, ", ")}</p>
            </div>
            <Pitches played=Arc::clone(&played) song=Arc::clone(&song) />
            <Lines played song on_point />
            <button type="button" class="do slim" on:click=move |_| recital.save()>{say!("Save the sound as WAV")}</button>
        })
    }
}

/// What is to be mended, each to be heard as it should be.
#[component]
fn Lines(played: Arc<Played>, song: Arc<Timeline>, on_point: Callback<Beats>) -> impl IntoView {
    let line = move |line: Line| {
        let at = line.at;
        view! {
            <li>
                <button type="button" on:click=move |_| on_point.run(at)>
                    <b class="small">{line.place}</b>" "<span class="small soft">{line.words}</span>
                </button>
            </li>
        }
    };
    view! { <ol class="played-lines" aria-label=say!("What to mend")>{played.lines(&song).into_iter().map(line).collect_view()}</ol> }
}
