//! What is proposed for the chosen pass.
//!
//! *Invariant:* what is proposed is heard and drawn, but is no part of the work until it is kept; while a handle is
//! dragged it is drawn only.

use super::Lasting;
use crate::app::by_hand::Setting;
use crate::app::feels;
use crate::app::proposal::Proposal;
use crate::exchange::tab::TabProblem;
use crate::solo::{Move, Offer, Performance};
use crate::steel::Instrument;
use crate::theory::Timeline;
use leptos::prelude::*;
use std::sync::Arc;

/// A stroke in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Hand {
    /// Its move, by its place in the chosen pass.
    pub index: usize,
    /// Which stroke of the move.
    pub stroke: usize,
    /// The move as it has been made so far, step by step; nothing done where empty.
    pub steps: Vec<Move>,
}

/// What is proposed.
#[derive(Clone, Copy)]
pub struct Proposing {
    /// The pass that is proposed.
    pub proposal: Lasting<RwSignal<Option<Arc<Proposal>>>>,
    /// What would mend what a body can't do in it.
    pub mends: Lasting<RwSignal<Vec<Offer>>>,
    /// The stroke in hand.
    pub hand: Lasting<RwSignal<Option<Hand>>>,
    /// The bar that is typed, from 0.
    pub typing: Lasting<RwSignal<Option<usize>>>,
    /// What was not understood of it.
    pub problems: Lasting<RwSignal<Vec<TabProblem>>>,
    /// Whether a handle is being dragged.
    pub dragging: Lasting<RwSignal<bool>>,
    /// How the dragged handle was set, and the move as it was.
    pub(in crate::ui) taken: StoredValue<Option<(Setting, Move)>>,
}

impl Proposing {
    /// Nothing is.
    pub(super) fn new() -> Self {
        Self {
            proposal: Lasting::signal(None),
            mends: Lasting::signal(Vec::new()),
            hand: Lasting::signal(None),
            typing: Lasting::signal(None),
            problems: Lasting::signal(Vec::new()),
            dragging: Lasting::signal(false),
            taken: StoredValue::new(None),
        }
    }

    /// The performance that is proposed.
    pub(in crate::ui) fn performance(
        self,
        song: Option<&Timeline>,
        instrument: Option<&Instrument>,
    ) -> Option<Arc<Performance>> {
        let pass = self.proposal.with(|p| p.as_ref().map(|p| Arc::clone(&p.pass)))?;
        Some(Arc::new(pass.performance(
            instrument?,
            feels::limits(pass.request.level)?,
            song?.tempo,
        )))
    }

    /// Leaves everything as it was.
    pub(in crate::ui) fn leave(self) {
        if self.proposal.with_untracked(Option::is_some) {
            self.proposal.set(None);
        }
        if self.hand.with_untracked(Option::is_some) {
            self.hand.set(None);
        }
        if self.typing.get_untracked().is_some() {
            self.typing.set(None);
        }
        self.problems.set(Vec::new());
        self.dragging.set(false);
        self.taken.set_value(None);
    }
}
