//! A newer build of the page that waits.

use super::state::Page;
use leptos::ev::Custom;
use leptos::prelude::*;

/// The events that `offline.js` and the page exchange.
const NEWER: &str = "leadbar-newer";
const TAKE: &str = "leadbar-take-newer";
const OTHERS: &str = "leadbar-others";

/// A newer build of the page is there: it is offered, and taken only when asked for.
#[component]
pub(super) fn Newer() -> impl IntoView {
    let page = Page::here();
    let root = || document().document_element();
    let waits = RwSignal::new(root().is_some_and(|root| root.has_attribute("data-newer")));
    let newer = window_event_listener(Custom::<web_sys::Event>::new(NEWER), move |_| waits.set(true));
    let others = window_event_listener(Custom::<web_sys::Event>::new(OTHERS), move |_| {
        page.say(say!(
            "Leadbar is open in another tab too: close that one first, then load the new version here."
        ));
    });
    on_cleanup(move || {
        newer.remove();
        others.remove();
    });
    let take = move |_| {
        if let Ok(event) = web_sys::Event::new(TAKE) {
            // Nobody cancels it.
            drop(window().dispatch_event(&event));
        }
    };
    view! {
        <div role="status">
            <Show when=move || waits.get()>
                <div class="notice">
                    <p>{say!("There is a newer Leadbar.")}</p>
                    <button type="button" class="do" on:click=take>{say!("Load it")}</button>
                    <button type="button" class="do" on:click=move |_| waits.set(false)>{say!("Later")}</button>
                </div>
            </Show>
        </div>
    }
}
