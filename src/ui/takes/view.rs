//! The section of the solo in which takes are recorded and chosen.

use super::Studio;
use super::bars::Bars;
use super::row::Row;
use super::run::{Booth, Stage};
use crate::app::delivery::Played;
use crate::app::takes::TakeId;
use crate::platform::takes::VaultError;
use crate::ui::controls::Tick;
use crate::ui::language::{look, tell};
use crate::ui::state::Page;
use leptos::prelude::*;

/// The section.
#[component]
pub(in crate::ui) fn TakesSection() -> impl IntoView {
    let studio = Studio::here();
    let booth = Booth::new(studio);
    let there = Memo::new(move |_| studio.takes.with(|takes| !takes.is_empty()));
    view! {
        <section class="takes" aria-labelledby="takes">
            <h2 id="takes">{say!("Record takes")}</h2>
            <p class="small soft">
                {say!("Record yourself over the band, or over your recording of the song: as often as you like. Then choose for each bar which take sounds.")}
            </p>
            <Desk booth />
            <Unkept studio />
            {move || there.get().then(|| view! { <List studio /> })}
        </section>
    }
}

/// The microphone, its level, and the button.
#[component]
fn Desk(booth: Booth) -> impl IntoView {
    let stage = Memo::new(move |_| booth.stage.get());
    let fault = move || {
        let words = booth.fault.get().or_else(|| {
            let words = look(booth.facts.get().words());
            (stage.get() != Stage::Off && !words.is_empty()).then(|| words.to_owned())
        });
        words.map(|words| view! { <p class="fault small">{words}</p> })
    };
    let told = move || match stage.get() {
        Stage::Waiting => say!("Waiting for the microphone").to_owned(),
        Stage::Recording => say!(
            "A bar is counted, then you are on. {seconds} s recorded",
            seconds = booth.length.get().0.round()
        ),
        Stage::Off | Stage::Armed => String::new(),
    };
    view! {
        {move || match stage.get() {
            Stage::Off | Stage::Waiting => view! {
                <div class="line-up">
                    <button type="button" class="do" prop:disabled=move || stage.get() == Stage::Waiting on:click=move |_| booth.arm()>
                        {say!("Set up the microphone")}
                    </button>
                    <span class="small soft">{say!("Nothing leaves this device.")}</span>
                </div>
            }
            .into_any(),
            Stage::Armed | Stage::Recording => view! { <Armed booth stage /> }.into_any(),
        }}
        <p class="small" role="status">{told}</p>
        <div role="alert">{fault}</div>
    }
}

/// The level that comes in, and what can be done with it.
#[component]
fn Armed(booth: Booth, stage: Memo<Stage>) -> impl IntoView {
    let recording = Memo::new(move |_| stage.get() == Stage::Recording);
    let press = move |_| {
        if recording.get_untracked() {
            booth.finish();
        } else {
            booth.record();
        }
    };
    let word = move || {
        if recording.get() {
            return say!("Stop").to_owned();
        }
        let looped = Page::here().desk.with(|d| d.looped.is_some());
        match booth.bars().filter(|_| looped) {
            Some(bars) => say!("Record bars {from} to {to}", from = bars.from + 1, to = bars.to + 1),
            None => say!("Record the song").to_owned(),
        }
    };
    let now = move || booth.level.with(|level| level.now.0.round());
    let words = Memo::new(move |_| booth.level.with(|level| look(level.words())));
    view! {
        <div class="take-level">
            <div
                class="level-scale"
                role="meter"
                aria-label=say!("Level of the microphone")
                aria-valuemin="-60"
                aria-valuemax="0"
                aria-valuenow=move || now().to_string()
                aria-valuetext=move || say!("{now} decibels below full", now = -now())
            >
                <span class:hot=move || booth.level.with(|level| level.clipped) style:width=move || format!("{:.1}%", 100.0 * booth.level.with(|level| level.part()))></span>
            </div>
            <p class="small">{words}</p>
        </div>
        <p class="small soft">
            {say!("Wear headphones, or the band is in the take too. Turn them right down before you put them on, then up until you hear the band: loud for long harms the ears.")}
        </p>
        <Delay />
        <div class="line-up">
            <button type="button" class="do" on:click=press>{word}</button>
            <button type="button" class="do slim" prop:disabled=recording on:click=move |_| booth.disarm()>{say!("Microphone off")}</button>
        </div>
    }
}

/// What is known of the device's delay.
#[component]
fn Delay() -> impl IntoView {
    let page = Page::here();
    let words = move || {
        match page.desk.with(|d| d.delay) {
        Some(delay) => say!("Takes are laid {delay} ms earlier, as the delay was measured.", delay = format!("{:.0}", 1000.0 * delay.0)),
        None => say!("The delay of this device is not measured, so takes will lie late, by more with wireless headphones. Measure it above first.").to_owned(),
    }
    };
    view! { <p class="small soft">{words}</p> }
}

/// Takes that the device has no room for.
#[component]
fn Unkept(studio: Studio) -> impl IntoView {
    let lines = move || {
        let unkept = studio.unkept.get();
        let takes = studio.takes.get();
        let of = takes.list.iter().filter(|take| unkept.contains(&take.key));
        of.map(|take| {
            let id = take.id;
            view! {
                <p class="fault small"><b>{take.name.clone()}": "</b>{tell(&VaultError::NoRoom.said())}</p>
                <button type="button" class="do slim" on:click=move |_| studio.save(Played::Take(id))>{say!("Save it as WAV")}</button>
            }
        })
        .collect_view()
    };
    view! { <div role="alert" class="takes-unkept">{lines}</div> }
}

/// The takes and what is made of them.
#[component]
fn List(studio: Studio) -> impl IntoView {
    let page = Page::here();
    let ids = Memo::new(move |_| {
        studio
            .takes
            .with(|t| t.list.iter().map(|take| take.id).collect::<Vec<TakeId>>())
    });
    let nothing = Memo::new(move |_| studio.takes.with(|t| !t.makes_something()));
    let hint = move || {
        if !studio.heard.get() {
            ""
        } else if page.desk.with(|d| d.speed != 100) {
            say!("At another speed than 100% the takes are silent: slowed down they would sound lower.")
        } else if studio.making.get() {
            say!("Putting the takes together.")
        } else {
            say!("Play the song: your takes sound in the solo's place, at the solo's level.")
        }
    };
    view! {
        <ul class="take-rows" aria-label=say!("Takes")>
            <For each=move || ids.get() key=|id| *id let:id>
                <Row studio id />
            </For>
        </ul>
        <h3>{say!("Which take sounds")}</h3>
        <Bars studio ids />
        <div class="line-up">
            <Tick name=say!("Hear them in the solo's place") on=studio.heard on_change=move |on| studio.heard.set(on) />
            <button type="button" class="do slim" prop:disabled=nothing on:click=move |_| studio.save(Played::Comp)>{say!("Save this as WAV")}</button>
        </div>
        <p class="small soft" role="status">{hint}</p>
    }
}
