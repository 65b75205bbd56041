//! JSON as it is written.
//!
//! *Invariant:* whatever the page writes goes to one kind of sink, and that never refuses. The code that writes a form is
//! there once for each kind of sink, with a way out wherever one may refuse; and a visit waits for the page's code.

use serde::Serialize;
use std::io::{self, Write};

/// How long a piece gets before it is handed on, in bytes. What is a single text in the value stays in one.
const PIECE: usize = 8 * 1024;

/// What JSON is written to: hands on what it has whenever a piece of a length is full.
struct Sink<'a> {
    waiting: Vec<u8>,
    length: usize,
    hand_on: &'a mut dyn FnMut(&str),
}

impl Sink<'_> {
    // Once for all: inlined it would stand at every comma.
    #[inline(never)]
    fn take(&mut self, bytes: &[u8]) {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= self.length {
            self.pass_on();
        }
    }

    /// Hands on what waits, but for the begin of a character whose end is still to come.
    fn pass_on(&mut self) {
        let piece = self.waiting.utf8_chunks().next().map_or("", |chunk| chunk.valid());
        (self.hand_on)(piece);
        let handed = piece.len();
        self.waiting.drain(..handed);
    }
}

impl Write for Sink<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.take(bytes);
        Ok(bytes.len())
    }

    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.take(bytes);
        Ok(())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Hands a value on as text, piece by piece, so that a long one never stands whole in memory.
///
/// # Errors
/// When it has no form in JSON: a map by something other than text or numbers.
pub fn in_pieces<T: Serialize + ?Sized>(value: &T, hand_on: &mut dyn FnMut(&str)) -> serde_json::Result<()> {
    pieces_of(PIECE, value, hand_on)
}

fn pieces_of<T: Serialize + ?Sized>(length: usize, value: &T, hand_on: &mut dyn FnMut(&str)) -> serde_json::Result<()> {
    let mut sink = Sink {
        waiting: Vec::with_capacity(length),
        length,
        hand_on,
    };
    serde_json::to_writer(&mut sink, value)?;
    sink.pass_on();
    Ok(())
}

/// A value as UTF-8.
///
/// # Errors
/// As [`in_pieces`] has them.
pub fn bytes<T: Serialize + ?Sized>(value: &T) -> serde_json::Result<Vec<u8>> {
    let mut sink = Sink {
        waiting: Vec::new(),
        length: usize::MAX,
        hand_on: &mut |_| (),
    };
    serde_json::to_writer(&mut sink, value)?;
    Ok(sink.waiting)
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

    fn value() -> BTreeMap<&'static str, Vec<Option<f64>>> {
        BTreeMap::from([("b7 \"½\"\n", vec![Some(1.5), None]), ("𝄪♭", vec![Some(-0.25); 9])])
    }

    #[test]
    fn what_is_written_is_what_the_library_writes() {
        assert_eq!(text(&value()), serde_json::to_string(&value()).unwrap());
        assert_eq!(bytes(&value()).unwrap(), text(&value()).into_bytes());
    }

    #[test]
    fn pieces_are_the_whole_together_and_as_long_as_they_may_be() {
        for length in [1, 2, 3, 7, 50, 5_000] {
            let mut pieces = Vec::new();
            pieces_of(length, &value(), &mut |piece| pieces.push(piece.to_owned())).unwrap();
            assert_eq!(pieces.concat(), text(&value()));
            // The longest text in the value.
            let most = length + 16;
            assert!(pieces.iter().all(|piece| piece.len() <= most), "{length}: {pieces:?}");
        }
    }

    #[test]
    fn a_piece_that_ends_within_a_character_waits_for_its_end() {
        let mut pieces = Vec::new();
        let mut sink = Sink {
            waiting: Vec::new(),
            length: 1,
            hand_on: &mut |piece| pieces.push(piece.to_owned()),
        };
        "½♭".bytes().for_each(|byte| sink.take(&[byte]));
        assert_eq!(pieces.concat(), "½♭");
    }

    #[test]
    fn what_has_no_form_is_refused() {
        let value = BTreeMap::from([(vec![1], 2)]);
        assert!(bytes(&value).is_err());
        assert!(in_pieces(&value, &mut |_| ()).is_err());
        assert_eq!(text(&value), "");
    }
}
