//! Drafting: whatever is asked is planned in the worker as soon as the hands rest.

use super::apart;
use super::state::{Drafting, Page};
use crate::app::jobs::{Job, News, Product};
use crate::app::planning::Ask;
use crate::app::{Work, first};
use crate::platform::frames::{pause, rest};
use crate::platform::own;
use crate::platform::worker::Newest;
use crate::solo::Draft;
use crate::ui::language::tell;
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;
use std::time::Duration;

/// How long the hands must rest.
const REST: Duration = Duration::from_millis(150);

/// The passes that come with the page, where they are over this work.
pub(super) async fn come(work: &Work) -> Option<Draft> {
    if !first::is_drafted_over(work) {
        return None;
    }
    let text = own::text(first::DRAFT).await?;
    apart::first_draft(text).await.ok()?
}

/// Connects the planner to the page. The passes that are `at_hand` are not planned anew.
pub(super) fn connect(page: Page, at_hand: Option<Draft>) {
    let Drafting { draft, working, fault } = page.drafting;
    let instrument_of = StoredValue::new(String::new());
    let at_hand = StoredValue::new(at_hand);
    let asked = StoredValue::new(false);
    let on_news = move |news| match news {
        News::Done(Product::Draft(drafted)) => {
            working.set(false);
            fault.set(None);
            draft.set(Some((instrument_of.get_value(), Arc::from(drafted))));
        }
        News::Refused(refused) => {
            working.set(false);
            draft.set(None);
            fault.set(Some(tell(&refused.0)));
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
        if let Some(come) = at_hand.try_update_value(Option::take).flatten() {
            draft.set(Some((instrument.id.clone(), Arc::new(come))));
            return;
        }
        working.set(true);
        let instrument_of_wish = instrument.id.clone();
        let ask = move || {
            instrument_of.set_value(instrument.id.clone());
            let ask = Ask {
                song: (*song).clone(),
                instrument: (*instrument).clone(),
                request: request.clone(),
            };
            planner.with_value(|planner| planner.ask(Job::Plan(Box::new(ask))));
        };
        if before.is_some() {
            asked.set_value(true);
            waiting.set_value(set_timeout_with_handle(ask, REST).ok());
            return;
        }
        let work = page.work.get_untracked();
        spawn_local(async move {
            // It comes with the page, but is not what is looked at: what is goes first.
            if first::is_drafted_over(&work) {
                rest().await;
            }
            let come = come(&work).await;
            // Reading it and drawing by it are a task each.
            pause(0).await;
            // What is asked meanwhile is drafted in its place.
            if asked.try_get_value() != Some(false) {
                return;
            }
            match come {
                Some(come) => {
                    working.set(false);
                    draft.set(Some((instrument_of_wish, Arc::new(come))));
                }
                None => ask(),
            }
        });
    });
}
