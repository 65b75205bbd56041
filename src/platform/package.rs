//! A package for learning platforms, made of the page's own files; and what a package that runs says it holds.
//!
//! *Invariant:* what is packed is what this page is made of: nothing comes from anywhere else.

use super::deflate::{blob_of, bytes_of, deflated_file};
use super::frames;
use super::moment;
use super::own;
use crate::exchange::parcel::{Bytes, Parcel, ParcelError};
use crate::teach::scorm::{CONTENT, Content, ENTRY, Manifest, PackageError, entry_page, listed};
use crate::words::Said;
use js_sys::{Array, Uint8Array};
use thiserror::Error;
use web_sys::Blob;

/// The list of the page's files, made when it is built: one a line.
const LIST: &str = "files.txt";
/// How many bytes are summed up at a time, so that the page goes on meanwhile.
const SUMMED: usize = 1 << 20;

/// Why there is no package.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MakeError {
    /// One of the page's files did not come.
    NotLoaded(String),
    /// The browser has no room.
    NoRoom,
    /// What is to be packed can't be.
    Package(#[from] PackageError),
    /// The archive can't be.
    Parcel(#[from] ParcelError),
}

impl MakeError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NotLoaded(file) => said!("{file} could not be loaded: check the connection, then try again", file),
            Self::NoRoom => {
                said!("the browser has no room left for the package: close other pages, then try again")
            }
            Self::Package(error) => error.said(),
            Self::Parcel(error) => error.said(),
        }
    }
}

/// What this page holds, if it runs out of a package: the word of its entry page.
#[must_use]
pub fn content() -> Option<String> {
    let document = web_sys::window()?.document()?;
    let line = document.query_selector(&format!("meta[name='{CONTENT}']")).ok()??;
    line.get_attribute("content")
}

/// Makes a package of this page with `content` in it.
///
/// # Errors
/// When one of the page's files is not to be had, or the content is too long.
pub async fn make(content: &Content) -> Result<Blob, MakeError> {
    let list = text(&load(LIST).await?).await.ok_or(PackageError::NoList)?;
    let mut files = listed(&list)?;
    files.retain(|file| file != LIST);
    let mut parcel = Parcel::new(moment::now());
    let pieces = Array::new();
    let manifest = Manifest {
        id: &content.id(),
        title: &content.title(),
        files: &files,
    };
    add(&mut parcel, &pieces, Manifest::NAME, &written(&manifest.text())?).await?;
    for file in &files {
        let mut blob = load(file).await?;
        if file == ENTRY {
            let page = text(&blob).await.ok_or(PackageError::NoHead)?;
            blob = written(&entry_page(&page, content)?)?;
        }
        add(&mut parcel, &pieces, file, &blob).await?;
    }
    pieces.push(&Uint8Array::from(parcel.close().as_slice()));
    Blob::new_with_blob_sequence(&pieces).map_err(|_| MakeError::NoRoom)
}

/// Adds a file to the archive, deflated where the browser can do that.
async fn add(parcel: &mut Parcel, pieces: &Array, path: &str, file: &Blob) -> Result<(), MakeError> {
    let bytes = bytes_of(file)
        .await
        .ok_or_else(|| MakeError::NotLoaded(path.to_owned()))?;
    let deflated = deflated_file(file).await.filter(|d| d.size() < file.size());
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a whole number of bytes
    let known = Bytes {
        size: bytes.len() as u64,
        deflated: deflated.as_ref().map(|d| d.size() as u64),
        checksum: checksum(&bytes).await,
    };
    pieces.push(&Uint8Array::from(parcel.add_at(path, known)?.as_slice()));
    pieces.push(deflated.as_ref().unwrap_or(file));
    Ok(())
}

async fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = crc32fast::Hasher::new();
    for piece in bytes.chunks(SUMMED) {
        sum.update(piece);
        if bytes.len() > SUMMED {
            frames::pause(0).await;
        }
    }
    sum.finalize()
}

async fn load(path: &str) -> Result<Blob, MakeError> {
    let failed = || MakeError::NotLoaded(path.to_owned());
    let response = own::file(&format!("./{path}")).await.map_err(|_| failed())?;
    blob_of(&response).await.ok_or_else(failed)
}

async fn text(file: &Blob) -> Option<String> {
    String::from_utf8(bytes_of(file).await?).ok()
}

fn written(text: &str) -> Result<Blob, MakeError> {
    Blob::new_with_str_sequence(&Array::of1(&text.into())).map_err(|_| MakeError::NoRoom)
}
