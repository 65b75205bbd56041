//! The player's recordings, kept on the device as they were chosen.

use crate::words::Said;
use js_sys::Promise;
use thiserror::Error;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::JsValue;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Cache, Response};

/// The store's name. Whoever tidies the page's caches leaves this one alone.
const STORE: &str = "leadbar-recordings";

/// Why a recording is not kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum KeepError {
    /// The browser keeps nothing, or has no room left.
    NoRoom,
}

impl KeepError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NoRoom => said!(
                "There is no room to keep this recording on the device: it plays until you leave. Its marks are kept; choose the file again next time."
            ),
        }
    }
}

/// Keeps a recording under `key`.
///
/// # Errors
/// When the browser keeps nothing for this page, or has no room left.
pub async fn keep(key: &str, file: &Blob) -> Result<(), KeepError> {
    let refused = |_: JsValue| KeepError::NoRoom;
    let store = store().await.map_err(refused)?;
    let response = Response::new_with_opt_blob(Some(file)).map_err(refused)?;
    JsFuture::from(store.put_with_str(&address(key), &response))
        .await
        .map(|_| ())
        .map_err(refused)
}

/// The recording that is kept under `key`, if it is there.
pub async fn kept(key: &str) -> Option<Blob> {
    let store = store().await.ok()?;
    let found = JsFuture::from(store.match_with_str(&address(key))).await.ok()?;
    let response: Response = found.dyn_into().ok()?;
    JsFuture::from(response.blob().ok()?).await.ok()?.dyn_into().ok()
}

/// Keeps what was found out about a recording.
///
/// # Errors
/// As [`keep`].
pub async fn keep_text(key: &str, text: &str) -> Result<(), KeepError> {
    let pieces = js_sys::Array::of1(&text.into());
    let file = Blob::new_with_str_sequence(&pieces).map_err(|_| KeepError::NoRoom)?;
    keep(key, &file).await
}

/// The text that is kept under `key`, if it is there.
pub async fn kept_text(key: &str) -> Option<String> {
    JsFuture::from(kept(key).await?.text()).await.ok()?.as_string()
}

/// Lets a recording go.
pub async fn let_go(key: &str) {
    if let Ok(store) = store().await {
        // One that is not there is gone already.
        let _ = JsFuture::from(store.delete_with_str(&address(key))).await;
    }
}

/// The keys of all recordings that begin so.
pub async fn names(begin: &str) -> Vec<String> {
    let Ok(store) = store().await else { return Vec::new() };
    let Ok(requests) = JsFuture::from(store.keys()).await else {
        return Vec::new();
    };
    let key = |request: JsValue| {
        let address = js_sys::Reflect::get(&request, &"url".into()).ok()?.as_string()?;
        let (_, written) = address.rsplit_once("/recordings/")?;
        js_sys::decode_uri_component(written).ok().map(String::from)
    };
    let all = requests.unchecked_into::<js_sys::Array>();
    all.iter()
        .filter_map(key)
        .filter(|key| key.starts_with(begin))
        .collect()
}

async fn store() -> Result<Cache, JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let opened: Promise = window.caches()?.open(STORE);
    Ok(JsFuture::from(opened).await?.unchecked_into())
}

fn address(key: &str) -> String {
    format!("./recordings/{}", String::from(js_sys::encode_uri_component(key)))
}
