//! Small texts kept on the device between visits.

use thiserror::Error;
use web_sys::Storage;

/// Why a text could not be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum StorageError {
    /// The browser keeps nothing for this page (a private window, or switched off).
    #[error("This browser keeps nothing for the page: copy your chart's text somewhere before you leave.")]
    Closed,
    /// There is no room left.
    #[error("There is no room left to keep your work on this device: copy your chart's text somewhere safe.")]
    Full,
}

fn storage() -> Result<Storage, StorageError> {
    let window = web_sys::window().ok_or(StorageError::Closed)?;
    window.local_storage().ok().flatten().ok_or(StorageError::Closed)
}

/// Keeps `text` under `name`.
///
/// # Errors
/// When the browser keeps nothing, or has no room left.
pub fn keep(name: &str, text: &str) -> Result<(), StorageError> {
    storage()?.set_item(name, text).map_err(|_| StorageError::Full)
}

/// What is kept under `name`, if anything can be had.
#[must_use]
pub fn kept(name: &str) -> Option<String> {
    storage().ok()?.get_item(name).ok().flatten()
}
