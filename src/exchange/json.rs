//! JSON as it is written.
//!
//! *Invariant:* whatever the page writes goes through one kind of writer. The code that writes a form is there once for
//! each kind of writer that takes it, and a visit waits for the page's code.

use serde::Serialize;
use std::io::Write;

/// Writes a value down bit by bit.
///
/// # Errors
/// Those of what it is written to, and when a value has no form in JSON: a map by something other than text or numbers.
pub fn write<T: Serialize + ?Sized>(value: &T, to: &mut dyn Write) -> serde_json::Result<()> {
    serde_json::to_writer(to, value)
}

/// A value as UTF-8.
///
/// # Errors
/// When it has no form in JSON.
pub fn bytes<T: Serialize + ?Sized>(value: &T) -> serde_json::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    write(value, &mut bytes)?;
    Ok(bytes)
}

/// Plain data as text: what JSON has a form for. Anything else is an empty text.
#[must_use]
pub fn text<T: Serialize + ?Sized>(value: &T) -> String {
    let bytes = bytes(value).unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn what_is_written_is_what_the_library_writes_in_one() {
        let value = BTreeMap::from([("b7 \"½\"", vec![Some(1.5), None]), ("𝄪", Vec::new())]);
        assert_eq!(text(&value), serde_json::to_string(&value).unwrap());
        assert_eq!(bytes(&value).unwrap(), text(&value).into_bytes());
    }

    #[test]
    fn what_has_no_form_is_refused() {
        let value = BTreeMap::from([(vec![1], 2)]);
        assert!(bytes(&value).is_err());
        assert_eq!(text(&value), "");
    }
}
