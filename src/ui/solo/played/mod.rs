//! Playing a phrase of the pass oneself: counted in, heard, marked.

mod curve;
mod run;

pub(super) use run::Recital;

use crate::app::played::{Line, Played};
use crate::theory::Timeline;
use crate::ui::language::tell;
use crate::ui::playing;
use crate::ui::state::Page;
use crate::words::Said;
use curve::Pitches;
use leptos::prelude::*;
use run::{Stage, What};
use std::sync::Arc;

/// The section of the solo.
#[component]
pub(super) fn PlayIt() -> impl IntoView {
    let page = Page::here();
    let recital = expect_context::<Recital>();
    let there = Memo::new(move |_| page.chosen.with(Option::is_some));
    let busy = Memo::new(move |_| recital.stage.with(|s| !matches!(s, Stage::Resting | Stage::Failed(_))));
    let bars = move || {
        let looped = page.desk.with(|d| d.looped);
        looped.map_or(say!("the whole pass").to_owned(), |l| {
            say!(
                "bars {from} to {to}, as they are looped",
                from = l.from + 1,
                to = l.to + 1
            )
        })
    };
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
    move || {
        there.get().then(|| view! {
            <section class="play-it" aria-labelledby="play-it">
                <h2 id="play-it">{say!("Play it yourself")}</h2>
                <p class="small soft">
                    {move || say!("Play {bars} into the microphone; a bar is counted, and the solo is silent. ", bars = bars())}
                    {say!("Wear headphones, or keep the backing low: what the microphone hears of it blurs the marks.")}
                </p>
                <div class="line-up">
                    <button type="button" class="do" on:click=press>{word}</button>
                    <span class="small soft">{say!("Nothing leaves this device.")}</span>
                </div>
                <p class="small" role="status">{told}</p>
                <div role="alert">{fault}</div>
                <Delay recital busy />
                <Result recital />
            </section>
        })
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
fn Result(recital: Recital) -> impl IntoView {
    let page = Page::here();
    move || {
        let played = recital.played.get()?;
        let song = page.song.get()?;
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
            <Lines played song />
        })
    }
}

/// What is to be mended, each to be heard as it should be.
#[component]
fn Lines(played: Arc<Played>, song: Arc<Timeline>) -> impl IntoView {
    let page = Page::here();
    let line = move |line: Line| {
        let at = line.at;
        view! {
            <li>
                <button type="button" on:click=move |_| playing::seek(page, at)>
                    <b class="small">{line.place}</b>" "<span class="small soft">{line.words}</span>
                </button>
            </li>
        }
    };
    view! { <ol class="played-lines" aria-label=say!("What to mend")>{played.lines(&song).into_iter().map(line).collect_view()}</ol> }
}
