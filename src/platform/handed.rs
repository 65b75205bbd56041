//! Files the user hands to the page: chosen, or dropped on it.

use js_sys::Uint8Array;
use wasm_bindgen_futures::JsFuture;
use web_sys::{DragEvent, File, FileList, HtmlInputElement};

/// A file that was handed over, not yet read.
#[derive(Debug, Clone)]
pub struct Handed(File);

impl Handed {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> String {
        self.0.name()
    }

    /// Its size in bytes.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a whole number of bytes
    pub fn size(&self) -> u64 {
        self.0.size() as u64
    }

    /// What is in it; nothing where the device does not give it out (any more).
    pub async fn bytes(&self) -> Vec<u8> {
        let read = JsFuture::from(self.0.array_buffer()).await;
        read.map_or_else(|_| Vec::new(), |buffer| Uint8Array::new(&buffer).to_vec())
    }
}

/// The files chosen in an input.
#[must_use]
pub fn chosen(input: &HtmlInputElement) -> Vec<Handed> {
    all(input.files())
}

/// The files dropped on the page.
#[must_use]
pub fn dropped(event: &DragEvent) -> Vec<Handed> {
    all(event.data_transfer().and_then(|data| data.files()))
}

fn all(files: Option<FileList>) -> Vec<Handed> {
    let list = files.into_iter();
    list.flat_map(|files| (0..files.length()).filter_map(move |i| files.get(i)))
        .map(Handed)
        .collect()
}
