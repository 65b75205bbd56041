//! The work in hand: the chart, the instrument, what is asked of the solo.

use super::history::Weighed;
use crate::solo::request::Request;
use crate::steel::{ChangeId, Instrument};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The player's instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rig {
    /// Id of the shipped instrument.
    pub instrument: String,
    /// Names of the changes that the player's own one has not got, by instrument id.
    pub lacking: BTreeMap<String, BTreeSet<String>>,
}

impl Default for Rig {
    fn default() -> Self {
        Self {
            instrument: "e9".to_owned(),
            lacking: BTreeMap::new(),
        }
    }
}

impl Rig {
    /// Whether the player's instrument has the change called `name`.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.lacking
            .get(&self.instrument)
            .is_none_or(|lacking| !lacking.contains(name))
    }

    /// Marks the change called `name` as there or not.
    pub fn set_has(&mut self, name: &str, has: bool) {
        let lacking = self.lacking.entry(self.instrument.clone()).or_default();
        if has {
            lacking.remove(name);
        } else {
            lacking.insert(name.to_owned());
        }
        self.lacking.retain(|_, names| !names.is_empty());
    }

    /// The changes of `instrument` that are not there.
    #[must_use]
    pub fn missing(&self, instrument: &Instrument) -> Vec<ChangeId> {
        instrument
            .change_ids()
            .zip(&instrument.changes)
            .filter(|(_, change)| !self.has(&change.name))
            .map(|(id, _)| id)
            .collect()
    }
}

/// Everything that undo goes back over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Work {
    /// The chart as it is written.
    pub chart: Arc<str>,
    /// The instrument.
    pub rig: Rig,
    /// What is asked of the solo. Its `avoided` are the changes not wanted in this solo; those the
    /// instrument has not got stand in the rig.
    pub request: Request,
}

impl Work {
    /// A fresh piece of work on a chart.
    #[must_use]
    pub fn on(chart: &str) -> Self {
        Self {
            chart: chart.into(),
            rig: Rig::default(),
            request: Request::default(),
        }
    }

    /// The request as the planner is to read it: what the instrument has not got is avoided too.
    #[must_use]
    pub fn full_request(&self, instrument: &Instrument) -> Request {
        let mut request = self.request.clone();
        request.avoided.extend(self.rig.missing(instrument));
        request.avoided.retain(|id| id.index() < instrument.changes.len());
        request.avoided.sort_unstable();
        request.avoided.dedup();
        request
    }
}

impl Weighed for Work {
    fn weight(&self) -> usize {
        let names: usize = self.rig.lacking.values().flatten().map(String::len).sum();
        size_of::<Self>() + self.chart.len() + names + self.request.avoided.len()
    }
}
