//! The passes the player has kept: where each came from, by which one change, and what the player says of it.
//!
//! *Invariant:* a pass never loses its way back: letting one go hands its own changes on to those that came of it. As
//! text, a move that several passes share is written once.

mod story;
mod text;

use super::reading::Reading;
use crate::solo::Pass;
use crate::theory::Timeline;
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The most stars a pass can have.
pub const MOST_STARS: u8 = 3;

/// Names a kept pass as long as the work exists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PassId(pub u32);

/// How a pass came about.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// The planner drafted it.
    #[default]
    Drafted,
    /// One thing was changed in another pass.
    Changed {
        /// The pass it comes from.
        from: PassId,
        /// The change, in English.
        words: String,
        /// The same in any language; missing where an older version kept the pass.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        said: Option<Said>,
    },
}

impl Origin {
    /// The origin of what one change made of a pass.
    #[must_use]
    pub fn changed(from: PassId, said: Said) -> Self {
        Self::Changed {
            from,
            words: said.english(),
            said: Some(said),
        }
    }

    /// The change, where there was one. What is only known in English is looked for as a whole sentence.
    #[must_use]
    pub fn change(&self) -> Option<Said> {
        match self {
            Self::Drafted => None,
            Self::Changed { said: Some(said), .. } => Some(said.clone()),
            Self::Changed { words, said: None, .. } => Some(Said::known(words)),
        }
    }

    /// As it can be believed when it comes from outside: what is said in any language must be what is said in English.
    fn believed(mut self) -> Self {
        if let Self::Changed { words, said, .. } = &mut self {
            said.take_if(|said| !said.says(words));
        }
        self
    }
}

/// A pass the player has kept, with what it was made over.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Its name in the work; given when it is kept.
    pub id: PassId,
    /// The pass.
    pub pass: Pass,
    /// The chart it is for.
    pub chart: Arc<str>,
    /// The id of the instrument it is for.
    pub instrument: String,
    /// How it came about.
    pub origin: Origin,
    /// How well the player likes it, 0..=[`MOST_STARS`].
    pub stars: u8,
    /// What the player wrote about it.
    pub note: String,
}

impl Kept {
    /// A drafted pass over a chart, not yet in any lineage.
    #[must_use]
    pub fn drafted(pass: Pass, chart: Arc<str>, instrument: String) -> Self {
        Self {
            id: PassId::default(),
            pass,
            chart,
            instrument,
            origin: Origin::Drafted,
            stars: 0,
            note: String::new(),
        }
    }

    /// Whether the pass was made over the bars and chords of this song: another tempo or title does not matter.
    #[must_use]
    pub fn is_over(&self, song: &Timeline) -> bool {
        let own = Reading::of(&self.chart).song;
        own.is_some_and(|own| own.spans == song.spans && own.length() == song.length())
    }

    /// Which pass it comes from, and by which change.
    #[must_use]
    pub fn came_from(&self) -> Option<(PassId, &str)> {
        match &self.origin {
            Origin::Drafted => None,
            Origin::Changed { from, words, .. } => Some((*from, words)),
        }
    }
}

/// A pass in the tree, as it is listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Branch {
    /// The pass, by its place among those kept.
    pub index: usize,
    /// How many changes lie between it and the pass it began with.
    pub depth: usize,
    /// The pass it comes from, by its place.
    pub from: Option<usize>,
}

/// The passes kept, in the order they were kept.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(from = "text::Text", into = "text::Text")]
pub struct Lineage {
    passes: Vec<Arc<Kept>>,
    /// The name the next one gets.
    next: PassId,
}

impl PartialEq for Lineage {
    /// Passes are shared between states of the work: those that are the very same need not be looked into.
    fn eq(&self, other: &Self) -> bool {
        let same = |(a, b): (&Arc<Kept>, &Arc<Kept>)| Arc::ptr_eq(a, b) || a == b;
        self.next == other.next
            && self.passes.len() == other.passes.len()
            && self.passes.iter().zip(&other.passes).all(same)
    }
}

impl Lineage {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.passes.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.passes.is_empty()
    }

    /// The pass at a place, from 0.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<&Arc<Kept>> {
        self.passes.get(index)
    }

    /// The passes in the order they were kept.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Arc<Kept>> {
        self.passes.iter()
    }

    /// The place of the pass of this name.
    #[must_use]
    pub fn index_of(&self, id: PassId) -> Option<usize> {
        // Names are given in rising order and never again.
        self.passes.binary_search_by_key(&id, |kept| kept.id).ok()
    }

    /// Reads what was written down, pass by pass: those that can't be read, or that `sound` doubts, are left out and
    /// told by their number, from 0.
    pub(super) fn read(
        written: serde_json::Value,
        sound: impl Fn(&Kept) -> Result<(), Said>,
    ) -> (Self, Vec<(usize, Said)>) {
        text::read(written, sound)
    }

    /// Keeps a pass and names it. It is no child of another unless its origin is one that is kept here.
    pub fn keep(&mut self, kept: Kept) -> PassId {
        let id = self.next;
        self.next = PassId(id.0.saturating_add(1));
        let origin = match kept.origin {
            Origin::Changed { from, .. } if self.index_of(from).is_none() => Origin::Drafted,
            known => known,
        };
        self.passes.push(Arc::new(Kept { id, origin, ..kept }));
        id
    }

    /// Keeps what one change made of the pass named `from`. Nothing when that one is not kept.
    pub fn derive(&mut self, from: PassId, pass: Pass, change: Said) -> Option<PassId> {
        let parent = self.get(self.index_of(from)?)?;
        let child = Kept {
            origin: Origin::changed(from, change),
            ..Kept::drafted(pass, Arc::clone(&parent.chart), parent.instrument.clone())
        };
        Some(self.keep(child))
    }

    /// Lets the pass at a place go. Those that came of it then come from its own parent, by both changes.
    pub fn let_go(&mut self, index: usize) {
        if index >= self.passes.len() {
            return;
        }
        let gone = self.passes.remove(index);
        for kept in &mut self.passes {
            let mine = kept.came_from().is_some_and(|(from, _)| from == gone.id);
            let Some(change) = kept.origin.change().filter(|_| mine) else {
                continue;
            };
            let origin = match gone.came_from().zip(gone.origin.change()) {
                None => Origin::Drafted,
                Some(((from, _), before)) => Origin::changed(from, Said::joined([before, change], "; ")),
            };
            Arc::make_mut(kept).origin = origin;
        }
    }

    /// Changes what is said of a pass, or which of its moves are locked.
    pub(super) fn amend(&mut self, id: PassId, amend: impl FnOnce(&mut Kept)) {
        let kept = self.index_of(id).and_then(|index| self.passes.get_mut(index));
        if let Some(kept) = kept {
            let mut amended = (**kept).clone();
            amend(&mut amended);
            if amended != **kept {
                *kept = Arc::new(amended);
            }
        }
    }

    /// The whole tree from the top, each pass followed by those that came of it, the oldest first.
    #[must_use]
    pub fn tree(&self) -> Vec<Branch> {
        let parents: Vec<Option<usize>> = self
            .passes
            .iter()
            .map(|kept| kept.came_from().and_then(|(from, _)| self.index_of(from)))
            .collect();
        let mut children: Vec<Vec<usize>> = vec![Vec::new(); self.passes.len()];
        for (index, parent) in parents.iter().enumerate() {
            if let Some(of) = parent.and_then(|p| children.get_mut(p)) {
                of.push(index);
            }
        }
        let roots = (0..parents.len()).filter(|i| parents.get(*i).copied().flatten().is_none());
        let mut open: Vec<Branch> = roots
            .map(|index| Branch {
                index,
                depth: 0,
                from: None,
            })
            .collect();
        open.reverse();
        let mut listed = Vec::with_capacity(self.passes.len());
        while let Some(branch) = open.pop() {
            listed.push(branch);
            let own = children.get(branch.index).into_iter().flatten().rev();
            open.extend(own.map(|index| Branch {
                index: *index,
                depth: branch.depth + 1,
                from: Some(branch.index),
            }));
        }
        listed
    }

    /// How the pass at a place came about: the places of its forebears, the first draft first, itself last.
    #[must_use]
    pub fn way_to(&self, index: usize) -> Vec<usize> {
        let mut way = Vec::new();
        let mut here = (index < self.passes.len()).then_some(index);
        while let Some(index) = here.filter(|_| way.len() <= self.passes.len()) {
            way.push(index);
            let from = self.passes.get(index).and_then(|kept| kept.came_from());
            here = from.and_then(|(from, _)| self.index_of(from));
        }
        way.reverse();
        way
    }
}

#[cfg(test)]
mod tests;
