//! A long text for the browser, handed over in pieces.
//!
//! *Invariant:* of a text only one piece stands in the module's memory. That memory is never given back, so a text in
//! one piece would leave behind the room of the longest there ever was, twice over while it grows.

use crate::exchange::json;
use js_sys::JsString;
use serde::Serialize;

/// A value's JSON as the browser's own text.
///
/// # Errors
/// When it has no form in JSON.
pub fn text<T: Serialize + ?Sized>(value: &T) -> serde_json::Result<JsString> {
    let mut text = JsString::from("");
    json::in_pieces(value, &mut |piece| text = text.concat(&JsString::from(piece)))?;
    Ok(text)
}
