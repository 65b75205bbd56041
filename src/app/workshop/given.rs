//! An instrument that goes from one player to another by itself: as a file or in a link.
//!
//! *Invariant:* whatever comes, the rig stays as it is until the player has been told what it is and has taken it.

use crate::app::Command;
use crate::app::work::Rig;
use crate::exchange::link::{Kind, Linked};
use crate::steel::instrument::{Control, Fault, InstrumentError, parse, shipped};
use crate::steel::{ChangeId, Instrument};
use crate::words::Said;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The largest file of an instrument, in bytes: some fifty times the largest of those that are shipped.
pub const MOST_INSTRUMENT: usize = 256 * 1024;

/// How many faults of a file are told: the first ones often bring the others with them.
const FAULTS_TOLD: usize = 3;

/// An instrument as a link carries it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SharedInstrument {
    /// Its file.
    pub instrument: Arc<str>,
}

impl SharedInstrument {
    /// The instrument in hand.
    #[must_use]
    pub fn of(rig: &Rig) -> Option<Self> {
        let instrument = rig.alone()?.text().into();
        Some(Self { instrument })
    }
}

impl Linked for SharedInstrument {
    const KIND: Kind = Kind::Instrument;

    fn check(&self) -> Result<(), Said> {
        read(&self.instrument).map(drop)
    }
}

/// Whether a text is meant as the file of an instrument: charts and projects have no line like that.
#[must_use]
pub fn is_instrument(text: &str) -> bool {
    text.lines().any(|line| line.trim() == "[[strings]]")
}

/// Reads the file of an instrument.
///
/// # Errors
/// What is wrong with it and what to write instead, by line; of many faults the first few.
pub fn read(text: &str) -> Result<Instrument, Said> {
    if text.len() > MOST_INSTRUMENT {
        return Err(said!("this is longer than any instrument's file"));
    }
    parse(text).map_err(|error| first_faults(&error))
}

fn first_faults(error: &InstrumentError) -> Said {
    let told = Said::joined(error.faults().iter().take(FAULTS_TOLD).map(Fault::said), "; ");
    match error.faults().len().saturating_sub(FAULTS_TOLD) {
        0 => told,
        more => said!("{told}; and {more} more", told, more),
    }
}

/// An instrument that is offered to the player, and what the rig has like it.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// The instrument.
    pub instrument: Instrument,
    /// The id of the same one where the rig has it already.
    here: Option<String>,
}

impl Given {
    /// An instrument beside a rig.
    #[must_use]
    pub fn of(instrument: Instrument, rig: &Rig) -> Self {
        let own = rig
            .own
            .iter()
            .filter_map(|(id, text)| Some((id.clone(), parse(text).ok()?)));
        let stock = shipped::ids().filter_map(|id| Some((id.to_owned(), Instrument::shipped(id)?)));
        let here = own
            .chain(stock)
            .find(|(_, known)| is_same(known, &instrument))
            .map(|(id, _)| id);
        Self { instrument, here }
    }

    /// Whether the rig has the same one already.
    #[must_use]
    pub fn is_here(&self) -> bool {
        self.here.is_some()
    }

    /// What it is, in a line.
    #[must_use]
    pub fn told(&self) -> Said {
        let Instrument {
            name,
            strings,
            changes,
            scale_length,
            ..
        } = &self.instrument;
        let pedals = changes
            .iter()
            .filter(|c| matches!(c.control, Control::Pedal(_)))
            .count();
        let works = match (pedals, changes.len() - pedals) {
            (0, 0) => said!("no pedals or levers"),
            (pedals, 0) => said!(pedals => "{n} pedal", "{n} pedals"),
            (0, levers) => said!(levers => "{n} lever", "{n} levers"),
            (pedals, levers) => said!(
                "{several} and {last}",
                several = said!(pedals => "{n} pedal", "{n} pedals"),
                last = said!(levers => "{n} lever", "{n} levers")
            ),
        };
        let notes: Vec<String> = strings.iter().map(|s| s.pitch.to_string()).collect();
        said!(
            "{name}: {strings} ({notes}), {works}, {length} mm from nut to bridge.",
            name = Said::known(name),
            strings = said!(strings.len() => "{n} string", "{n} strings"),
            notes = Said::notes(notes.join(" ")),
            works,
            length = scale_length.0
        )
    }

    /// What taking it does.
    #[must_use]
    pub fn taken(self) -> Command {
        match self.here {
            Some(id) => Command::ChooseInstrument(id),
            None => Command::AddInstrument(Box::new(self.instrument)),
        }
    }
}

/// Whether two are the same to a player: called alike and built alike.
fn is_same(known: &Instrument, given: &Instrument) -> bool {
    let plain = |instrument: &Instrument| Instrument {
        id: String::new(),
        choices: Vec::new(),
        ..instrument.clone()
    };
    plain(known) == plain(given)
}

impl Rig {
    /// The instrument in hand by itself: as it is built, without what the player's own one has not got.
    #[must_use]
    pub fn alone(&self) -> Option<Instrument> {
        let mut instrument = self.built()?;
        let missing: Vec<ChangeId> = self.missing(&instrument);
        instrument.choices.clear();
        let mut ids = instrument.change_ids().collect::<Vec<_>>().into_iter();
        instrument
            .changes
            .retain(|_| ids.next().is_none_or(|id| !missing.contains(&id)));
        Some(instrument)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::link::{self, LinkError, MOST_CHARACTERS};
    use proptest::prelude::*;

    fn rig(id: &str) -> Rig {
        Rig {
            instrument: id.to_owned(),
            ..Rig::default()
        }
    }

    #[test]
    fn every_shipped_instrument_fits_a_link_that_mails_carry_and_comes_back_as_it_is() {
        for id in shipped::ids() {
            let shared = SharedInstrument::of(&rig(id)).unwrap();
            let text = link::write(&shared).unwrap();
            assert!(text.len() < link::LONG_CHARACTERS, "{id}: {}", text.len());
            let opened: SharedInstrument = link::read(&text).unwrap();
            assert_eq!(read(&opened.instrument), Ok(rig(id).alone().unwrap()), "{id}");
        }
    }

    #[test]
    fn what_the_players_own_has_not_got_is_not_sent() {
        let mut rig = rig("e9");
        rig.set_has("C", false);
        let sent = read(&SharedInstrument::of(&rig).unwrap().instrument).unwrap();
        let whole = rig.built().unwrap();
        assert_eq!(sent.change_named("C"), None);
        assert_eq!(sent.changes.len() + 1, whole.changes.len());
    }

    #[test]
    fn taking_one_leaves_every_other_as_it_was_and_the_same_one_is_not_taken_twice() {
        let mut rig = rig("e9");
        rig.add(Instrument::shipped("c6").unwrap());
        let before = rig.own.clone();
        let mut given = Instrument::shipped("e9").unwrap();
        given.name = "Attic find".to_owned();
        given.choices.clear();
        let first = Given::of(given.clone(), &rig);
        assert!(!first.is_here());
        let Command::AddInstrument(taken) = first.taken() else {
            panic!("not added")
        };
        rig.add(*taken);
        assert!(before.iter().all(|(id, text)| rig.own.get(id) == Some(text)));
        assert_eq!(rig.own.len(), before.len() + 1);
        let again = Given::of(given, &rig);
        assert!(again.is_here());
        assert_eq!(again.taken(), Command::ChooseInstrument(rig.instrument.clone()));
    }

    #[test]
    fn it_is_told_in_a_line_what_came() {
        let told = |id: &str| {
            let given = Given::of(Instrument::shipped(id).unwrap(), &Rig::default());
            given.told().english()
        };
        assert_eq!(
            told("c6-lap-6"),
            format!(
                "{}: 6 strings (E4 C4 A3 G3 E3 C3), no pedals or levers, {} mm from nut to bridge.",
                Instrument::shipped("c6-lap-6").unwrap().name,
                Instrument::shipped("c6-lap-6").unwrap().scale_length.0
            )
        );
        assert!(told("e9").contains("10 strings (F#4 D#4 G#4 E4 B3 G#3 F#3 E3 D3 B2), 3 pedals and"));
    }

    /// A link around any text, as somebody who means harm would make it.
    fn forged(text: &str) -> Result<SharedInstrument, LinkError> {
        let instrument = text.into();
        link::read(&link::write(&SharedInstrument { instrument })?)
    }

    #[test]
    fn figures_no_instrument_has_endless_lists_and_newer_forms_are_refused_in_words() {
        let e9 = Instrument::shipped("e9").unwrap().text();
        let string = "\n[[strings]]\npitch = \"E4\"\ngauge = 14\n";
        for (text, words) in [
            (
                e9.replace("scale-length-mm = ", "scale-length-mm = 1e999 #"),
                "scale length",
            ),
            (e9.replace("frets = 24", "frets = 200"), "frets"),
            (e9.replace("gauge = 13", "gauge = -1"), "gauge"),
            (e9.clone() + &string.repeat(500), "strings"),
            (
                e9.replacen("name = ", &format!("name = \"{}\" #", "x".repeat(500)), 1),
                "at most 80",
            ),
            (e9.replacen("form = 1", "form = 2", 1), "newer"),
            (e9.clone() + "\nshell = \"rm\"", "means nothing"),
            (String::new(), "missing"),
        ] {
            match forged(&text) {
                Err(LinkError::Unreadable(told)) => assert!(told.english().contains(words), "{words}: {told:?}"),
                other => panic!("{words}: {other:?}"),
            }
        }
        assert!(matches!(
            forged(&"[[strings]]\n".repeat(30_000)),
            Err(LinkError::TooLong { .. } | LinkError::Unreadable(_))
        ));
        assert!(read(&"x".repeat(MOST_INSTRUMENT + 1)).is_err());
    }

    #[test]
    fn of_many_faults_the_first_few_are_told() {
        let told = read(&"[[strings]]\ngauge = 0\n".repeat(14)).unwrap_err().english();
        assert!(told.contains(" more") && told.len() < 600, "{told}");
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_text_is_an_instrument_that_can_be_read_back_or_refused(
            text in "(\\PC|\n){0,200}", cut in 0_usize..3000, at in 0_usize..3000,
        ) {
            let whole = Instrument::shipped("e9").unwrap().text();
            let cut: String = whole.chars().take(cut).collect();
            let end: String = whole.chars().skip(at).collect();
            for text in [text.clone(), cut.clone(), format!("{cut}{text}{end}")] {
                let link = link::write(&SharedInstrument { instrument: text.as_str().into() });
                prop_assert!(link.as_ref().is_ok_and(|link| link.len() < MOST_CHARACTERS));
                if let Ok(opened) = link::read::<SharedInstrument>(&link.unwrap()) {
                    let built = read(&opened.instrument).unwrap();
                    prop_assert_eq!(read(&built.text()).unwrap(), Instrument { choices: Vec::new(), ..built });
                }
            }
        }
    }
}
