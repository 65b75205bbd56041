//! The frame around every view: the song's head, the transport, the places, the news.

use super::help::HelpSheet;
use super::icons::{Icon, Mark, Sign};
use super::songs::{SongButton, SongSheet};
use super::state::Page;
use super::transport::{Deck, LevelSheet};
use crate::app::{Command, Theme, View};
use leptos::prelude::*;

/// The whole page.
#[component]
pub(super) fn Shell() -> impl IntoView {
    let page = Page::provide();
    super::keys::listen(page);
    follow_theme(page);
    view! {
        <a class="skip" href="#page">"Skip to the page"</a>
        <div class="shell">
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
        <div class="news"><p role="status">{move || page.said()}</p></div>
        <SongSheet />
        <LevelSheet />
        <HelpSheet />
    }
}

/// The view that is open.
#[component]
fn Stage() -> impl IntoView {
    let page = Page::here();
    let view = Memo::new(move |_| page.desk.with(|d| d.view));
    view! {
        <main class="page" id="page" tabindex="-1">
            {move || match view.get() {
                View::Chart => view! { <h1>"Chart"</h1> }.into_any(),
                View::Neck => view! { <h1>"Neck"</h1> }.into_any(),
                View::Solo => view! { <h1>"Solo"</h1> }.into_any(),
                View::Rig => view! { <h1>"Rig"</h1> }.into_any(),
            }}
        </main>
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

/// The instrument, the light and the help.
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
    let on_rig = move || page.desk.with(|d| d.view == View::Rig);
    view! {
        <div class="tools">
            <button
                type="button"
                class="tool"
                class:on=on_rig
                aria-label="Rig: the instrument"
                aria-current=move || on_rig().then_some("page")
                on:click=move |_| page.act(Command::Show(View::Rig))
            >
                <Icon sign=Sign::Rig />
            </button>
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
