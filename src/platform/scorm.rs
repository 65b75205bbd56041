//! The functions that a learning platform's page offers to what it runs: SCORM 1.2, "The SCORM Run-Time Environment",
//! section 3.3. They are called at once and answer at once; nothing is sent by this page itself.
//!
//! *Invariant:* nothing is called before it began or after it has ended, and a window that may not be looked into is
//! passed over.

use crate::words::Said;
use js_sys::{Array, Function, Reflect};
use thiserror::Error;
use wasm_bindgen::prelude::{JsCast, JsValue};
use web_sys::Window;

/// What the platform's object is called.
const API: &str = "API";
/// How many windows above this one are looked into (section 3.3.6.1).
const MOST_PARENTS: usize = 7;
/// The platform does not keep this: many elements are its choice.
const NOT_IMPLEMENTED: &str = "401";

/// Why the platform did not take something.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum PlatformError {
    /// It would not begin.
    NotBegun(String),
    /// It would not take a value.
    NotTaken {
        /// The element of the data model.
        element: String,
        /// Its error.
        code: String,
    },
    /// It would not write down what it took.
    NotWritten(String),
}

impl PlatformError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NotBegun(what) => said!(
                "your learning platform did not begin (its error {what}): close this and open it again from there",
                what
            ),
            Self::NotTaken { element, code } => said!(
                "your learning platform did not take {element} (its error {code}): tell your teacher",
                element,
                code
            ),
            Self::NotWritten(what) => said!(
                "your learning platform did not write down what you did (its error {what}): don't leave yet, and try again",
                what
            ),
        }
    }
}

/// A learning platform that listens. Dropped, it is told that this has ended.
#[derive(Debug)]
pub struct Platform {
    api: JsValue,
    /// Whether there is nothing to call any more.
    ended: bool,
}

impl Platform {
    /// The platform that runs this page, if one does: looked for in the windows above, then in the one that opened this.
    ///
    /// # Errors
    /// When there is one and it does not begin.
    pub fn begin() -> Result<Option<Self>, PlatformError> {
        let Some(api) = web_sys::window().and_then(|window| {
            let opener = window.opener().ok().and_then(|o| o.dyn_into::<Window>().ok());
            above(window).or_else(|| above(opener?))
        }) else {
            return Ok(None);
        };
        let mut platform = Self { api, ended: false };
        if platform.call("LMSInitialize", &[""]) {
            Ok(Some(platform))
        } else {
            let code = platform.last_error();
            // What did not begin is not to be ended.
            platform.ended = true;
            Err(PlatformError::NotBegun(code))
        }
    }

    /// The value of an element; empty where the platform has none.
    #[must_use]
    pub fn value(&self, element: &str) -> String {
        let value = self.ask("LMSGetValue", &[element]);
        value.and_then(|v| v.as_string()).unwrap_or_default()
    }

    /// Sets an element. One that the platform does not keep is no fault.
    ///
    /// # Errors
    /// When the platform refuses it.
    pub fn set(&self, element: &str, value: &str) -> Result<(), PlatformError> {
        if self.call("LMSSetValue", &[element, value]) {
            return Ok(());
        }
        match self.last_error() {
            code if code == NOT_IMPLEMENTED => Ok(()),
            code => Err(PlatformError::NotTaken {
                element: element.to_owned(),
                code,
            }),
        }
    }

    /// Has everything that was set written down.
    ///
    /// # Errors
    /// When the platform refuses.
    pub fn commit(&self) -> Result<(), PlatformError> {
        if self.call("LMSCommit", &[""]) {
            Ok(())
        } else {
            Err(PlatformError::NotWritten(self.last_error()))
        }
    }

    fn last_error(&self) -> String {
        let code = self.ask("LMSGetLastError", &[]);
        code.and_then(|c| c.as_string().or_else(|| c.as_f64().map(|n| n.to_string())))
            .unwrap_or_default()
    }

    /// Whether a function answered that all is well; platforms do it by a word or by a value.
    fn call(&self, name: &str, given: &[&str]) -> bool {
        self.ask(name, given).is_some_and(|answer| {
            answer
                .as_bool()
                .unwrap_or_else(|| answer.as_string().as_deref() == Some("true"))
        })
    }

    fn ask(&self, name: &str, given: &[&str]) -> Option<JsValue> {
        if self.ended {
            return None;
        }
        let function = Reflect::get(&self.api, &name.into())
            .ok()?
            .dyn_into::<Function>()
            .ok()?;
        let given: Array = given.iter().map(|text| JsValue::from_str(text)).collect();
        function.apply(&self.api, &given).ok()
    }
}

impl Drop for Platform {
    fn drop(&mut self) {
        self.call("LMSFinish", &[""]);
    }
}

/// The platform's object in this window or one above it.
fn above(mut window: Window) -> Option<JsValue> {
    for _ in 0..=MOST_PARENTS {
        // Another site's window throws when it is looked into.
        let found = Reflect::get(&window, &API.into()).ok();
        if let Some(api) = found.filter(|api| api.is_object()) {
            return Some(api);
        }
        let parent = window.parent().ok().flatten()?;
        if parent == window {
            return None;
        }
        window = parent;
    }
    None
}
