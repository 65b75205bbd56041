//! What nobody waits for: loaded when the first picture is on the screen and the page is at rest, one after the other.

use super::rooms;
use crate::platform::compiled::engine;
use crate::platform::frames::rest;
use leptos::prelude::*;

/// Tells `boot.js` that the page is at rest: what it keeps for offline use no longer holds anything up.
const SETTLED: &str = "leadbar-settled";

/// Loads the other rooms and the engine.
pub(super) async fn settle() {
    rooms::fetch_the_rest().await;
    rest().await;
    // Whoever needs it asks again.
    drop(engine().await);
    rest().await;
    if let Ok(event) = web_sys::Event::new(SETTLED) {
        // Nobody cancels it.
        drop(window().dispatch_event(&event));
    }
}
