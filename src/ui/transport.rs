//! The transport: play, where we are, loop, speed, levels.

use super::help::SheetHead;
use super::icons::{Icon, Sign};
use super::state::Page;
use crate::app::{Command, Levels};
use leptos::prelude::*;

/// A step through the bars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hop {
    Start,
    Back,
    On,
}

/// Plays, or stops.
pub(super) fn toggle(page: Page) {
    page.playing.update(|p| *p = !*p);
}

/// Goes to another bar.
pub(super) fn seek_bar(_page: Page, _hop: Hop) {}

/// Changes the speed by hundredths of the chart's tempo.
pub(super) fn faster(page: Page, by: i16) {
    let speed = page.desk.with_untracked(|d| d.speed).saturating_add_signed(by);
    page.act(Command::Speed(speed));
}

/// Loops the whole song, or stops looping.
pub(super) fn toggle_loop(_page: Page) {}

/// The row of the transport.
#[component]
pub(super) fn Deck() -> impl IntoView {
    let page = Page::here();
    let playing = page.playing;
    view! {
        <div class="deck" role="group" aria-label="Transport">
            <button
                type="button"
                class="play"
                aria-label=move || if playing.get() { "Stop" } else { "Play" }
                on:click=move |_| toggle(page)
            >
                <Icon sign=Signal::derive(move || if playing.get() { Sign::Stop } else { Sign::Play }) />
            </button>
            <div class="where">
                <div class="where-bar">"1"<span>"of 8"</span></div>
                <div class="where-section"></div>
            </div>
            <button type="button" class="tool" aria-label="Loop" on:click=move |_| toggle_loop(page)>
                <Icon sign=Sign::Loop />
            </button>
            <button type="button" class="tool" aria-label="Speed and levels" popovertarget="levels">
                <Icon sign=Sign::Level />
            </button>
        </div>
    }
}

/// Speed, count-in and levels.
#[component]
pub(super) fn LevelSheet() -> impl IntoView {
    let page = Page::here();
    let set = move |change: fn(&mut Levels, f64)| {
        move |event: web_sys::Event| {
            let mut levels = page.desk.with_untracked(|d| d.levels);
            if let Ok(percent) = event_target_value(&event).parse::<f64>() {
                change(&mut levels, percent / 100.0);
                page.act(Command::Mix(levels));
            }
        }
    };
    let shown = move |read: fn(&Levels) -> f64| move || (page.desk.with(|d| read(&d.levels)) * 100.0).round();
    let slider = move |name: &'static str, read: fn(&Levels) -> f64, change: fn(&mut Levels, f64)| {
        view! {
            <label class="level">
                <span>{name}</span>
                <input type="range" class="slide" min="0" max="100" prop:value=shown(read) on:input=set(change) />
            </label>
        }
    };
    view! {
        <div class="sheet" id="levels" popover="auto" role="dialog" aria-label="Speed and levels">
            <SheetHead name="Speed and levels" sheet="levels" />
            <section>
                {slider("Volume", |l| l.master, |l, x| l.master = x)}
                {slider("Steel", |l| l.steel, |l, x| l.steel = x)}
                {slider("Band", |l| l.band, |l, x| l.band = x)}
                <p class="small soft">
                    "Start low: the page cannot know how loud your headphones are. If you have to raise your voice over it, turn it down."
                </p>
            </section>
        </div>
    }
}
