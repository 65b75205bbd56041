//! A long text for the browser, handed over in pieces.
//!
//! *Invariant:* of a text only one piece stands in the module's memory. That memory is never given back, so a text in
//! one piece would leave behind the room of the longest there ever was, twice over while it grows.

use crate::exchange::json;
use js_sys::{JsString, Uint8Array};
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

/// A value's JSON in UTF-8, as the browser's own bytes.
///
/// # Errors
/// When it has no form in JSON.
pub fn bytes<T: Serialize + ?Sized>(value: &T) -> serde_json::Result<Uint8Array> {
    let mut pieces = Vec::new();
    json::in_pieces(value, &mut |piece| pieces.push(Uint8Array::from(piece.as_bytes())))?;
    let whole = Uint8Array::new_with_length(pieces.iter().map(Uint8Array::length).sum());
    let mut begin = 0;
    for piece in pieces {
        whole.set(&piece, begin);
        begin += piece.length();
    }
    Ok(whole)
}
