//! What only a browser can show: these run in headless Chromium through wasm-bindgen's test runner.
#![cfg(target_arch = "wasm32")]
#![allow(clippy::expect_used, reason = "a test says what it expects")]

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// The view waits until the shelf of songs has been read.
#[wasm_bindgen_test]
async fn starting_the_module_mounts_the_view() {
    leadbar::ui::start_page();
    let document = web_sys::window().and_then(|window| window.document()).expect("a page");
    for _ in 0..200 {
        if document.get_element_by_id("page").is_some() {
            return;
        }
        leadbar::platform::frames::pause(25).await;
    }
    panic!("no view within five seconds");
}

/// A text of many pieces is the browser's as it was written.
#[wasm_bindgen_test]
fn a_long_text_is_handed_over_as_it_is() {
    for times in [0, 1, 3_000] {
        let value = vec!["1 ♭7 \"½\" 𝄪"; times];
        let handed = leadbar::platform::pieces::text(&value).expect("it has a form");
        assert_eq!(String::from(handed), leadbar::exchange::json::text(&value));
    }
}
