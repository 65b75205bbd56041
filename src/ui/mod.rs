//! The views. No computing here beyond formatting: everything shown comes from [`crate::app`].

// The component macro makes public what it generates, whatever the component itself says.
#![allow(unreachable_pub)]

// First: its macro is used by all the others.
#[macro_use]
mod language;

mod answer;
mod apart;
mod balancing;
mod changing;
mod chart;
mod class;
mod controls;
mod deliver;
mod drafting;
mod drawn;
mod ears;
mod example;
mod files;
mod follow;
mod help;
mod icons;
mod keeping;
mod keys;
mod lanes;
mod language_choice;
mod later;
mod learn;
mod neck;
mod notice;
mod ordering;
mod place;
mod played;
mod playing;
mod proposing;
mod rehearsing;
mod reporting;
mod rig;
mod rooms;
mod settling;
mod shell;
mod solo;
mod songs;
mod stand;
mod state;
mod tab;
mod takes;
mod transport;
mod tuner;

pub use lanes::Lanes;
pub use neck::{NeckPage, NeckView};
pub use state::Page;
pub use tab::TabSheet;

use crate::app::View;
use crate::platform::frames::pause;
use crate::platform::package;
use leptos::prelude::*;
use wasm_bindgen::prelude::wasm_bindgen;

/// Starts the page. Where page and engine are one module it is loaded in the audio thread and in workers too: there
/// is no window there, and nothing to mount.
#[wasm_bindgen(start)]
pub fn start_page() {
    crate::platform::panic::tell_panics();
    if web_sys::window().is_none() {
        return;
    }
    // The views' own way to wait is there only once they are mounted.
    wasm_bindgen_futures::spawn_local(async {
        language::begin().await;
        let mut first = keeping::beginning().await;
        place::lead(&mut first.session);
        // Where its file does not come the room itself says so.
        drop(rooms::fetch(first.session.desk().view).await);
        // No task is to hold the browser up for long: each of what follows gets one of its own.
        pause(0).await;
        // Read here, it is at hand when the page is drawn.
        drop(first.session.work().rig.built());
        pause(0).await;
        let draft = match first.session.desk().view {
            // What these show is a pass.
            View::Solo | View::Deliver => drafting::come(first.session.work()).await,
            _ => None,
        };
        let packed = match package::content() {
            Some(word) => Some(apart::insist(|| apart::packed(word.clone())).await),
            None => None,
        };
        pause(0).await;
        leptos::mount::mount_to_body(move || view! { <shell::Shell beginning=first draft packed /> });
        later::caught_up().await;
        // What was seen before gives way to it.
        if let Some(seen) = document().get_element_by_id("boot") {
            seen.remove();
        }
        settling::settle().await;
    });
}
