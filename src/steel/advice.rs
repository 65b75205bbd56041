//! What a player should know about an instrument before a builder touches it.
//!
//! *Invariant:* an advice is computed from strings and pulls; none is known beforehand of any instrument.

use super::body;
use super::hold::{Finder, HoldQuery};
use super::instrument::Stance;
use super::instrument::{Change, ChangeId, Instrument, StringNumber};
use super::strain::{Newton, strains};
use crate::theory::{Accidental, Chord, Letter, NoteName, Quality};
use crate::words::Said;
use std::fmt;

/// A string that pulls less than this lies loose under a bar. From memory, no source.
pub const SLACK: Newton = Newton(60.0);

/// One thing to know.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// A string that its changes bring near breaking.
    Breaks {
        /// Which.
        string: StringNumber,
        /// Stress at its highest note, in megapascal, as a whole number.
        megapascal: u32,
    },
    /// A string too loose to play on.
    Slack(StringNumber),
    /// A change with which no common chord can be held that could not be held without it.
    NeverHelps(String),
    /// Two changes that do the same.
    Alike(String, String),
    /// Two changes, to be held together, of which one takes back on a string what the other does.
    Fight {
        /// One.
        one: String,
        /// The other.
        other: String,
        /// The string that stays where it is.
        string: StringNumber,
    },
    /// A pull that ends between two notes.
    BetweenNotes {
        /// The change.
        change: String,
        /// The string.
        string: StringNumber,
    },
}

impl Advice {
    /// Whether a string could break: to be read before anything is tried.
    #[must_use]
    pub fn is_caution(&self) -> bool {
        matches!(self, Self::Breaks { .. })
    }
}

impl Advice {
    /// What there is to know, in a sentence or two.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Breaks { string, megapascal } => said!(
                "String {string} bears {megapascal} MPa at its highest note, more than strings are usually used for: it may \
                 break. Lower it, raise it less, or ask a builder; keep your eyes away from it.",
                string,
                megapascal
            ),
            Self::Slack(string) => said!(
                "String {string} is so loose that the bar would rattle on it: take a thicker string or tune it higher.",
                string
            ),
            Self::NeverHelps(name) => said!(
                "{name} brings no common chord that you could not hold without it. It may still serve for single notes.",
                name
            ),
            Self::Alike(one, other) => said!(
                "{one} and {other} do the same: one of them could do something else.",
                one,
                other
            ),
            Self::Fight { one, other, string } => said!(
                "{one} and {other} work against each other on string {string}: pressed together they leave it where it is.",
                one,
                other,
                string
            ),
            Self::BetweenNotes { change, string } => said!(
                "{change} leaves string {string} between two notes: solos are planned without that pull.",
                change,
                string
            ),
        }
    }
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said().english())
    }
}

/// Everything there is to say about an instrument, cautions first.
///
/// ```
/// use leadbar::steel::{Instrument, advice::{Advice, advice}};
/// let mut e9 = Instrument::shipped("e9").unwrap();
/// // Pedal C made a second A.
/// e9.changes[2].pulls = e9.changes[0].pulls.clone();
/// assert!(advice(&e9).contains(&Advice::Alike("A".to_owned(), "C".to_owned())));
/// ```
#[must_use]
pub fn advice(instrument: &Instrument) -> Vec<Advice> {
    let mut found = strings(instrument);
    found.extend(between_notes(instrument));
    found.extend(pairs(instrument));
    found.extend(idle(instrument).map(|change| Advice::NeverHelps(change.name.clone())));
    found
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a stress is positive"
)]
fn strings(instrument: &Instrument) -> Vec<Advice> {
    let strains = strains(instrument);
    let breaks = strains.iter().filter(|s| s.is_high()).map(|s| Advice::Breaks {
        string: s.string,
        megapascal: s.most.0.round() as u32,
    });
    let slack = strains.iter().filter(|s| s.tension < SLACK);
    breaks.chain(slack.map(|s| Advice::Slack(s.string))).collect()
}

fn between_notes(instrument: &Instrument) -> impl Iterator<Item = Advice> {
    instrument.changes.iter().flat_map(|change| {
        let between = change.pulls.iter().filter(|pull| !pull.is_to_a_note());
        between.map(|pull| Advice::BetweenNotes {
            change: change.name.clone(),
            string: pull.string,
        })
    })
}

fn pairs(instrument: &Instrument) -> Vec<Advice> {
    let mut found = Vec::new();
    for (id, one) in instrument.change_ids().zip(&instrument.changes) {
        for (later, other) in instrument.change_ids().zip(&instrument.changes).skip(id.index() + 1) {
            let (first, second) = (one.name.clone(), other.name.clone());
            if one.pulls == other.pulls {
                found.push(Advice::Alike(first, second));
            } else if let Some(string) = fight(instrument, (id, one), (later, other)) {
                found.push(Advice::Fight {
                    one: first,
                    other: second,
                    string,
                });
            }
        }
    }
    found
}

/// The first string that two changes, held together, leave where it is.
fn fight(instrument: &Instrument, one: (ChangeId, &Change), other: (ChangeId, &Change)) -> Option<StringNumber> {
    let both = Stance::OPEN.with(one.0).with(other.0);
    body::can_hold(instrument, both).ok()?;
    let pulled =
        |string: StringNumber, change: &Change| change.pulls.iter().find(|p| p.string == string).map(|p| p.by.0);
    let stays = |string: &StringNumber| {
        let (a, b) = (pulled(*string, one.1)?, pulled(*string, other.1)?);
        (a != 0.0 && a + b == 0.0).then_some(*string)
    };
    one.1.strings().iter().find_map(|string| stays(&string))
}

/// The qualities that songs of the trade are made of. Common practice, no source.
const QUALITIES: [Quality; 9] = [
    Quality::Major,
    Quality::Minor,
    Quality::Seven,
    Quality::MinorSeven,
    Quality::MajorSeven,
    Quality::Six,
    Quality::Diminished,
    Quality::Augmented,
    Quality::Sus4,
];

/// The changes that no hold of a common chord needs.
fn idle(instrument: &Instrument) -> impl Iterator<Item = &Change> {
    // Any root will do: the bar moves a chord to every other one. Twelve frets show them all.
    let query = HoldQuery {
        frets: 0..=11,
        ..HoldQuery::default()
    };
    let finder = Finder::new(instrument, &query);
    let root = NoteName {
        letter: Letter::C,
        accidental: Accidental::NATURAL,
    };
    let needed: Vec<ChangeId> = QUALITIES
        .iter()
        .flat_map(|quality| finder.holds(&Chord::new(root, *quality)))
        .flat_map(|hold| hold.place.stance.pressed().collect::<Vec<_>>())
        .collect();
    let ids = instrument.change_ids().zip(&instrument.changes);
    ids.filter(move |(id, _)| !needed.contains(id))
        .map(|(_, change)| change)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::Pull;
    use crate::theory::Cents;

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    fn string(number: u8) -> StringNumber {
        StringNumber::new(number).unwrap()
    }

    #[test]
    fn of_the_common_e9_only_what_is_known_is_said() {
        let said = advice(&e9());
        // String 3 at A4: rho (2 L f)^2 is above what strings are usually used for, whatever the gauge.
        assert!(
            said.iter()
                .any(|a| matches!(a, Advice::Breaks { string: s, .. } if *s == string(3)))
        );
        assert!(
            said.iter()
                .all(|a| !matches!(a, Advice::NeverHelps(_) | Advice::Alike(..))),
            "{said:?}"
        );
    }

    #[test]
    fn a_change_that_lowers_what_another_raises_is_told_where_both_can_be_held() {
        // V lowers strings 5 and 10 by one, A raises them by two: a way to the note between, not a fight.
        let fights = |i: &Instrument| -> Vec<Advice> {
            advice(i)
                .into_iter()
                .filter(|a| matches!(a, Advice::Fight { .. }))
                .collect()
        };
        let mut e9 = e9();
        assert_eq!(fights(&e9), []);
        let v = e9.change_named("V").unwrap();
        e9.changes[v.index()].pulls = vec![Pull::whole(string(3), Cents(-100.0))];
        let told = Advice::Fight {
            one: "B".to_owned(),
            other: "V".to_owned(),
            string: string(3),
        };
        assert_eq!(fights(&e9), [told]);
    }

    #[test]
    fn a_pull_to_nowhere_and_a_loose_string_are_told() {
        let mut e9 = e9();
        e9.changes[3].pulls[0].by = Cents(150.0);
        e9.strings[9].gauge.0 = 12.0;
        let said = advice(&e9);
        assert!(said.contains(&Advice::BetweenNotes {
            change: "F".to_owned(),
            string: string(4)
        }));
        assert!(said.contains(&Advice::Slack(string(10))));
    }

    #[test]
    fn a_change_that_only_leads_between_the_notes_never_helps() {
        let mut e9 = e9();
        let v = e9.change_named("V").unwrap();
        e9.changes[v.index()].pulls = vec![Pull::whole(string(9), Cents(50.0))];
        assert!(advice(&e9).contains(&Advice::NeverHelps("V".to_owned())));
    }
}
