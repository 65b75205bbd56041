//! Where an instrument is altered or built anew.
//!
//! *Invariant:* what leaves here can be read back from its own file; a shipped instrument is copied, never changed.
//!
//! | file | what it is |
//! |---|---|
//! | `edit` | one alteration, and why it may be refused |
//! | `given` | an instrument that goes from one player to another by itself |
//! | `worth` | what an instrument can do for a song, beside another; the one change that would help most |

mod controls;
mod edit;
mod given;
mod worth;

pub use controls::controls;
pub use edit::{Edit, EditError, with_idea};
pub use given::{Given, MOST_INSTRUMENT, SharedInstrument, is_instrument, read as read_instrument};
pub use worth::{AskWhatIf, ChordWorth, Idea, Worth, what_if};

use super::lineage::Lineage;
use super::work::Rig;
use crate::steel::Instrument;
use std::sync::Arc;

/// How the id of a player's own instrument begins.
const OWN: &str = "own-";

/// Whether an instrument is the player's own, going by its id.
#[must_use]
pub fn is_own(id: &str) -> bool {
    id.starts_with(OWN)
}

impl Rig {
    /// Takes an altered instrument in hand. One that was shipped becomes the player's own; an own one stays the same
    /// instrument, unless passes are kept that were made on it and would not be found on the new one (`moved`: its
    /// strings or changes have other numbers).
    pub fn alter(&mut self, mut altered: Instrument, moved: bool, kept: &Lineage) {
        let before = self.instrument.clone();
        let needed = moved && kept.iter().any(|pass| pass.instrument == before);
        if !is_own(&before) || needed {
            self.instrument = self.free_id();
            if !is_own(&before) {
                altered.name = format!("My {}", altered.name);
            }
            if let Some(lacking) = self.lacking.get(&before).cloned() {
                self.lacking.insert(self.instrument.clone(), lacking);
            }
        }
        altered.id.clone_from(&self.instrument);
        if let Some(tuning) = self.tunings.get(&before).cloned() {
            self.tune(tuning.found(&altered, &[]));
        }
        self.own.insert(self.instrument.clone(), Arc::from(altered.text()));
    }

    /// Takes an instrument from a file in hand, beside those that are there.
    pub fn add(&mut self, mut given: Instrument) {
        self.instrument = self.free_id();
        given.id.clone_from(&self.instrument);
        given.choices.clear();
        self.own.insert(self.instrument.clone(), Arc::from(given.text()));
    }

    /// Lets the player's own instrument in hand go; nothing happens with a shipped one in hand.
    pub fn discard(&mut self) {
        let id = std::mem::take(&mut self.instrument);
        if self.own.remove(&id).is_none() {
            self.instrument = id;
            return;
        }
        self.lacking.remove(&id);
        self.ways.remove(&id);
        self.tunings.remove(&id);
        self.instrument = Self::default().instrument;
    }

    /// Name and id of the player's own instruments.
    pub fn own_names(&self) -> impl Iterator<Item = (String, String)> + '_ {
        self.own.iter().map(|(id, text)| {
            let name = crate::steel::instrument::parse(text).map(|own| own.name);
            (id.clone(), name.unwrap_or_else(|_| format!("{id} (can't be read)")))
        })
    }

    fn free_id(&self) -> String {
        let mut ids = (1_u32..).map(|n| format!("{OWN}{n}"));
        ids.find(|id| !self.own.contains_key(id)).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::{Kept, Work};
    use crate::solo::Pass;

    fn altered(rig: &Rig, edit: &Edit) -> Instrument {
        edit.applied(&rig.built().unwrap()).unwrap()
    }

    #[test]
    fn a_shipped_instrument_is_copied_once_with_what_it_has_not_got_and_how_it_is_tuned() {
        let mut rig = Rig::default();
        rig.set_has("C", false);
        rig.set_way("pedals", "cba");
        let kept = Lineage::default();
        let frets = Edit::Frets(22);
        rig.alter(altered(&rig, &frets), frets.moves(), &kept);
        assert!(is_own(&rig.instrument) && !rig.has("C"));
        let built = rig.built().unwrap();
        assert_eq!((built.frets, built.changes[2].control.to_string().as_str()), (22, "P1"));
        let id = rig.instrument.clone();
        let longer = Edit::Scale(crate::steel::Millimetres(630.0));
        rig.alter(altered(&rig, &longer), longer.moves(), &kept);
        assert_eq!((rig.instrument.clone(), rig.own.len()), (id, 1));
        assert_eq!(rig.built().unwrap().frets, 22);
        assert_eq!(Instrument::shipped("e9").unwrap().frets, 24);
    }

    #[test]
    fn passes_kept_on_an_instrument_keep_it_as_it_was() {
        let mut work = Work::on("key G; 1");
        let frets = Edit::Frets(22);
        work.rig.alter(altered(&work.rig, &frets), frets.moves(), &work.kept);
        let on = work.rig.instrument.clone();
        let pass = Pass {
            moves: Vec::new(),
            request: crate::solo::Request::default(),
            length: crate::theory::Beats(4.0),
        };
        work.kept.keep(Kept::drafted(pass, "1".into(), on.clone()));
        let gone = Edit::RemoveString(crate::steel::StringNumber::FIRST);
        assert!(gone.moves());
        work.rig.alter(altered(&work.rig, &gone), gone.moves(), &work.kept);
        assert_ne!(work.rig.instrument, on);
        assert_eq!(work.rig.built().unwrap().strings.len(), 9);
        work.rig.instrument = on;
        assert_eq!(work.rig.built().unwrap().strings.len(), 10);
    }

    #[test]
    fn an_own_one_is_let_go_and_a_shipped_one_is_not() {
        let mut rig = Rig::default();
        rig.discard();
        assert_eq!(rig, Rig::default());
        rig.add(Instrument::shipped("c6").unwrap());
        assert_eq!(rig.own_names().count(), 1);
        rig.discard();
        assert_eq!(rig, Rig::default());
    }

    #[test]
    fn a_text_that_can_not_be_read_is_kept_and_the_default_one_played() {
        let mut rig = Rig {
            instrument: "own-1".to_owned(),
            ..Rig::default()
        };
        rig.own.insert("own-1".to_owned(), Arc::from("name = 3"));
        assert_eq!(rig.built().unwrap().id, "e9");
        assert_eq!(rig.own_names().next().unwrap().1, "own-1 (can't be read)");
    }
}
