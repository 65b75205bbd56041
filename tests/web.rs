//! What only a browser can show: these run in headless Chromium through wasm-bindgen's test runner.
#![cfg(target_arch = "wasm32")]
#![allow(clippy::expect_used, reason = "a test says what it expects")]

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn starting_the_module_mounts_the_view() {
    leadbar::ui::start_page();
    let document = web_sys::window().and_then(|window| window.document()).expect("a page");
    assert!(document.get_element_by_id("page").is_some());
}
