//! A long text for the browser, handed over in pieces.
//!
//! *Invariant:* of a text only one piece stands in the module's memory. That memory is never given back, so a text in
//! one piece would leave behind the room of the longest there ever was, twice over while it grows.

use js_sys::JsString;
use std::io::{self, Write};

/// How much of a text is handed over at once, in bytes.
const PIECE: usize = 8 * 1024;

/// Gathers what is written to it as the browser's own text.
#[derive(Debug)]
pub struct Pieces {
    text: JsString,
    waiting: Vec<u8>,
}

impl Default for Pieces {
    fn default() -> Self {
        Self {
            text: JsString::from(""),
            waiting: Vec::with_capacity(PIECE),
        }
    }
}

impl Pieces {
    /// What `write` writes.
    ///
    /// # Errors
    /// The writer's own, and when what it writes is not UTF-8.
    pub fn of(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<JsString> {
        let mut pieces = Self::default();
        write(&mut pieces)?;
        pieces.flush()?;
        // A character that was begun and not ended.
        if !pieces.waiting.is_empty() {
            return Err(io::ErrorKind::InvalidData.into());
        }
        Ok(pieces.text)
    }
}

impl Write for Pieces {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.waiting.len() == PIECE {
            self.flush()?;
        }
        let taken = bytes.len().min(PIECE - self.waiting.len());
        self.waiting.extend_from_slice(&bytes[..taken]);
        Ok(taken)
    }

    /// Hands over what waits, but for the begin of a character whose end is still to come.
    fn flush(&mut self) -> io::Result<()> {
        let whole = match str::from_utf8(&self.waiting) {
            Ok(text) => text,
            Err(error) if error.error_len().is_some() => return Err(io::ErrorKind::InvalidData.into()),
            Err(_) => self.waiting.utf8_chunks().next().map_or("", |chunk| chunk.valid()),
        };
        self.text = self.text.concat(&JsString::from(whole));
        let handed = whole.len();
        self.waiting.drain(..handed);
        Ok(())
    }
}
