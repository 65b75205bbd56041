//! Drafting: whatever is asked is planned in the worker as soon as the hands rest.

use super::state::Page;
use crate::app::planning::{Answer, Ask};
use crate::platform::worker::Planner;
use crate::solo::Draft;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long the hands must rest.
const REST: Duration = Duration::from_millis(150);

/// What has been drafted.
#[derive(Clone, Copy)]
pub struct Drafting {
    /// The newest draft, with the id of the instrument it is for.
    pub draft: RwSignal<Option<(String, Arc<Draft>)>>,
    /// Whether a newer one is being planned.
    pub working: RwSignal<bool>,
    /// Why there is none, and what to do.
    pub fault: RwSignal<Option<String>>,
}

impl Drafting {
    /// Nothing yet.
    pub(super) fn new() -> Self {
        Self {
            draft: RwSignal::new(None),
            working: RwSignal::new(false),
            fault: RwSignal::new(None),
        }
    }
}

/// Connects the planner to the page.
pub(super) fn connect(page: Page) {
    let Drafting { draft, working, fault } = page.drafting;
    let turn = StoredValue::new(0_u32);
    let instrument_of = StoredValue::new(String::new());
    let on_answer = move |answer| {
        working.set(false);
        match answer {
            Answer::Drafted { draft: drafted, .. } => {
                fault.set(None);
                draft.set(Some((instrument_of.get_value(), Arc::new(drafted))));
            }
            Answer::Refused { words, .. } => {
                draft.set(None);
                fault.set(Some(words));
            }
        }
    };
    let on_fault = move |words: String| {
        working.set(false);
        page.say(words.clone());
        fault.set(Some(words));
    };
    let planner = StoredValue::new_local(Planner::new(on_answer, on_fault));
    let waiting = StoredValue::new(None::<TimeoutHandle>);

    let wish = Memo::new(move |_| {
        let (song, instrument) = (page.song.get()?, page.instrument.get()?);
        let request = page.work.with(|work| work.full_request(&instrument));
        Some((song, instrument, request))
    });
    Effect::new(move |before: Option<()>| {
        let wish = wish.get();
        if let Some(handle) = waiting.get_value() {
            handle.clear();
        }
        let Some((song, instrument, request)) = wish else {
            working.set(false);
            draft.set(None);
            return;
        };
        working.set(true);
        let ask = move || {
            turn.update_value(|turn| *turn = turn.wrapping_add(1));
            instrument_of.set_value(instrument.id.clone());
            planner.with_value(|planner| {
                planner.ask(Ask {
                    turn: turn.get_value(),
                    song: (*song).clone(),
                    instrument: (*instrument).clone(),
                    request: request.clone(),
                });
            });
        };
        // The first visit's solo is wanted at once.
        if before.is_none() {
            ask();
        } else {
            waiting.set_value(set_timeout_with_handle(ask, REST).ok());
        }
    });
}
