//! What has been drafted.

use super::Lasting;
use crate::solo::Draft;
use leptos::prelude::*;
use std::sync::Arc;

/// A draft, behind the id of the instrument it is for.
type DraftFor = (String, Arc<Draft>);

/// What has been drafted.
#[derive(Clone, Copy)]
pub struct Drafting {
    /// The newest draft.
    pub draft: Lasting<RwSignal<Option<DraftFor>>>,
    /// Whether a newer one is being planned.
    pub working: Lasting<RwSignal<bool>>,
    /// Why there is none, and what to do.
    pub fault: Lasting<RwSignal<Option<String>>>,
}

impl Drafting {
    /// Nothing yet.
    pub(super) fn new() -> Self {
        Self {
            draft: Lasting::signal(None),
            working: Lasting::signal(false),
            fault: Lasting::signal(None),
        }
    }
}
