//! The page's own files.

use wasm_bindgen::prelude::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Response;

/// The file at `path`, relative to the page.
///
/// # Errors
/// The browser's own error when it can't be loaded.
pub(super) async fn file(path: &str) -> Result<Response, JsValue> {
    let window = web_sys::window().ok_or_else(|| JsValue::from_str("there is no page"))?;
    let response: Response = JsFuture::from(window.fetch_with_str(path)).await?.unchecked_into();
    if response.ok() {
        Ok(response)
    } else {
        Err(js_sys::Error::new(&format!("{path} could not be loaded: check the connection")).into())
    }
}

/// The text of the file at `path`, relative to the page; nothing if it can't be loaded.
pub async fn text(path: &str) -> Option<String> {
    let text = file(path).await.ok()?.text().ok()?;
    JsFuture::from(text).await.ok()?.as_string()
}
