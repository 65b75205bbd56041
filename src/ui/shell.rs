//! The frame around every view: the song's head, the transport, the places, the news.

use super::files::Offer;
use super::icons::{Icon, Mark, Sign};
use super::keeping::{self, Beginning, Trouble};
use super::later::{Later, in_turn};
use super::notice::Newer;
use super::place;
use super::reporting::Reporting;
use super::rooms::{Room, Sheets};
use super::songs::SongButton;
use super::state::Page;
use super::transport::Deck;
use super::{chart, class};
use crate::app::{Command, Theme, View};
use crate::exchange::link::LinkError;
use crate::platform::storage;
use crate::solo::Draft;
use crate::teach::scorm::Content;
use crate::ui::language::look;
use leptos::prelude::*;

/// Where the light is noted, for the script that runs before the page.
const LIGHT: &str = "leadbar.light";

/// The whole page: what it begins with, the passes that come with it over that, and what it holds as a package.
#[component]
pub(super) fn Shell(
    beginning: Beginning,
    draft: Option<Draft>,
    packed: Option<Result<Content, LinkError>>,
) -> impl IntoView {
    let page = Page::provide(beginning.session.clone());
    in_turn(move || {
        keeping::connect(page, &beginning);
        Reporting::begin(page, packed);
        class::begin(page);
    });
    in_turn(move || {
        super::playing::connect(page);
        super::rig::connect_recording(page);
        super::takes::connect(page);
        chart::connect_hearing();
        super::rig::provide_controllers();
    });
    in_turn(move || {
        super::drafting::connect(page, draft);
        super::changing::connect(page);
        super::proposing::connect(page);
        super::balancing::connect(page);
        super::rehearsing::connect(page);
        super::keys::listen(page);
        super::files::arrivals::listen(page);
        // After what reads the address, which this writes.
        place::follow(page);
        follow_theme(page);
        follow_name(page);
    });
    // What is drawn comes after what it stands on.
    view! {
        <a class="skip" href="#page">{say!("Skip to the page")}</a>
        <div class="shell" class:standing=move || page.desk.with(|d| d.view == View::Stand)>
            <div class="frame">
                <header class="head">
                    <Mark />
                    <Later>
                        <SongButton />
                        <Tools />
                    </Later>
                </header>
                <div class="dock">
                    <Later>
                        <Deck />
                        <Places />
                    </Later>
                </div>
            </div>
            <Stage />
        </div>
        <Later>
            <div class="notices">
                <Trouble />
                <Newer />
                <Offer />
            </div>
            <div class="news"><p role="status">{move || page.said()}</p></div>
            <Sheets />
        </Later>
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
            <Later>{move || view! { <Room view=view.get() /> }}</Later>
        </main>
    }
}

/// The bar of places.
#[component]
fn Places() -> impl IntoView {
    let page = Page::here();
    let here = move |view| move || page.desk.with(|d| d.view == view).then_some("page");
    view! {
        <nav class="nav" aria-label=say!("Places")>
            {View::BAR
                .map(|view| {
                    view! {
                        <button type="button" aria-current=here(view) on:click=move |_| page.act(Command::Show(view))>
                            {look(view.name())}
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
            <Door view=View::Tuner label=say!("Tuner") sign=Sign::Tuner />
            <Door view=View::Rig label=say!("Rig: the instrument") sign=Sign::Rig />
            <Door view=View::Deliver label=say!("Deliver: stems of this take") sign=Sign::Deliver />
            <button
                type="button"
                class="tool"
                aria-label=move || if is_night(theme()) { say!("Day colours") } else { say!("Night colours") }
                on:click=turn
            >
                <Icon sign=Signal::derive(move || if is_night(theme()) { Sign::Day } else { Sign::Night }) />
            </button>
            <button type="button" class="tool" aria-label=say!("Help") popovertarget="help">
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
        // Where it can't be noted, the next visit begins in the device's own light.
        match root.get_attribute("data-theme") {
            Some(light) => drop(storage::keep(LIGHT, &light)),
            None => storage::forget(LIGHT),
        }
    });
}
