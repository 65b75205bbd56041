//! The engine's module: fetched and compiled once, then handed to every worker and to the audio thread.
//!
//! *Invariant:* one that could not be had is asked for again the next time.

use super::own;
use js_sys::{Promise, WebAssembly};
use std::cell::RefCell;
use wasm_bindgen::prelude::JsValue;
use wasm_bindgen_futures::{JsFuture, future_to_promise};

/// The engine's file, relative to the page.
const ENGINE: &str = "./engine_bg.wasm";

thread_local! {
    /// The module, or the promise of it.
    static MODULE: RefCell<Option<Promise>> = const { RefCell::new(None) };
}

/// The compiled engine. Asked for early, it is there when it is needed.
///
/// # Errors
/// The browser's own error when the file can't be loaded or compiled.
pub async fn engine() -> Result<JsValue, JsValue> {
    let module = MODULE.with_borrow_mut(|kept| kept.get_or_insert_with(|| future_to_promise(compiled())).clone());
    let outcome = JsFuture::from(module).await;
    if outcome.is_err() {
        MODULE.take();
    }
    outcome
}

async fn compiled() -> Result<JsValue, JsValue> {
    let file = JsValue::from(own::file(ENGINE).await?);
    let streamed = WebAssembly::compile_streaming(&Promise::resolve(&file));
    match JsFuture::from(streamed).await {
        Ok(module) => Ok(module),
        // A host that does not say what kind of file it is can only be read whole.
        Err(_) => {
            let bytes = JsFuture::from(own::file(ENGINE).await?.array_buffer()?).await?;
            JsFuture::from(WebAssembly::compile(&bytes)).await
        }
    }
}
