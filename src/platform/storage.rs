//! Small texts kept on the device between visits.

use crate::words::Said;
use js_sys::JsString;
use thiserror::Error;
use wasm_bindgen::prelude::{JsCast, JsValue, wasm_bindgen};
use web_sys::Storage;

#[wasm_bindgen]
extern "C" {
    /// The storage as what takes a text that is the browser's own.
    type Drawer;

    /// WHATWG, HTML Standard, `Storage`.
    #[wasm_bindgen(method, catch, js_name = setItem)]
    fn put(this: &Drawer, name: &str, text: &JsString) -> Result<(), JsValue>;
}

/// Why a text could not be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum StorageError {
    /// The browser keeps nothing for this page (a private window, or switched off).
    Closed,
    /// There is no room left.
    Full,
}

impl StorageError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Closed => {
                said!("This browser keeps nothing for the page: copy your chart's text somewhere before you leave.")
            }
            Self::Full => {
                said!("There is no room left to keep your work on this device: copy your chart's text somewhere safe.")
            }
        }
    }
}

fn storage() -> Result<Storage, StorageError> {
    let window = web_sys::window().ok_or(StorageError::Closed)?;
    window.local_storage().ok().flatten().ok_or(StorageError::Closed)
}

/// Keeps `text` under `name`.
///
/// # Errors
/// When the browser keeps nothing, or has no room left.
pub fn keep(name: &str, text: &str) -> Result<(), StorageError> {
    storage()?.set_item(name, text).map_err(|_| StorageError::Full)
}

/// Keeps a text that is the browser's own under `name`.
///
/// # Errors
/// When the browser keeps nothing, or has no room left.
pub fn keep_long(name: &str, text: &JsString) -> Result<(), StorageError> {
    let drawer: Drawer = storage()?.unchecked_into();
    drawer.put(name, text).map_err(|_| StorageError::Full)
}

/// What is kept under `name`, if anything can be had.
#[must_use]
pub fn kept(name: &str) -> Option<String> {
    storage().ok()?.get_item(name).ok().flatten()
}

/// Lets go of what is kept under `name`.
pub fn forget(name: &str) {
    if let Ok(storage) = storage() {
        // A name that is not there is no fault.
        drop(storage.remove_item(name));
    }
}

/// The names that begin with `prefix`.
#[must_use]
pub fn names(prefix: &str) -> Vec<String> {
    let Ok(storage) = storage() else { return Vec::new() };
    let count = storage.length().unwrap_or_default();
    (0..count)
        .filter_map(|index| storage.key(index).ok().flatten())
        .filter(|name| name.starts_with(prefix))
        .collect()
}

/// Keeps a word for this tab alone, also over a reload.
pub fn note_for_tab(name: &str, text: &str) {
    if let Some(tab) = tab() {
        // Without it a reload opens what was open last in any tab.
        drop(tab.set_item(name, text));
    }
}

/// What is kept under `name` for this tab.
#[must_use]
pub fn noted_for_tab(name: &str) -> Option<String> {
    tab()?.get_item(name).ok().flatten()
}

fn tab() -> Option<Storage> {
    web_sys::window()?.session_storage().ok().flatten()
}

/// Asks the browser not to clear what is kept when room is short elsewhere.
pub fn ask_to_stay() {
    if let Some(window) = web_sys::window() {
        // A browser that says no keeps it as long as it can.
        drop(window.navigator().storage().persist());
    }
}
