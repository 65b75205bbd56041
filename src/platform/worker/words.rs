//! What page and worker write to each other.

use crate::app::jobs::{Posted, Told};
use crate::platform::apart::apart;
use wasm_bindgen::prelude::JsValue;

apart! {
    /// Writes a job down.
    pub(super) fn written(posted: Posted) -> Result<JsValue, JsValue>, in later {
        serde_wasm_bindgen::to_value(&posted).map_err(JsValue::from)
    }

    /// Reads what a worker told.
    pub(super) fn read(told: JsValue) -> Result<Told, JsValue>, in later {
        serde_wasm_bindgen::from_value(told).map_err(JsValue::from)
    }
}
