//! Drafting: whatever is asked is planned in the worker as soon as the hands rest.

use super::state::Page;
use crate::app::jobs::{Job, News, Product};
use crate::app::planning::Ask;
use crate::platform::worker::Newest;
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
    let instrument_of = StoredValue::new(String::new());
    let on_news = move |news| match news {
        News::Done(Product::Draft(drafted)) => {
            working.set(false);
            fault.set(None);
            draft.set(Some((instrument_of.get_value(), Arc::from(drafted))));
        }
        News::Refused(refused) => {
            working.set(false);
            draft.set(None);
            fault.set(Some(refused.to_string()));
        }
        News::Going(_) | News::Done(_) => {}
    };
    let on_fault = move || {
        let words = say!("The planner stopped and has been set up again. Press Draft to try once more.").to_owned();
        working.set(false);
        page.say(words.clone());
        fault.set(Some(words));
    };
    let planner = StoredValue::new_local(Newest::new(on_news, on_fault));
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
            instrument_of.set_value(instrument.id.clone());
            let ask = Ask {
                song: (*song).clone(),
                instrument: (*instrument).clone(),
                request: request.clone(),
            };
            planner.with_value(|planner| planner.ask(Job::Plan(Box::new(ask))));
        };
        // The first visit's solo is wanted at once.
        if before.is_none() {
            ask();
        } else {
            waiting.set_value(set_timeout_with_handle(ask, REST).ok());
        }
    });
}
