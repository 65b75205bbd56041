//! The stems that are being written, whatever is looked at meanwhile.

use super::Lasting;
use crate::app::bench::Progress;
use crate::app::delivery::{Delivery, Order};
use crate::platform::worker::Errand;
use leptos::prelude::*;
use std::sync::Arc;
use web_sys::Blob;

/// What was written.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::ui) struct Made {
    pub(in crate::ui) delivery: Delivery,
    /// What it was made of.
    pub(in crate::ui) order: Order,
}

/// How far the writing is.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::ui) enum Stage {
    /// Nothing is being written.
    Resting,
    /// This much is done.
    Going(Progress),
    /// It is all there.
    Done(Arc<Made>),
    /// It came to nothing: why, and what to do.
    Failed(String),
}

/// Delivering, whatever is looked at meanwhile.
#[derive(Clone, Copy)]
pub struct Delivering {
    pub(in crate::ui) stage: Lasting<RwSignal<Stage>>,
    pub(in crate::ui) errand: StoredValue<Option<Errand>, LocalStorage>,
    pub(in crate::ui) file: StoredValue<Option<Blob>, LocalStorage>,
    /// Tells an order from one that was called off.
    pub(in crate::ui) turn: StoredValue<u32>,
}

impl Delivering {
    /// Nothing yet.
    pub(super) fn new() -> Self {
        Self {
            stage: Lasting::signal(Stage::Resting),
            errand: StoredValue::new_local(None),
            file: StoredValue::new_local(None),
            turn: StoredValue::new(0),
        }
    }
}
