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

/// Pieces end anywhere in a text, also within a character.
#[wasm_bindgen_test]
fn a_text_handed_over_in_pieces_is_the_same() {
    use leadbar::platform::pieces::Pieces;
    for text in ["", "b♭7½", &"1 ♭7 𝄪 ½".repeat(3_000)] {
        for step in [1, 7, 8_192, 50_000] {
            let handed = Pieces::of(|to| text.as_bytes().chunks(step).try_for_each(|chunk| to.write_all(chunk)));
            assert_eq!(handed.map(String::from).expect("it is text"), text);
        }
    }
}

/// What is not text is refused rather than kept changed, also where it ends too early.
#[wasm_bindgen_test]
fn what_is_not_text_is_refused() {
    use leadbar::platform::pieces::Pieces;
    for bytes in [&b"7\xff7"[..], b"\xe2\x99", b"\x80"] {
        assert!(Pieces::of(|to| to.write_all(bytes)).is_err(), "{bytes:?}");
    }
}
