//! A pass that has been made of another one by a single change, looked at and heard before it is kept.
//!
//! *Invariant:* nothing of it is in the work until it is kept; what a body can't do in it is told with it.

use super::bench::Refused;
use super::by_hand;
use super::feels;
use super::revising::{self, reviser};
use crate::solo::{Breach, Change, Move, Offer, Pass};
use crate::steel::Instrument;
use crate::theory::{Beats, Timeline};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::Arc;

/// A pass that is proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The pass as it would be.
    pub pass: Arc<Pass>,
    /// The change, as the lineage will tell it.
    pub words: Said,
    /// Where it lies.
    pub around: Range<Beats>,
    /// What a body can't do there, and could before.
    pub breaches: Vec<Breach>,
}

impl Proposal {
    /// What `change` makes of a pass; `words` without the bar. Nothing when the shipped limits can't be read.
    #[must_use]
    pub fn of(pass: &Pass, change: &Change, words: Said, song: &Timeline, instrument: &Instrument) -> Option<Self> {
        let breaches = reviser(song, instrument, &pass.request, |reviser| {
            reviser.breaches_of(pass, change)
        })?;
        let around = revising::stretch(pass, change);
        let bar = song.bar_index_at(around.start + Beats(1e-6)).map_or(1, |b| b + 1);
        Some(Self {
            pass: Arc::new(change.made_in(pass)),
            words: said!("Bar {bar}: {words}", bar, words),
            around,
            breaches,
        })
    }

    /// A pass as it is, for a breach of its own to be mended.
    #[must_use]
    pub fn to_mend(pass: &Arc<Pass>, breach: &Breach, song: &Timeline) -> Self {
        let bar = song.bar_index_at(breach.at + Beats(1e-6)).map_or(1, |b| b + 1);
        let index = pass.moves.partition_point(|m| m.at <= breach.at + Beats(1e-6));
        let end = pass.moves.get(index).map_or(pass.length, |m| m.at);
        let start = index.checked_sub(1).and_then(|i| pass.moves.get(i));
        Self {
            pass: Arc::clone(pass),
            words: said!("Bar {bar}: what no body can play", bar),
            around: start.map_or(Beats::ZERO, |m| m.at)..end,
            breaches: vec![breach.clone()],
        }
    }

    /// A move as a hand has made it. Nothing when it is as it was, or can't stand there.
    #[must_use]
    pub fn by_hand(pass: &Pass, index: usize, action: &Move, song: &Timeline, instrument: &Instrument) -> Option<Self> {
        let own = pass.moves.get(index).filter(|own| own.as_ref() != action)?;
        let words = by_hand::difference(own, action, song);
        let words = said!("{name} by hand, {words}", name = Said::within(own.kind.name()), words);
        let change = Change::by_hand(pass, index, action.clone())?;
        Self::of(pass, &change, words, song, instrument)
    }

    /// This one with a change more, which mends it. `was` is the pass it was made of.
    #[must_use]
    pub fn mended(&self, was: &Pass, offer: &Offer, song: &Timeline, instrument: &Instrument) -> Option<Self> {
        let pass = offer.made_in(&self.pass);
        let moved = revising::stretch(&self.pass, &offer.change);
        let breaches = reviser(song, instrument, &pass.request, |reviser| {
            let all = Change {
                from: 0,
                count: was.moves.len(),
                moves: pass.moves.clone(),
            };
            reviser.breaches_of(was, &all)
        })?;
        Some(Self {
            pass: Arc::new(pass),
            words: said!(
                "{words}; to make it playable: {mend}",
                words = &self.words,
                mend = &offer.words
            ),
            around: self.around.start.min(moved.start)..self.around.end.max(moved.end),
            breaches,
        })
    }
}

/// A question to the reviser: what would end this breach?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskMends {
    /// The song.
    pub song: Timeline,
    /// The instrument.
    pub instrument: Instrument,
    /// The pass with the breach in it.
    pub pass: Pass,
    /// The breach.
    pub breach: Breach,
    /// The most answers wanted.
    pub most: usize,
}

/// Single changes that end a breach.
///
/// # Errors
/// When the shipped attitudes or limits can't be read.
pub fn mends(ask: &AskMends) -> Result<Vec<Offer>, Refused> {
    let found = reviser(&ask.song, &ask.instrument, &ask.pass.request, |reviser| {
        reviser.mends(&ask.pass, &ask.breach, ask.most)
    });
    found.ok_or_else(feels::unread)
}
