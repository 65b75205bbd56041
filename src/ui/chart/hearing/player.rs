//! The recording while its chart is corrected: all of it, or one bar.

use super::ear::Ear;
use crate::platform::frames::each_frame;
use crate::theory::Seconds;
use crate::ui::playing;
use crate::ui::state::Page;
use leptos::html::Audio;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen_futures::JsFuture;

/// The recording's own player.
#[derive(Clone, Copy)]
pub(super) struct Player {
    /// The element that plays.
    pub(super) element: NodeRef<Audio>,
    /// Where it is.
    pub(super) at: RwSignal<Seconds>,
    /// Whether it plays.
    pub(super) plays: RwSignal<bool>,
    /// Whether the bar that sounds is kept in sight: until the user looks elsewhere.
    pub(super) follows: RwSignal<bool>,
    /// Where it stops.
    until: StoredValue<Option<Seconds>>,
}

impl Player {
    pub(super) fn new() -> Self {
        Self {
            element: NodeRef::new(),
            at: RwSignal::new(Seconds(0.0)),
            plays: RwSignal::new(false),
            follows: RwSignal::new(true),
            until: StoredValue::new(None),
        }
    }

    /// Plays from a moment to another one, or to the end. Call it from a click or a key.
    pub(super) fn play(self, page: Page, from: Seconds, until: Option<Seconds>) {
        let Some(element) = self.element.get_untracked() else {
            return;
        };
        playing::give_back(page);
        playing::stop(page);
        self.until.set_value(until);
        self.follows.set(true);
        element.set_current_time(from.0);
        self.at.set(from);
        if let Ok(started) = element.play() {
            // Refused only where it is stopped again at once.
            spawn_local(async move { drop(JsFuture::from(started).await) });
        }
    }

    /// Stops, and stays where it is.
    pub(super) fn stop(self) {
        if let Some(element) = self.element.get_untracked() {
            // Pausing what does not play does nothing.
            drop(element.pause());
        }
    }

    /// It has begun: the place shown follows until it stops.
    pub(super) fn begun(self) {
        if self.plays.get_untracked() {
            return;
        }
        self.plays.set(true);
        each_frame(move |_| {
            let Some(element) = self.element.try_get_untracked().flatten() else {
                return false;
            };
            let now = Seconds(element.current_time());
            if self.until.get_value().is_some_and(|until| now >= until) {
                drop(element.pause());
            }
            let plays = !element.paused() && !element.ended();
            if !plays {
                self.plays.set(false);
            }
            self.at.set(now);
            plays
        });
    }
}

/// The element that plays; what is seen of it are the bars.
#[component]
pub(super) fn PlayerElement(player: Player) -> impl IntoView {
    let page = Page::here();
    let ear = Ear::here();
    // Two songs at once are one too many.
    Effect::new(move || {
        if page.playing.runs() {
            player.stop();
        }
    });
    view! {
        <audio preload="auto" node_ref=player.element src=move || ear.address.get() on:play=move |_| player.begun()></audio>
    }
}
