//! What has been drafted.

use crate::solo::Draft;
use leptos::prelude::*;
use std::sync::Arc;

/// What has been drafted.
#[derive(Clone, Copy)]
pub struct Drafting {
    /// The newest draft, with the id of the instrument it is for.
    pub draft: RwSignal<Option<(String, Arc<Draft>)>>,
    /// Whether a newer one is being planned.
    pub working: RwSignal<bool>,
    /// Why there is none, and what to do.
    pub fault: RwSignal<Option<String>>,
}

impl Drafting {
    /// Nothing yet.
    pub(super) fn new() -> Self {
        Self {
            draft: RwSignal::new(None),
            working: RwSignal::new(false),
            fault: RwSignal::new(None),
        }
    }
}
