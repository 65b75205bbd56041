//! Files the user hands to the page: chosen, or dropped on it.

use js_sys::{Array, Promise, Uint8Array};
use std::future::Future;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    DragEvent, File, FileList, FileSystemDirectoryEntry, FileSystemDirectoryReader, FileSystemEntry,
    FileSystemFileEntry, HtmlInputElement,
};

/// Files taken from dropped folders at most: more than any class hands in.
const MOST: usize = 2000;

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

/// The files dropped on the page, and those in the folders dropped on it, however deep. Call it from the drop itself:
/// what is dropped is given out only then, what is in it comes later.
pub fn dropped_whole(event: &DragEvent) -> impl Future<Output = Vec<Handed>> + use<> {
    let plain = dropped(event);
    let items = event.data_transfer().map(|data| data.items());
    let items = items
        .iter()
        .flat_map(|list| (0..list.length()).filter_map(|i| list.get(i)));
    let entries: Vec<FileSystemEntry> = items.filter_map(|item| item.webkit_get_as_entry().ok()?).collect();
    async move {
        // A browser that knows no entries still gives its files.
        if entries.iter().any(FileSystemEntry::is_directory) {
            unfolded(entries).await
        } else {
            plain
        }
    }
}

/// The files of some entries, folder after folder; what the device does not give out is left out.
async fn unfolded(mut left: Vec<FileSystemEntry>) -> Vec<Handed> {
    let mut files = Vec::new();
    left.reverse();
    while let Some(entry) = left.pop().filter(|_| files.len() < MOST) {
        if entry.is_directory() {
            let reader = entry.unchecked_into::<FileSystemDirectoryEntry>().create_reader();
            let mut inside = listed(&reader).await;
            inside.reverse();
            left.extend(inside);
        } else {
            let entry: FileSystemFileEntry = entry.unchecked_into();
            let file = Promise::new(&mut |give, fail| entry.file_with_callback_and_callback(&give, &fail));
            files.extend(
                JsFuture::from(file)
                    .await
                    .ok()
                    .map(|file| Handed(file.unchecked_into())),
            );
        }
    }
    files
}

/// All entries of a folder: browsers give some at a time, and none when there are no more.
async fn listed(reader: &FileSystemDirectoryReader) -> Vec<FileSystemEntry> {
    let mut entries = Vec::new();
    while entries.len() < MOST {
        let next = Promise::new(&mut |give, fail| {
            // Refused at once is refused.
            if let Err(refused) = reader.read_entries_with_callback_and_callback(&give, &fail) {
                drop(fail.call1(&refused, &refused));
            }
        });
        let Ok(next) = JsFuture::from(next).await else { break };
        let next: Array = next.unchecked_into();
        if next.length() == 0 {
            break;
        }
        entries.extend(next.iter().map(|entry| entry.unchecked_into::<FileSystemEntry>()));
    }
    entries
}

fn all(files: Option<FileList>) -> Vec<Handed> {
    let list = files.into_iter();
    list.flat_map(|files| (0..files.length()).filter_map(move |i| files.get(i)))
        .map(Handed)
        .collect()
}
