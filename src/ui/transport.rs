//! The transport: play, where we are, loop, speed, levels.

use super::controls::{Stepper, Tick};
use super::help::SheetHead;
use super::icons::{Icon, Sign};
use super::playing;
use super::rig::{Mixer, SetupChoice};
use super::state::Page;
use super::state::Run;
use crate::app::desk::SPEEDS;
use crate::app::sections::looped_at_first;
use crate::app::{Command, LoopBars};
use crate::theory::Beats;
use leptos::prelude::*;

/// A step through the bars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hop {
    Start,
    Back,
    On,
}

/// Goes to another bar.
pub(super) fn hop(page: Page, hop: Hop) {
    let at = page.playing.at.get_untracked();
    let start = page.heard.with_untracked(|song| {
        let song = song.as_ref()?;
        let here = song.bar_index_at(at)?;
        let bar = match hop {
            Hop::Start => 0,
            Hop::Back => here.saturating_sub(1),
            Hop::On => (here + 1).min(song.bars.len() - 1),
        };
        song.bars.get(bar).map(|b| b.start)
    });
    playing::seek(page, start.unwrap_or(Beats::ZERO));
}

/// Changes the speed by hundredths of the chart's tempo.
pub(super) fn faster(page: Page, by: i16) {
    let speed = page.desk.with_untracked(|d| d.speed).saturating_add_signed(by);
    page.act(Command::Speed(speed));
}

/// Plays or stops.
#[component]
pub(super) fn PlayButton() -> impl IntoView {
    let page = Page::here();
    let runs = move || page.playing.runs();
    view! {
        <button
            type="button"
            class="play"
            aria-label=move || if runs() { say!("Stop") } else { say!("Play") }
            on:click=move |_| playing::toggle(page)
        >
            <Icon sign=Signal::derive(move || if runs() { Sign::Stop } else { Sign::Play }) />
        </button>
    }
}

/// The row of the transport.
#[component]
pub(super) fn Deck() -> impl IntoView {
    let page = Page::here();
    let looped = move || page.desk.with(|d| d.looped.is_some());
    view! {
        <div class="deck" role="group" aria-label=say!("Transport")>
            <PlayButton />
            <Where />
            <button
                type="button"
                class="tool"
                aria-label=say!("Loop")
                aria-pressed=move || if looped() { "true" } else { "false" }
                on:click=move |_| playing::toggle_loop(page)
            >
                <Icon sign=Sign::Loop />
            </button>
            <button type="button" class="tool" class:on=move || page.desk.with(|d| d.speed != 100) popovertarget="levels" aria-label=say!("Levels, speed and loop")>
                <Icon sign=Sign::Level />
            </button>
        </div>
    }
}

/// The bar that is shown or heard, and its section.
#[component]
fn Where() -> impl IntoView {
    let page = Page::here();
    let bar = Memo::new(move |_| {
        let at = page.playing.at.get();
        page.heard.with(|song| song.as_ref()?.bar_index_at(at))
    });
    let bars = move || page.heard.with(|song| song.as_ref().map_or(0, |s| s.bars.len()));
    let section = move || {
        page.heard.with(|song| {
            let before = song.as_ref()?.bars.get(..=bar.get()?)?;
            before.iter().rev().find_map(|b| b.section.clone())
        })
    };
    let news = move || match page.playing.run.get() {
        Run::Starting => Some(say!("Starting").to_owned()),
        Run::CountingIn => Some(say!("Counting in").to_owned()),
        Run::Stopped | Run::Sounding => {
            let speed = page.desk.with(|d| d.speed);
            let slowed = (speed != 100).then(|| say!("at {speed}%", speed));
            let parts: Vec<String> = section().into_iter().chain(slowed).collect();
            Some(parts.join(", "))
        }
    };
    view! {
        <div class="where">
            <div class="where-bar">
                {move || bar.get().map_or("–".to_owned(), |b| (b + 1).to_string())}
                <span>{move || (bars() > 0).then(|| say!("of {bars}", bars = bars()))}</span>
            </div>
            <div class="where-section">{news}</div>
        </div>
    }
}

/// Speed, count-in, loop and levels.
#[component]
pub(super) fn LevelSheet() -> impl IntoView {
    view! {
        <div class="sheet" id="levels" popover="auto" role="dialog" aria-label=say!("Levels, speed and loop")>
            <SheetHead name=say!("Levels, speed and loop") sheet="levels" />
            <section>
                <Mixer />
            </section>
            <section>
                <SetupChoice apart="-sheet" />
            </section>
            <Pace />
            <LoopPicker />
        </div>
    }
}

/// How fast it is played, and whether a bar is counted before.
#[component]
pub(super) fn Pace() -> impl IntoView {
    let page = Page::here();
    let speed = Signal::derive(move || i32::from(page.desk.with(|d| d.speed)));
    view! {
        <section class="line-up apart">
            <Stepper
                name=say!("Speed")
                value=speed
                least=i32::from(*SPEEDS.start())
                most=i32::from(*SPEEDS.end())
                step=5
                unit="%"
                on_change=move |speed| page.act(Command::Speed(u16::try_from(speed).unwrap_or(100)))
            />
            <Tick
                name=say!("Count a bar in")
                on=Signal::derive(move || page.desk.with(|d| d.count_in))
                on_change=move |on| page.act(Command::CountIn(on))
            />
        </section>
    }
}

/// Which bars are looped.
#[component]
pub(super) fn LoopPicker() -> impl IntoView {
    let page = Page::here();
    let bars = move || page.heard.with(|s| s.as_ref().map_or(0, |s| s.bars.len()));
    let stretch = move || page.desk.with(|d| d.looped).and_then(|l| l.within(bars()));
    let figure = |bar: usize| i32::try_from(bar + 1).unwrap_or(1);
    let at_first = move || looped_at_first(page.work.with(|w| w.request.bars.clone()).as_ref(), bars());
    let shown = move || stretch().or_else(at_first);
    let from = Signal::derive(move || shown().map_or(1, |l| figure(l.from)));
    let to = Signal::derive(move || shown().map_or(1, |l| figure(l.to)));
    let most = Signal::derive(move || figure(bars().saturating_sub(1)));
    let set = move |from: i32, to: i32| {
        let bar = |figure: i32| usize::try_from(figure - 1).unwrap_or(0);
        page.act(Command::Loop(Some(LoopBars {
            from: bar(from),
            to: bar(to),
        })));
    };
    view! {
        <section class="loop">
            <Tick
                name=say!("Loop bars")
                on=Signal::derive(move || stretch().is_some())
                on_change=move |_| playing::toggle_loop(page)
            />
            <Stepper name=say!("from¦a bar") value=from least=1 most=most step=1 unit=""
                on_change=move |bar| set(bar, to.get_untracked().max(bar)) />
            <Stepper name=say!("to¦a bar") value=to least=1 most=most step=1 unit=""
                on_change=move |bar| set(from.get_untracked().min(bar), bar) />
        </section>
    }
}
