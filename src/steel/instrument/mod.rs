//! Instruments: strings, the changes that pedals and knee levers make to them, and their files.
//!
//! *Invariant:* an instrument is data; a player's own file is read by the reader of the shipped ones.

mod change;
mod choice;
mod document;
mod fault;
mod read;
pub mod shipped;
mod stance;
mod strings;
mod write;

pub use change::{Change, ChangeId, Control, ControlError, Half, Pull};
pub use choice::{Choice, ChoiceError, ChoiceOption};
pub use fault::{Fault, FaultKind, InstrumentError};
pub use read::parse;
pub use stance::Stance;
pub use strings::{Gauge, StringNumber, StringSet, StringSpec};

use super::geometry::Spacing;
use super::units::{Fret, Millimetres, Travel};
use crate::theory::{Cents, Height, Semitones};
use serde::{Deserialize, Serialize};

/// An instrument: strings, changes and size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Short name in files and links, such as "e9".
    pub id: String,
    /// What a player calls it.
    pub name: String,
    /// Speaking length from nut to bridge.
    pub scale_length: Millimetres,
    /// Frets painted on the neck.
    pub frets: u8,
    /// How far apart the strings are.
    #[serde(default)]
    pub spacing: Spacing,
    /// Strings from 1 (far) downwards; at most 14.
    pub strings: Vec<StringSpec>,
    /// Its changes in the order of its file; at most 16.
    pub changes: Vec<Change>,
    /// What players have in different ways.
    #[serde(default)]
    pub choices: Vec<Choice>,
    /// How far an unpulled string falls while A and B, or as much of other raises, are down: the body gives.
    /// No file has it; it is the player's own. Published figures disagree, 2 to 8 cents.
    #[serde(default)]
    pub give: Cents,
}

/// With this many string-semitones raised, A and B down on the E9, an unpulled string has fallen by the whole of
/// [`Instrument::give`]. That it grows evenly with the raises is our reading (no source).
const GIVES_AT: f64 = 6.0;

impl Instrument {
    /// The strings by number.
    pub fn string_numbers(&self) -> impl DoubleEndedIterator<Item = StringNumber> + Clone + use<> {
        (0..self.strings.len()).filter_map(StringNumber::from_index)
    }

    /// The changes by id.
    #[allow(clippy::cast_possible_truncation)]
    pub fn change_ids(&self) -> impl Iterator<Item = ChangeId> + Clone + use<> {
        (0..self.changes.len().min(ChangeId::MOST)).map(|i| ChangeId(i as u8))
    }

    /// The change of that id.
    #[must_use]
    pub fn change(&self, id: ChangeId) -> Option<&Change> {
        self.changes.get(id.index())
    }

    /// The change a player calls `name`.
    #[must_use]
    pub fn change_named(&self, name: &str) -> Option<ChangeId> {
        self.change_ids()
            .find(|id| self.change(*id).is_some_and(|c| c.name == name))
    }

    /// The stance with the changes of these names fully pressed; nothing when one is unknown.
    ///
    /// ```
    /// use leadbar::steel::Instrument;
    /// let e9 = Instrument::shipped("e9").unwrap();
    /// assert_eq!(e9.stance_of(&["A", "B"]).unwrap().pressed().count(), 2);
    /// assert!(e9.stance_of(&["Q"]).is_none());
    /// ```
    #[must_use]
    pub fn stance_of(&self, names: &[&str]) -> Option<Stance> {
        names
            .iter()
            .try_fold(Stance::OPEN, |stance, name| Some(stance.with(self.change_named(name)?)))
    }

    /// How far a stance presses `change`: a half press goes to its half stop where it has one.
    #[must_use]
    pub fn travel(&self, stance: Stance, change: ChangeId) -> Travel {
        let half = self.change(change).and_then(|c| c.half);
        match (stance.travel(change), half) {
            (Travel::HALF, Some(half)) => half.travel(),
            (travel, _) => travel,
        }
    }

    /// How far the changes move `string` with the given travels (missing ones count as released).
    ///
    /// Two raises do not add, the longer wins; likewise two lowers; a raise and a lower both act.
    /// Common practice, no source.
    #[must_use]
    pub fn pulled(&self, string: StringNumber, travel: impl Fn(ChangeId) -> Travel) -> Cents {
        let (mut up, mut down) = (0.0_f64, 0.0_f64);
        for (id, change) in self.change_ids().zip(&self.changes) {
            for pull in change.pulls.iter().filter(|p| p.string == string) {
                let done = pull.at(travel(id)).0;
                up = up.max(done);
                down = down.min(done);
            }
        }
        Cents(up + down)
    }

    /// The sounding height of `string` with the bar at `fret`, or nothing for a string it has not.
    #[must_use]
    pub fn height(&self, string: StringNumber, fret: Fret, travel: impl Fn(ChangeId) -> Travel) -> Option<Height> {
        let spec = self.strings.get(string.index())?;
        let open = spec.pitch.number()?.height();
        let fallen = self.fallen(self.give, string, &travel);
        let cents = Cents(fret.0 * 100.0) + self.pulled(string, travel) + spec.offset - fallen;
        Some(open.shifted(cents))
    }

    /// How far `string` falls, as a positive figure, in a body that gives by `give` under A and B. A pulled string
    /// falls the less the further it is pulled: its stop is tuned with the others down.
    #[must_use]
    pub fn fallen(&self, give: Cents, string: StringNumber, travel: impl Fn(ChangeId) -> Travel) -> Cents {
        if give.0 == 0.0 {
            return Cents(0.0);
        }
        let (mut raised, mut own) = (0.0, 0.0_f64);
        for other in self.string_numbers() {
            let mut up = 0.0_f64;
            for (id, change) in self.change_ids().zip(&self.changes) {
                for pull in change.pulls.iter().filter(|p| p.string == other) {
                    let part = travel(id).part_between(pull.from, pull.to);
                    up = up.max(part * pull.meant().0);
                    own = own.max(if other == string { part } else { 0.0 });
                }
            }
            raised += up;
        }
        Cents(give.0 * raised / (100.0 * GIVES_AT) * (1.0 - own))
    }

    /// How far a stance moves `string`, for planning in whole notes: tuning offsets are left out, and
    /// a pull within [`IN_TUNE`] of a semitone counts as that. Nothing when the string lies between two notes.
    #[must_use]
    pub fn shift(&self, string: StringNumber, stance: Stance) -> Option<Semitones> {
        whole(self.pulled(string, |id| self.travel(stance, id)))
    }
}

/// How far a pull may be from a whole semitone and still be meant as it: tempered tunings differ by less.
pub const IN_TUNE: Cents = Cents(30.0);

/// The whole semitone `cents` are meant to be.
#[allow(clippy::cast_possible_truncation)] // a pull is at most a few semitones
pub(super) fn whole(cents: Cents) -> Option<Semitones> {
    let nearest = (cents.0 / 100.0).round();
    ((cents.0 - nearest * 100.0).abs() <= IN_TUNE.0).then_some(Semitones(nearest as i16))
}
