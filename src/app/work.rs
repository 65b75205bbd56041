//! The work in hand: the chart, the instrument, what is asked of the solo.

use super::attitudes::Attitudes;
use super::backing_song::BackingSong;
use super::lineage::{Kept, Lineage};
use super::song_id::SongId;
use super::takes::Takes;
use super::tuning::Tuning;
use crate::solo::request::Request;
use crate::steel::instrument::parse;
use crate::steel::{ChangeId, Instrument};
use crate::theory::Timeline;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The player's instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rig {
    /// Id of the instrument in hand: a shipped one, or one of `own`.
    pub instrument: String,
    /// Names of the changes that the player's own one has not got, by instrument id.
    pub lacking: BTreeMap<String, BTreeSet<String>>,
    /// Which way the player's own one is where players have it in different ways: option by choice, by
    /// instrument id.
    #[serde(default)]
    pub ways: BTreeMap<String, BTreeMap<String, String>>,
    /// How it is tuned, by instrument id; equal temperament where nothing is said.
    #[serde(default)]
    pub tunings: BTreeMap<String, Tuning>,
    /// The player's own instruments as files, by id.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub own: BTreeMap<String, Arc<str>>,
}

impl Default for Rig {
    fn default() -> Self {
        Self {
            instrument: "e9".to_owned(),
            lacking: BTreeMap::new(),
            ways: BTreeMap::new(),
            tunings: BTreeMap::new(),
            own: BTreeMap::new(),
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

    /// Takes one way of a choice.
    pub fn set_way(&mut self, choice: &str, option: &str) {
        let ways = self.ways.entry(self.instrument.clone()).or_default();
        ways.insert(choice.to_owned(), option.to_owned());
    }

    /// The player's instrument, or the default one when none is called so or its own file can't be read. A way that
    /// the instrument does not know (any more) is passed over.
    #[must_use]
    pub fn built(&self) -> Option<Instrument> {
        let own = self.own.get(&self.instrument).and_then(|text| parse(text).ok());
        let own = own.map(|own| Instrument {
            id: self.instrument.clone(),
            ..own
        });
        let found = own
            .or_else(|| Instrument::shipped(&self.instrument))
            .or_else(|| Instrument::shipped(&Self::default().instrument))?;
        let ways = self.ways.get(&self.instrument).into_iter().flatten();
        Some(ways.fold(found, |built, (choice, option)| {
            built.with_option(choice, option).unwrap_or(built)
        }))
    }

    /// How `instrument` is tuned.
    #[must_use]
    pub fn tuning(&self, instrument: &Instrument) -> Tuning {
        self.tunings
            .get(&instrument.id)
            .cloned()
            .unwrap_or_else(|| Tuning::equal(instrument))
    }

    /// Tunes the player's instrument.
    pub fn tune(&mut self, tuning: Tuning) {
        self.tunings.insert(self.instrument.clone(), tuning);
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
    /// Which song on the shelf this is. It stays on the device.
    #[serde(skip)]
    pub song: SongId,
    /// The chart as it is written.
    pub chart: Arc<str>,
    /// The instrument.
    pub rig: Rig,
    /// What is asked of the solo. Its `avoided` are the changes not wanted in this solo; those the
    /// instrument has not got stand in the rig.
    pub request: Request,
    /// Passes the player has kept, and how they came of one another.
    #[serde(default)]
    pub kept: Lineage,
    /// The player's own recording of the song.
    #[serde(default)]
    pub recording: Option<Arc<BackingSong>>,
    /// What the player has recorded over the song.
    #[serde(default, skip_serializing_if = "is_empty")]
    pub takes: Arc<Takes>,
    /// The player's own attitudes.
    #[serde(default, skip_serializing_if = "Attitudes::is_empty")]
    pub attitudes: Attitudes,
}

fn is_empty(takes: &Arc<Takes>) -> bool {
    takes.is_empty()
}

impl Work {
    /// A fresh piece of work on a chart.
    #[must_use]
    pub fn on(chart: &str) -> Self {
        Self {
            song: SongId::NONE,
            chart: chart.into(),
            rig: Rig::default(),
            request: Request::default(),
            kept: Lineage::default(),
            recording: None,
            takes: Arc::default(),
            attitudes: Attitudes::default(),
        }
    }

    /// Whether a kept pass was made over the song in hand, `song`: its chart need not be read where it is the same text.
    #[must_use]
    pub fn is_over(&self, kept: &Kept, song: &Timeline) -> bool {
        kept.chart == self.chart || kept.is_over(song)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::Control;

    #[test]
    fn a_players_own_way_is_built_and_an_unknown_one_passed_over() {
        let mut rig = Rig::default();
        rig.set_way("pedals", "cba");
        rig.set_way("colour", "green");
        let built = rig.built().unwrap();
        let c = built.change_named("C").unwrap();
        assert_eq!(built.change(c).unwrap().control, Control::Pedal(1));
    }

    #[test]
    fn an_unknown_instrument_is_the_default_one() {
        let rig = Rig {
            instrument: "harp".to_owned(),
            ..Rig::default()
        };
        assert_eq!(rig.built().unwrap().id, "e9");
    }

    #[test]
    fn what_the_instrument_has_not_got_is_avoided_together_with_what_is_not_wanted() {
        let mut work = Work::on("1");
        let e9 = work.rig.built().unwrap();
        let (a, c) = (e9.change_named("A").unwrap(), e9.change_named("C").unwrap());
        work.rig.set_has("C", false);
        work.request.avoided = vec![a, ChangeId(200), a];
        let mut expected = vec![a, c];
        expected.sort_unstable();
        assert_eq!(work.full_request(&e9).avoided, expected);
        work.rig.set_has("C", true);
        assert!(work.rig.lacking.is_empty());
    }
}
