//! The engine's module: fetched and compiled once, away from the page, then handed to every worker and to the audio
//! thread.
//!
//! *Invariant:* one that could not be had is asked for again the next time.

use super::own;
use js_sys::{Function, Promise, WebAssembly};
use std::cell::RefCell;
use wasm_bindgen::prelude::{Closure, JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, future_to_promise};
use web_sys::{MessageEvent, Worker};

/// The engine's file, relative to the page.
const ENGINE: &str = "./engine_bg.wasm";

/// The script that compiles it, which knows where it lies; relative to the page.
const SCRIPT: &str = "./compile.js";

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
    match compiled_apart().await {
        Ok(module) if module.is_instance_of::<WebAssembly::Module>() => Ok(module),
        // A browser that hands no module over; a host that does not say what kind of file it is.
        _ => compiled_here().await,
    }
}

/// What a worker makes of it: the file comes in hundreds of pieces, and each would take a moment of the page's.
async fn compiled_apart() -> Result<JsValue, JsValue> {
    let worker = Worker::new(SCRIPT)?;
    let told = Promise::new(&mut |done: Function, failed: Function| {
        let tell = Closure::once_into_js(move |event: MessageEvent| {
            // Nothing in it can fail.
            drop(done.call1(&JsValue::UNDEFINED, &event.data()));
        });
        worker.set_onmessage(Some(tell.unchecked_ref()));
        worker.set_onerror(Some(&failed));
        // What comes back from a worker may be of a kind that can't be read here.
        worker.set_onmessageerror(Some(&failed));
    });
    let module = JsFuture::from(told).await;
    worker.terminate();
    module
}

async fn compiled_here() -> Result<JsValue, JsValue> {
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
