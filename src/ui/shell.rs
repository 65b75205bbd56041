//! The frame around every view: the song's head, the transport, the places, the news.

use super::NeckPage;
use super::chart::{self, ChartView};
use super::class::{self, ClassView};
use super::deliver::DeliverView;
use super::files::FilesSheet;
use super::help::HelpSheet;
use super::icons::{Icon, Mark, Sign};
use super::keeping::{self, Beginning, Trouble};
use super::learn::LearnView;
use super::notice::Newer;
use super::place;
use super::reporting::Reporting;
use super::rig::RigView;
use super::solo::{ChangeSheet, RehearseSheet, SoloView};
use super::songs::{SongButton, SongSheet};
use super::stand::StandView;
use super::state::Page;
use super::transport::{Deck, LevelSheet};
use super::tuner::TunerView;
use crate::app::neck_view::Hold;
use crate::app::{Command, Theme, View};
use crate::steel::StringSet;
use leptos::prelude::*;
use std::sync::Arc;

/// The whole page.
#[component]
pub(super) fn Shell(beginning: Beginning) -> impl IntoView {
    let mut session = beginning.session.clone();
    let named = place::named().map(place::commands_to).unwrap_or_default();
    named.into_iter().for_each(|command| session.apply(command));
    let page = Page::provide(session);
    keeping::connect(page, &beginning);
    place::follow(page);
    Reporting::begin(page);
    class::begin(page);
    super::playing::connect(page);
    super::rig::connect_recording(page);
    chart::connect_hearing();
    super::rig::provide_controllers();
    super::drafting::connect(page);
    super::changing::connect(page);
    super::proposing::connect(page);
    super::balancing::connect(page);
    super::rehearsing::connect(page);
    super::keys::listen(page);
    super::files::arrivals::listen(page);
    follow_theme(page);
    follow_name(page);
    view! {
        <a class="skip" href="#page">"Skip to the page"</a>
        <div class="shell" class:standing=move || page.desk.with(|d| d.view == View::Stand)>
            <div class="frame">
                <header class="head">
                    <Mark />
                    <SongButton />
                    <Tools />
                </header>
                <div class="dock">
                    <Deck />
                    <Places />
                </div>
            </div>
            <Stage />
        </div>
        <div class="notices">
            <Trouble />
            <Newer />
        </div>
        <div class="news"><p role="status">{move || page.said()}</p></div>
        <SongSheet />
        <FilesSheet />
        <LevelSheet />
        <RehearseSheet />
        <ChangeSheet />
        <HelpSheet />
    }
}

/// The view that is open.
#[component]
fn Stage() -> impl IntoView {
    let page = Page::here();
    let view = Memo::new(move |_| page.desk.with(|d| d.view));
    // Another place is looked at from its top.
    Effect::new(move |before: Option<View>| {
        let now = view.get();
        if before.is_some_and(|before| before != now) {
            window().scroll_to_with_x_and_y(0.0, 0.0);
        }
        now
    });
    view! {
        <main class="page" id="page" tabindex="-1">
            {move || match view.get() {
                View::Chart => view! { <ChartView /> }.into_any(),
                View::Neck => view! { <NeckPlace /> }.into_any(),
                View::Solo => view! { <SoloView /> }.into_any(),
                View::Learn => view! { <LearnView /> }.into_any(),
                View::Class => view! { <ClassView /> }.into_any(),
                View::Rig => view! { <RigView /> }.into_any(),
                View::Deliver => view! { <DeliverView /> }.into_any(),
                View::Stand => view! { <StandView /> }.into_any(),
                View::Tuner => view! { <TunerView /> }.into_any(),
            }}
        </main>
    }
}

/// The neck under the song's chords.
#[component]
fn NeckPlace() -> impl IntoView {
    let page = Page::here();
    let there = Memo::new(move |_| page.song.with(Option::is_some) && page.instrument.with(Option::is_some));
    move || {
        let both = there
            .get()
            .then(|| page.song.get_untracked().zip(page.instrument.get_untracked()));
        let Some((song, instrument)) = both.flatten() else {
            return view! {
                <div class="empty">
                    <h1>"No chords yet"</h1>
                    <p>"Write a few bars in the chart: the neck shows where each of their chords lives."</p>
                </div>
            }
            .into_any();
        };
        view! {
            <h1 class="unseen">"Neck"</h1>
            <NeckPage
                timeline=Signal::derive(move || page.song.get().unwrap_or_else(|| Arc::clone(&song)))
                instrument=Signal::derive(move || page.instrument.get().unwrap_or_else(|| Arc::clone(&instrument)))
                performance=Signal::derive(move || page.chosen.get().map(|shown| Arc::clone(&shown.performance)))
                position=Signal::derive(move || page.playing.runs().then(|| page.playing.at.get()))
                on_hear=move |(strings, hold): (StringSet, Hold)| super::playing::pluck(page, strings, &hold)
                on_bend=move |event| super::playing::bend(page, event)
            />
        }
        .into_any()
    }
}

/// The bar of places.
#[component]
fn Places() -> impl IntoView {
    let page = Page::here();
    let here = move |view| move || page.desk.with(|d| d.view == view).then_some("page");
    view! {
        <nav class="nav" aria-label="Places">
            {View::BAR
                .map(|view| {
                    view! {
                        <button type="button" aria-current=here(view) on:click=move |_| page.act(Command::Show(view))>
                            {view.name()}
                        </button>
                    }
                })
                .collect_view()}
        </nav>
    }
}

/// The instrument, the delivery, the light and the help.
#[component]
fn Tools() -> impl IntoView {
    let page = Page::here();
    let theme = move || page.desk.with(|d| d.theme);
    let turn = move |_| {
        page.act(Command::Light(if is_night(theme()) {
            Theme::Day
        } else {
            Theme::Night
        }))
    };
    view! {
        <div class="tools">
            <Door view=View::Tuner label="Tuner" sign=Sign::Tuner />
            <Door view=View::Rig label="Rig: the instrument" sign=Sign::Rig />
            <Door view=View::Deliver label="Deliver: stems of this take" sign=Sign::Deliver />
            <button
                type="button"
                class="tool"
                aria-label=move || if is_night(theme()) { "Day colours" } else { "Night colours" }
                on:click=turn
            >
                <Icon sign=Signal::derive(move || if is_night(theme()) { Sign::Day } else { Sign::Night }) />
            </button>
            <button type="button" class="tool" aria-label="Help" popovertarget="help">
                <Icon sign=Sign::Help />
            </button>
        </div>
    }
}

/// A sign in the head that opens a view.
#[component]
fn Door(view: View, label: &'static str, sign: Sign) -> impl IntoView {
    let page = Page::here();
    let here = move || page.desk.with(|d| d.view == view);
    view! {
        <button
            type="button"
            class="tool"
            class:on=here
            aria-label=label
            aria-current=move || here().then_some("page")
            on:click=move |_| page.act(Command::Show(view))
        >
            <Icon sign=sign />
        </button>
    }
}

/// Whether the page is dark under this setting.
fn is_night(theme: Theme) -> bool {
    match theme {
        Theme::Day => false,
        Theme::Night => true,
        Theme::System => window()
            .match_media("(prefers-color-scheme: dark)")
            .ok()
            .flatten()
            .is_some_and(|query| query.matches()),
    }
}

/// Names the browser's tab after the song.
fn follow_name(page: Page) {
    Effect::new(move || {
        let name = page.reading.with(|r| r.title.clone());
        document().set_title(&name.map_or("Leadbar".to_owned(), |name| format!("{name} – Leadbar")));
    });
}

/// Tells the style sheet which light is wanted.
fn follow_theme(page: Page) {
    Effect::new(move || {
        let Some(root) = document().document_element() else {
            return;
        };
        let set = match page.desk.with(|d| d.theme) {
            Theme::System => root.remove_attribute("data-theme"),
            Theme::Day => root.set_attribute("data-theme", "day"),
            Theme::Night => root.set_attribute("data-theme", "night"),
        };
        // Only a malformed name could fail, and these are constants.
        drop(set);
    });
}
