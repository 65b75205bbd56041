//! The move that is being changed, what is offered instead, and what is tried.
//!
//! *Invariant:* what is tried is heard and drawn, but is no part of the work until it is kept.

use super::Lasting;
use crate::app::{Shown, feels};
use crate::solo::{Offer, Performance};
use crate::steel::Instrument;
use crate::theory::Timeline;
use leptos::prelude::*;
use std::sync::Arc;

/// What is being changed.
#[derive(Clone, Copy)]
pub struct Changing {
    /// The move that is looked at, by its place in the chosen pass.
    pub index: Lasting<RwSignal<Option<usize>>>,
    /// What is offered for it.
    pub offers: Lasting<RwSignal<Vec<Offer>>>,
    /// Whether the offers are being worked out.
    pub working: Lasting<RwSignal<bool>>,
    /// Whether more were asked for.
    pub all: Lasting<RwSignal<bool>>,
    /// Why there are none.
    pub fault: Lasting<RwSignal<Option<String>>>,
    /// The offer that is tried, by its place.
    pub tried: Lasting<RwSignal<Option<usize>>>,
}

impl Changing {
    /// Nothing is.
    pub(super) fn new() -> Self {
        Self {
            index: Lasting::signal(None),
            offers: Lasting::signal(Vec::new()),
            working: Lasting::signal(false),
            all: Lasting::signal(false),
            fault: Lasting::signal(None),
            tried: Lasting::signal(None),
        }
    }

    /// The performance that is tried, made in the chosen pass.
    pub(in crate::ui) fn performance(
        self,
        chosen: Option<&Shown>,
        song: Option<&Timeline>,
        instrument: Option<&Instrument>,
    ) -> Option<Arc<Performance>> {
        let index = self.tried.get()?;
        let pass = self
            .offers
            .with(|offers| Some(offers.get(index)?.made_in(&chosen?.pass)))?;
        let limits = feels::limits(pass.request.level)?;
        Some(Arc::new(pass.performance(instrument?, limits, song?.tempo)))
    }

    /// Opens the menu of a move, or turns to another one.
    pub(in crate::ui) fn open(self, index: usize) {
        if self.index.get_untracked() != Some(index) {
            self.tried.set(None);
            self.offers.set(Vec::new());
            self.all.set(false);
            self.index.set(Some(index));
        }
    }

    /// Leaves everything as it was.
    pub(in crate::ui) fn leave(self) {
        if self.index.get_untracked().is_some() {
            self.tried.set(None);
            self.index.set(None);
            self.offers.set(Vec::new());
        }
    }
}
