//! Files that a user gives to the page.

use crate::words::Said;
use thiserror::Error;
use wasm_bindgen_futures::JsFuture;
use web_sys::File;
use web_sys::js_sys::Uint8Array;

/// Why a given file can't be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum GivenError {
    /// It is larger than was asked for.
    TooLarge,
    /// The browser can't read it (any more).
    Unreadable,
}

impl GivenError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLarge => said!("This file is too large to be one of the page's."),
            Self::Unreadable => said!("The browser could not read the file: it may have moved. Choose it again."),
        }
    }
}

/// The bytes of a file of at most `most` bytes.
///
/// # Errors
/// When it is larger, or the browser can't read it.
pub async fn bytes(file: &File, most: usize) -> Result<Vec<u8>, GivenError> {
    #[allow(clippy::cast_precision_loss)] // a limit of some megabytes
    if file.size() > most as f64 {
        return Err(GivenError::TooLarge);
    }
    let buffer = JsFuture::from(file.array_buffer())
        .await
        .map_err(|_| GivenError::Unreadable)?;
    Ok(Uint8Array::new(&buffer).to_vec())
}
