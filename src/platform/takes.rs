//! The sound of the player's takes, kept on the device in chunks as it comes.
//!
//! *Invariant:* what was recorded can be read from the moment it was given here. What the device has no room for stays in
//! the browser's memory until the page is left, and that is told.

use super::recordings;
use crate::app::takes::{Begun, CHUNK, frames_of, unpack};
use crate::words::Said;
use js_sys::{Array, ArrayBuffer, Uint8Array};
use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;
use thiserror::Error;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::Blob;

/// What every take's key begins with.
const MARK: &str = "take-";
/// What a take in the making has beside its chunks: what is known of it, and the chunk that is not full yet, by its
/// number.
const BEGUN: &str = "begun";
const REST: &str = "rest-";
/// Bytes of a sample.
const BYTES: u64 = 3;
/// A take younger than this is never cleared away: another tab may just be recording it. In milliseconds.
const YOUNG: u64 = 24 * 60 * 60 * 1000;

/// Why a take's sound is not kept, or not to be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum VaultError {
    /// The browser keeps nothing, or has no room left.
    NoRoom,
    /// It was recorded on another device, or the browser has cleared it away.
    Missing,
}

impl VaultError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NoRoom => said!(
                "There is no room on this device for this take: it is here until you leave the page. Save it as a file now."
            ),
            Self::Missing => said!("The sound of this take is not on this device."),
        }
    }
}

/// The takes' sound.
#[derive(Debug, Default)]
pub struct Vault {
    /// Chunks that are not on the device (yet), and handles of those that were asked for.
    open: RefCell<HashMap<String, Blob>>,
}

impl Vault {
    /// A key for a new take.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0..2^32
    pub fn fresh_key() -> String {
        let chance = (js_sys::Math::random() * f64::from(u32::MAX)) as u32;
        format!("{MARK}{:x}-{chance:x}", super::moment::instant().0)
    }

    /// Keeps the next chunk of a take, counted from 0.
    ///
    /// # Errors
    /// When there is no room: then it stays in memory.
    pub async fn keep(&self, key: &str, chunk: u64, bytes: &[u8]) -> Result<(), VaultError> {
        let name = name(key, chunk);
        let piece = Array::of1(&Uint8Array::from(bytes));
        let blob = Blob::new_with_u8_array_sequence(&piece).map_err(|_| VaultError::NoRoom)?;
        self.open.borrow_mut().insert(name.clone(), blob.clone());
        recordings::keep(&name, &blob).await.map_err(|_| VaultError::NoRoom)?;
        self.open.borrow_mut().remove(&name);
        Ok(())
    }

    /// Keeps what there is of a take in the making, so that it is not lost with the page: what is known of it, and the
    /// chunk that is not full yet, which will be the one of that number. Where there is no room, it is lost with the page.
    pub async fn keep_begun(&self, key: &str, begun: &Begun, chunk: u64, rest: &[u8]) {
        let piece = Array::of1(&Uint8Array::from(rest));
        let Ok(blob) = Blob::new_with_u8_array_sequence(&piece) else {
            return;
        };
        // The chunk itself tells when there is no room.
        let kept = recordings::keep(&format!("{key}/{REST}{chunk}"), &blob).await;
        if kept.is_ok() {
            let _ = recordings::keep_text(&format!("{key}/{BEGUN}"), &begun.text()).await;
        }
        if let Some(full) = chunk.checked_sub(1) {
            recordings::let_go(&format!("{key}/{REST}{full}")).await;
        }
    }

    /// Some samples of a take; fewer where it ends before.
    ///
    /// # Errors
    /// When they are not on this device.
    pub async fn samples(&self, key: &str, frames: Range<u64>) -> Result<Vec<f32>, VaultError> {
        let mut out = Vec::new();
        let mut at = frames.start;
        while at < frames.end {
            let chunk = at / CHUNK;
            let first = chunk * CHUNK;
            let end = frames.end.min(first + CHUNK);
            let blob = self.chunk(key, chunk).await?;
            out.extend(read(&blob, at - first..end - first).await.ok_or(VaultError::Missing)?);
            at = end;
        }
        Ok(out)
    }

    /// Whether a take's sound can be had.
    pub async fn has(&self, key: &str) -> bool {
        self.chunk(key, 0).await.is_ok()
    }

    async fn chunk(&self, key: &str, chunk: u64) -> Result<Blob, VaultError> {
        let name = name(key, chunk);
        if let Some(blob) = self.open.borrow().get(&name) {
            return Ok(blob.clone());
        }
        let blob = recordings::kept(&name).await.ok_or(VaultError::Missing)?;
        self.open.borrow_mut().insert(name, blob.clone());
        Ok(blob)
    }
}

/// The keys of all takes on the device that are not young.
pub async fn old_keys() -> Vec<String> {
    let now = super::moment::instant().0;
    let is_old = |key: &String| {
        let written = key.strip_prefix(MARK).and_then(|rest| rest.split('-').next());
        written.is_some_and(|hex| u64::from_str_radix(hex, 16).is_ok_and(|then| then + YOUNG < now))
    };
    let names = recordings::names(MARK).await;
    let mut keys: Vec<String> = names
        .iter()
        .filter_map(|name| name.split('/').next())
        .map(str::to_owned)
        .filter(is_old)
        .collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Clears the sound of these takes away.
pub async fn clear(keys: &[String]) {
    for name in recordings::names(MARK).await {
        if name.split('/').next().is_some_and(|key| keys.iter().any(|k| k == key)) {
            recordings::let_go(&name).await;
        }
    }
}

/// The keys of the takes in the making: those that this or another tab records now, and those whose page was left.
pub async fn begun_keys() -> Vec<String> {
    let names = recordings::names(MARK).await;
    let end = format!("/{BEGUN}");
    names
        .iter()
        .filter_map(|name| name.strip_suffix(&end))
        .map(str::to_owned)
        .collect()
}

/// What is known of a take in the making.
pub async fn begun(key: &str) -> Option<Begun> {
    Begun::read(&recordings::kept_text(&format!("{key}/{BEGUN}")).await?)
}

/// Makes a take whole whose page was left: how many samples there are of it.
pub async fn end_begun(key: &str) -> u64 {
    let names = recordings::names(&format!("{key}/")).await;
    let has = |wanted: &str| names.iter().any(|name| name == wanted);
    let mut chunks = 0;
    while has(&name(key, chunks)) {
        chunks += 1;
    }
    let rest = format!("{key}/{REST}{chunks}");
    let Some(blob) = recordings::kept(&rest).await else {
        return frames_of(chunks, 0);
    };
    match recordings::keep(&name(key, chunks), &blob).await {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a blob's size is a whole number
        Ok(()) => frames_of(chunks, blob.size() as u64),
        Err(_) => frames_of(chunks, 0),
    }
}

/// Forgets that a take was in the making: it is among its song's takes now, or nothing of it is wanted.
pub async fn forget_begun(key: &str) {
    for name in recordings::names(&format!("{key}/")).await {
        let beside = name.rsplit_once('/').map_or("", |(_, beside)| beside);
        if beside == BEGUN || beside.starts_with(REST) {
            recordings::let_go(&name).await;
        }
    }
}

fn name(key: &str, chunk: u64) -> String {
    format!("{key}/{chunk}")
}

#[allow(clippy::cast_precision_loss)] // places in a chunk
async fn read(blob: &Blob, frames: Range<u64>) -> Option<Vec<f32>> {
    let [from, to] = [frames.start, frames.end].map(|frame| (frame * BYTES) as f64);
    let part = blob.slice_with_f64_and_f64(from, to).ok()?;
    let bytes: ArrayBuffer = JsFuture::from(part.array_buffer()).await.ok()?.unchecked_into();
    Some(unpack(&Uint8Array::new(&bytes).to_vec()))
}
