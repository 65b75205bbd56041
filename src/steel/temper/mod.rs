//! Temperament: how far each string and each change is tuned off equal temperament, and why.
//!
//! *Invariant:* a temperament only moves targets by cents; which note a string or a change is meant for never
//! depends on it.

mod scheme;
mod solve;

pub use scheme::{Scheme, home_note};
pub use solve::{Anchor, Quest, Solution, Wanted, judged, solve};

use super::instrument::Stance;
use super::instrument::{ChangeId, Instrument, Pull, StringNumber};
use crate::theory::Cents;
use serde::{Deserialize, Serialize};

/// A string with the changes that act on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Tone {
    /// The string.
    pub string: StringNumber,
    /// What is pressed.
    pub stance: Stance,
}

/// What one pull adds to its string, off the whole semitones it is meant for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Trim {
    /// Which change pulls.
    pub change: ChangeId,
    /// Which string.
    pub string: StringNumber,
    /// How far it ends off the whole semitones; negative is a shorter raise, or a longer lower.
    pub by: Cents,
}

/// Targets in cents off equal temperament at the player's pitch standard.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Temper {
    /// By string from 1, nothing pressed.
    pub strings: Vec<Cents>,
    /// By pull; a pull that is not here ends on whole semitones above or below its string.
    pub trims: Vec<Trim>,
}

impl Temper {
    /// Equal temperament.
    #[must_use]
    pub fn equal(instrument: &Instrument) -> Self {
        Self {
            strings: vec![Cents(0.0); instrument.strings.len()],
            trims: Vec::new(),
        }
    }

    /// How far a string is off with nothing pressed.
    #[must_use]
    pub fn string(&self, string: StringNumber) -> Cents {
        self.strings.get(string.index()).copied().unwrap_or_default()
    }

    /// What a pull adds.
    #[must_use]
    pub fn trim(&self, change: ChangeId, string: StringNumber) -> Cents {
        self.trims
            .iter()
            .find(|t| t.change == change && t.string == string)
            .map_or(Cents(0.0), |t| t.by)
    }

    /// How far a string is off while `change` alone is down: what a tuner is to show there.
    #[must_use]
    pub fn pulled(&self, change: ChangeId, string: StringNumber) -> Cents {
        self.string(string) + self.trim(change, string)
    }

    /// How far a tone is off: its string, and what the changes that rule it add.
    #[must_use]
    pub fn off(&self, instrument: &Instrument, tone: Tone) -> Cents {
        ruling(instrument, tone)
            .map(|r| Cents(self.trim(r.change, tone.string).0 * r.part))
            .fold(self.string(tone.string), |sum, add| sum + add)
    }

    /// How far a tone is off as it sounds in a body that gives by `give`: see [`Instrument::give`].
    #[must_use]
    pub fn heard(&self, instrument: &Instrument, tone: Tone, give: Cents) -> Cents {
        let travel = |id| instrument.travel(tone.stance, id);
        self.off(instrument, tone) - instrument.fallen(give, tone.string, travel)
    }

    /// The instrument tuned so: everything that sounds or measures heights reads the targets from it.
    #[must_use]
    pub fn tuned(&self, instrument: &Instrument) -> Instrument {
        let mut tuned = instrument.clone();
        for (string, spec) in instrument.string_numbers().zip(&mut tuned.strings) {
            spec.offset = bounded(self.string(string));
        }
        for (id, change) in instrument.change_ids().zip(&mut tuned.changes) {
            for pull in &mut change.pulls {
                pull.by = pull.meant() + bounded(self.trim(id, pull.string));
            }
        }
        tuned
    }
}

/// A target as it may sound: one read from a file can be anything, and beyond a semitone it is another note.
fn bounded(target: Cents) -> Cents {
    Cents(if target.0.is_finite() {
        target.0.clamp(-100.0, 100.0)
    } else {
        0.0
    })
}

/// A pull at work.
#[derive(Debug, Clone, Copy)]
struct Ruling {
    change: ChangeId,
    pull: Pull,
    /// The part of its way that is done.
    part: f64,
}

impl Ruling {
    /// How far it moves the string, in cents of whole semitones.
    fn way(&self) -> f64 {
        self.pull.meant().0 * self.part
    }
}

/// The pulls that set a tone's height: the longest raise and the longest lower, as [`Instrument::pulled`] has it.
fn ruling(instrument: &Instrument, tone: Tone) -> impl Iterator<Item = Ruling> {
    let (mut up, mut down): (Option<Ruling>, Option<Ruling>) = (None, None);
    for (id, change) in instrument.change_ids().zip(&instrument.changes) {
        let travel = instrument.travel(tone.stance, id);
        for pull in change.pulls.iter().filter(|p| p.string == tone.string) {
            let new = Ruling {
                change: id,
                pull: *pull,
                part: travel.part_between(pull.from, pull.to),
            };
            let held = if new.way() > 0.0 { &mut up } else { &mut down };
            if new.way().abs() > held.map_or(0.0, |h| h.way().abs()) {
                *held = Some(new);
            }
        }
    }
    up.into_iter().chain(down)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::Fret;

    fn string(number: u8) -> StringNumber {
        StringNumber::new(number).unwrap()
    }

    #[test]
    fn a_tuned_instrument_sounds_what_the_temperament_says_at_every_stance() {
        let e9 = Instrument::shipped("e9").unwrap();
        let mut temper = Scheme::Just.temper(&e9);
        temper.strings[0] = Cents(7.0);
        let tuned = temper.tuned(&e9);
        for first in e9.change_ids() {
            for second in e9.change_ids() {
                let stance = Stance::OPEN.with(first).with(second);
                for string in e9.string_numbers() {
                    let travel = |id| stance.travel(id);
                    let plain = e9.height(string, Fret(5.0), travel).unwrap();
                    let sounds = tuned.height(string, Fret(5.0), travel).unwrap().above(plain);
                    let says = temper.off(&e9, Tone { string, stance });
                    assert!((sounds - says).0.abs() < 1e-9, "{string} {stance:?}: {sounds} {says}");
                }
            }
        }
    }

    #[test]
    fn in_a_body_that_gives_the_tuned_instrument_sounds_what_is_said_to_be_heard() {
        let e9 = Instrument::shipped("e9").unwrap();
        let temper = Scheme::Just.temper(&e9);
        let tuned = Instrument {
            give: Cents(3.0),
            ..temper.tuned(&e9)
        };
        let stance = e9.stance_of(&["A", "B"]).unwrap();
        for string in e9.string_numbers() {
            let plain = e9.height(string, Fret(0.0), |id| stance.travel(id)).unwrap();
            let sounds = tuned
                .height(string, Fret(0.0), |id| stance.travel(id))
                .unwrap()
                .above(plain);
            let says = temper.heard(&e9, Tone { string, stance }, Cents(3.0));
            assert!((sounds - says).0.abs() < 1e-9, "{string}: {sounds} {says}");
        }
        let fourth = Tone {
            string: string(4),
            stance,
        };
        assert!(
            (temper.off(&e9, fourth) - temper.heard(&e9, fourth, Cents(3.0)) - Cents(3.0))
                .0
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn a_string_falls_smoothly_as_the_pedals_go_down() {
        let e9 = Instrument {
            give: Cents(8.0),
            ..Instrument::shipped("e9").unwrap()
        };
        let (a, b) = (e9.change_named("A").unwrap(), e9.change_named("B").unwrap());
        for number in [4, 5, 6, 10] {
            let at = |part: f64| {
                let travel = |id| crate::steel::Travel(if id == a || id == b { part } else { 0.0 });
                e9.height(string(number), Fret(0.0), travel).unwrap()
            };
            for i in 0..1000 {
                let step = at(f64::from(i + 1) / 1000.0).above(at(f64::from(i) / 1000.0));
                assert!(step.0.abs() < 0.3, "{number} at {i}: {step}");
            }
        }
    }

    #[test]
    fn the_longer_of_two_raises_rules() {
        let e9 = Instrument::shipped("e9").unwrap();
        let (a, c) = (e9.change_named("A").unwrap(), e9.change_named("C").unwrap());
        let both = Tone {
            string: string(5),
            stance: Stance::OPEN.with(a).with(c),
        };
        assert_eq!(ruling(&e9, both).count(), 1);
    }
}
