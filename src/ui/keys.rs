//! The keyboard. A key that a control already understands is left to it.

use super::chart::Ear;
use super::state::Page;
use crate::app::hearing::Hearing;
use crate::app::{Command, View};
use leptos::ev;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::{Element, KeyboardEvent};

/// The keys and what they do, as the help tells them.
pub(super) const KEYS: [(&str, &str); 10] = [
    (key!("Space"), key!("Play, stop")),
    (key!("Home¦the key"), key!("Back to the start")),
    ("← →", key!("A bar back, a bar on")),
    ("− +", key!("Slower, faster")),
    ("L", key!("Loop on, loop off")),
    ("C", key!("Change the move that sounds")),
    ("H", key!("Take that move in hand")),
    ("Ctrl Z", key!("Undo")),
    ("Ctrl Shift Z", key!("Do it again")),
    ("?", key!("This help")),
];

/// Starts listening, as long as the page lives.
pub(super) fn listen(page: Page) {
    let ear = Ear::here();
    let handle = window_event_listener(ev::keydown, move |event| {
        if !event.default_prevented() && press(page, ear, &event) {
            event.prevent_default();
        }
    });
    on_cleanup(move || handle.remove());
}

/// Whether the key was for the page.
fn press(page: Page, ear: Ear, event: &KeyboardEvent) -> bool {
    let target = event.target().and_then(|t| t.dyn_into::<Element>().ok());
    let within = |what: &str| target.as_ref().is_some_and(|t| t.matches(what).unwrap_or(false));
    if within("textarea, select, input:not([type=range]):not([type=checkbox]):not([type=radio])") {
        return false;
    }
    let key = event.key();
    if event.ctrl_key() || event.meta_key() {
        return with_control(page, ear, &key, event.shift_key());
    }
    if event.alt_key() {
        return false;
    }
    let on_control = within("button, a, summary, input");
    let on_arrows = within("input, [role=gridcell], [role=slider], [role=tab]");
    match key.as_str() {
        " " if !on_control => super::playing::toggle(page),
        "Home" if !on_arrows => super::transport::hop(page, super::transport::Hop::Start),
        "ArrowLeft" if !on_arrows => super::transport::hop(page, super::transport::Hop::Back),
        "ArrowRight" if !on_arrows => super::transport::hop(page, super::transport::Hop::On),
        "-" => super::transport::faster(page, -5),
        "+" | "=" => super::transport::faster(page, 5),
        "l" | "L" => super::playing::toggle_loop(page),
        "c" | "C" => super::changing::here(page),
        "h" | "H" => super::proposing::take_here(page),
        "Escape" if untrack(|| super::proposing::is_on(page)) => super::proposing::leave(page),
        "Escape" if on_stand(page) => page.act(Command::Show(View::Solo)),
        "?" => super::help::open(),
        _ => return false,
    }
    true
}

/// Whether the stand is all there is: a sheet over it is closed first.
fn on_stand(page: Page) -> bool {
    let sheet = document().query_selector(":popover-open").ok().flatten();
    page.desk.with_untracked(|d| d.view) == View::Stand && sheet.is_none()
}

fn with_control(page: Page, ear: Ear, key: &str, shift: bool) -> bool {
    match (key, shift) {
        ("z", false) if super::proposing::step_back(page) || ear.step(page, Hearing::undo) => {}
        ("z" | "Z", true) | ("y", false) if ear.step(page, Hearing::redo) => {}
        ("z", false) => page.act(Command::Undo),
        ("z" | "Z", true) | ("y", false) => page.act(Command::Redo),
        _ => return false,
    }
    true
}
