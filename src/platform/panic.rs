//! What is told when the program breaks: the console has it in full, and the page is shown calm words in its place.

use wasm_bindgen::prelude::JsValue;
use web_sys::{CustomEvent, CustomEventInit};

/// The event that `trouble.js` waits for.
const EVENT: &str = "leadbar-panic";

/// From now on panics are told. In a worker or a worklet, where there is no page, the console alone is told: the page
/// that started it learns of the break by itself.
pub fn tell_panics() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        let Some(window) = web_sys::window() else { return };
        let said = CustomEventInit::new();
        said.set_detail(&JsValue::from_str(&info.to_string()));
        if let Ok(event) = CustomEvent::new_with_event_init_dict(EVENT, &said) {
            // Nobody cancels it.
            drop(window.dispatch_event(&event));
        }
    }));
}
