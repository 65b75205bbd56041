//! Why nothing is heard, and the way out.

use crate::words::Said;
use js_sys::Reflect;
use thiserror::Error;
use wasm_bindgen::prelude::JsValue;

/// Why there is no microphone, or no longer.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum MicError {
    /// The browser gives this page none at all.
    Missing,
    /// The user or the device said no.
    Refused,
    /// None is plugged in.
    None,
    /// Something else holds it.
    Busy,
    /// It was unplugged, or taken away while it was heard.
    Gone,
    /// Its rate and the sound's can't be brought together.
    WrongRate,
    /// Anything else, in the browser's own words.
    Other(String),
}

impl MicError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Missing => said!(
                "This page can't use a microphone here. Open it in a current browser, at an address that begins with https."
            ),
            Self::Refused => said!(
                "The browser was not allowed to use the microphone. Allow it beside the page's address or in the device's settings for this browser, then try again."
            ),
            Self::None => said!("No microphone was found. Plug one in, then try again."),
            Self::Busy => said!("Another program holds the microphone. Close it there, then try again."),
            Self::Gone => said!("The microphone is gone. Plug it in again or choose another one, then try again."),
            Self::WrongRate => said!(
                "The microphone and the loudspeaker run at different rates, and this browser can't bring them together. Set both to 48000 Hz in the device's sound settings, or use the device's own microphone, then try again."
            ),
            Self::Other(what) => said!(
                "The microphone did not start: {what}. Try again, or load the page anew.",
                what
            ),
        }
    }
}

impl MicError {
    /// What the browser's refusal means (W3C, Media Capture and Streams, `getUserMedia`).
    pub(super) fn of(error: &JsValue) -> Self {
        let text = |key: &str| Reflect::get(error, &key.into()).ok().and_then(|v| v.as_string());
        match text("name").as_deref() {
            Some("NotAllowedError" | "SecurityError") => Self::Refused,
            Some("NotFoundError" | "OverconstrainedError") => Self::None,
            Some("NotReadableError" | "AbortError") => Self::Busy,
            Some("NotSupportedError") => Self::WrongRate,
            _ => Self::Other(text("message").unwrap_or_else(|| "no reason was given".to_owned())),
        }
    }
}

/// What the browser tells of the microphone, where it bears on what can be heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct MicFacts {
    /// The browser cleans the sound for speech although it was asked not to.
    pub cleaned: bool,
    /// The microphone hears no further than a telephone: a wireless headset's usually.
    pub narrow: bool,
}

impl MicFacts {
    /// What to tell the player; empty when all is well.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self { narrow: true, .. } => {
                key!(
                    "This microphone hears like a telephone, as wireless headsets do: use the device's own, or a wired one."
                )
            }
            Self { cleaned: true, .. } => {
                key!(
                    "This browser cleans the microphone for speech: ringing strings fade early. Another browser may hear them whole."
                )
            }
            _ => "",
        }
    }
}
