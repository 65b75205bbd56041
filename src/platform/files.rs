//! Files that leave the page, handed to the browser, which puts them where the user keeps what is saved; and files the
//! browser itself plays.

use crate::words::Said;
use thiserror::Error;
use wasm_bindgen::prelude::{JsCast, JsValue};
use web_sys::{Blob, HtmlAnchorElement, Url};

/// How long the browser may take to begin reading a file, in milliseconds.
const TAKEN_BY: i32 = 60_000;

/// Why a file can't be saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub struct SaveError;

impl SaveError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        said!("The browser would not save the file: try again, or allow this page to save files.")
    }
}

/// Saves a file under a name. Call it from a click: browsers hold back what comes of itself.
///
/// # Errors
/// When the browser refuses.
pub fn save(file: &Blob, name: &str) -> Result<(), SaveError> {
    hand_over(file, name).map_err(|error| {
        web_sys::console::warn_2(&"a file was not saved:".into(), &error);
        SaveError
    })
}

/// An address under which the page's own player finds `file`, in the place of the last one, which is let go.
#[must_use]
pub fn address_for(file: Option<&Blob>, last: Option<String>) -> Option<String> {
    if let Some(last) = last {
        // Only an address of another origin could be refused.
        drop(Url::revoke_object_url(&last));
    }
    file.and_then(|file| Url::create_object_url_with_blob(file).ok())
}

fn hand_over(file: &Blob, name: &str) -> Result<(), JsValue> {
    let window = web_sys::window().ok_or("no window")?;
    let document = window.document().ok_or("no document")?;
    let address = Url::create_object_url_with_blob(file)?;
    let link: HtmlAnchorElement = document.create_element("a")?.unchecked_into();
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // The address holds the file in memory: it is given back once the browser has had time to take it.
    let give_back = wasm_bindgen::closure::Closure::once_into_js(move || {
        drop(Url::revoke_object_url(&address));
    });
    window.set_timeout_with_callback_and_timeout_and_arguments_0(give_back.unchecked_ref(), TAKEN_BY)?;
    Ok(())
}
