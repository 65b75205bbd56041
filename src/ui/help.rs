//! The help: what the page is for, in a few lines, how it looks, and its keys.

use super::controls::{Choice, words};
use super::icons::{Icon, Sign};
use super::keys::KEYS;
use super::language::look;
use super::language_choice::LanguageChoice;
use super::state::Page;
use crate::app::appearance::{NamedBy, Side};
use crate::app::{Command, Theme};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// Shows the help.
pub(super) fn open() {
    if let Some(sheet) = document()
        .get_element_by_id("help")
        .and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
    {
        // Fails only when it is open already.
        drop(sheet.show_popover());
    }
}

/// The head of a sheet: its name and a way out.
#[component]
pub(super) fn SheetHead(name: &'static str, sheet: &'static str) -> impl IntoView {
    view! {
        <div class="sheet-head">
            <h2>{name}</h2>
            <button type="button" class="tool" aria-label=say!("Close") popovertarget=sheet popovertargetaction="hide">
                <Icon sign=Sign::Close />
            </button>
        </div>
    }
}

/// The parts of the lanes, from the top, and how they are read.
const PICTURE: [(&str, &str); 4] = [
    (
        key!("The line"),
        key!("Where the bar lies, fret by fret: level where it stands, steep where it slides, a wave where it shakes."),
    ),
    (
        key!("The ribbons"),
        key!("Pedals and knee levers: as high as they are pressed. Half high is half a pedal."),
    ),
    (
        key!("The plates"),
        key!(
            "A string is picked. The figure is the note's place in the chord; a filled plate is its root, a dotted one is foreign to it."
        ),
    ),
    (
        key!("The tails"),
        key!("How long it rings. A short upright stroke is where it is stopped."),
    ),
];

/// The help sheet.
#[component]
pub(super) fn HelpSheet() -> impl IntoView {
    view! {
        <div class="sheet" id="help" popover="auto" role="dialog" aria-label=say!("Help")>
            <SheetHead name=say!("Help") sheet="help" />
            <section>
                <ol class="steps">
                    <li><b>{say!("Chart")}</b>{say!(" holds the song in numbers: type it, tap it, or open a demo song.")}</li>
                    <li><b>{say!("Solo")}</b>{say!(" drafts solos over it. Move where it begins, climbs and ends; choose one; see why.")}</li>
                    <li><b>{say!("Neck")}</b>{say!(" shows where each chord lives. Tap a place to hear it.")}</li>
                    <li><b>{say!("Learn")}</b>{say!(" teaches it from the first number on, with exercises that are marked. Teachers set work there.")}</li>
                    <li><b>{say!("Tuner")}</b>{say!(" hears your strings and says which way to turn.")}</li>
                    <li><b>{say!("Rig")}</b>{say!(" is your instrument: tick off what yours has not got.")}</li>
                    <li><b>{say!("Deliver")}</b>{say!(" writes a take as stems for a studio.")}</li>
                </ol>
            </section>
            <section>
                <h3>{say!("What the picture of a solo shows")}</h3>
                <dl class="keys">
                    {PICTURE.map(|(what, shows)| view! { <dt>{look(what)}</dt><dd>{look(shows)}</dd> }).collect_view()}
                </dl>
            </section>
            <LanguageChoice />
            <Looks />
            <section>
                <h3>{say!("Keys¦of the keyboard")}</h3>
                <dl class="keys">
                    {KEYS.map(|(key, does)| view! { <dt>{look(key)}</dt><dd>{look(does)}</dd> }).collect_view()}
                </dl>
            </section>
        </div>
    }
}

/// How the page is shown to this player; kept with the desk.
#[component]
fn Looks() -> impl IntoView {
    let page = Page::here();
    let lights = words([
        (Theme::System, key!("As the device")),
        (Theme::Day, key!("Day")),
        (Theme::Night, key!("Night")),
    ]);
    view! {
        <section class="looks">
            <h3>{say!("How it looks")}</h3>
            <Choice
                name=say!("Light")
                options=lights
                value=Signal::derive(move || page.desk.with(|d| d.theme))
                on_change=move |theme| page.act(Command::Light(theme))
            />
            <Choice
                name=say!("Neck")
                options=words(Side::ALL.map(|side| (side, side.name())))
                value=Signal::derive(move || page.desk.with(|d| d.side))
                on_change=move |side| page.act(Command::Turn(side))
            />
            <Choice
                name=say!("Notes and chords by")
                options=words(NamedBy::ALL.map(|naming| (naming, naming.name())))
                value=Signal::derive(move || page.desk.with(|d| d.naming))
                on_change=move |naming| page.act(Command::Name(naming))
            />
        </section>
    }
}
