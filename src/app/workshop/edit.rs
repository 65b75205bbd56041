//! One alteration of an instrument.

use super::controls::{controls, free_name};
use super::worth::Idea;
use crate::steel::instrument::{FaultKind, parse};
use crate::steel::{Change, ChangeId, Control, Gauge, Half, Instrument, Millimetres, Pull, StringNumber, Travel};
use crate::theory::{Cents, Pitch};
use crate::words::Said;
use thiserror::Error;

/// Something that is altered.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// What it is called.
    Name(String),
    /// From nut to bridge.
    Scale(Millimetres),
    /// Frets painted on the neck.
    Frets(u8),
    /// The open note of a string, as it is written: "F#4".
    Pitch {
        /// Which string.
        string: StringNumber,
        /// The note.
        pitch: String,
    },
    /// A string's diameter.
    Gauge {
        /// Which string.
        string: StringNumber,
        /// In thousandths of an inch.
        gauge: Gauge,
    },
    /// Whether a string is wound.
    Wound {
        /// Which string.
        string: StringNumber,
        /// Whether it is.
        wound: bool,
    },
    /// Another string, nearest to the player, like the nearest there is.
    AddString,
    /// A string goes, with all that pulled it.
    RemoveString(StringNumber),
    /// A string changes places with the next one nearer to the player, with all that pulls either.
    SwapWithNext(StringNumber),
    /// Another pedal or lever on the first free control, which raises the first string by a half step.
    AddChange,
    /// A pedal or lever goes.
    RemoveChange(ChangeId),
    /// What a change is called.
    CallChange {
        /// Which.
        change: ChangeId,
        /// Its name.
        name: String,
    },
    /// What works a change; a change that was on that control gets the other's.
    Work {
        /// Which.
        change: ChangeId,
        /// Its control.
        control: Control,
    },
    /// How far a change moves a string; by nothing takes the pull away.
    Pull {
        /// Which change.
        change: ChangeId,
        /// Which string.
        string: StringNumber,
        /// How far.
        by: Cents,
    },
    /// On which part of the travel a string moves.
    Travel {
        /// Which change.
        change: ChangeId,
        /// Which string.
        string: StringNumber,
        /// Where it begins to move.
        from: Travel,
        /// Where it has arrived.
        to: Travel,
    },
    /// Where a change can be held on the way.
    Half {
        /// Which change.
        change: ChangeId,
        /// Where, if anywhere.
        half: Option<Half>,
    },
}

/// Why an alteration can't be made, and what to do instead.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}", self.said().english())]
pub enum EditError {
    /// It would leave no string.
    LastString,
    /// It would leave a pedal without work.
    LastPull(String),
    /// All controls are taken.
    NoControl,
    /// What the file's reader would say.
    Fault(FaultKind),
}

impl EditError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::LastString => said!("An instrument has at least one string: alter this one instead."),
            Self::LastPull(what) => said!(
                "This is all that {what} does: remove {what} itself, or let it move another string first.",
                what
            ),
            Self::NoControl => said!("Every pedal and lever there can be is taken: remove one first."),
            Self::Fault(what) => said!("{what}.", what),
        }
    }
}

impl Edit {
    /// Whether strings or changes have other numbers afterwards.
    #[must_use]
    pub fn moves(&self) -> bool {
        matches!(
            self,
            Self::RemoveString(_) | Self::SwapWithNext(_) | Self::RemoveChange(_)
        )
    }

    /// The instrument with this alteration. What players have in different ways is settled as it is on this one.
    ///
    /// # Errors
    /// When no such instrument can be, with what to do instead.
    pub fn applied(&self, instrument: &Instrument) -> Result<Instrument, EditError> {
        let mut altered = instrument.clone();
        altered.choices.clear();
        match self {
            Self::Name(name) => altered.name = name.trim().to_owned(),
            Self::Scale(length) => altered.scale_length = *length,
            Self::Frets(frets) => altered.frets = *frets,
            Self::AddString => altered.strings.extend(altered.strings.last().cloned()),
            Self::RemoveString(string) => remove_string(&mut altered, *string)?,
            Self::SwapWithNext(string) => swap_with_next(&mut altered, *string),
            Self::AddChange => add_change(&mut altered)?,
            Self::RemoveChange(id) if id.index() < altered.changes.len() => {
                altered.changes.remove(id.index());
            }
            Self::RemoveChange(_) => {}
            Self::Work { change, control } => put_on(&mut altered, *change, *control),
            Self::Pitch { string, .. } | Self::Gauge { string, .. } | Self::Wound { string, .. } => {
                self.restring(&mut altered, *string)?;
            }
            Self::CallChange { change, .. }
            | Self::Pull { change, .. }
            | Self::Travel { change, .. }
            | Self::Half { change, .. } => {
                if let Some(change) = altered.changes.get_mut(change.index()) {
                    self.rework(change)?;
                }
            }
        }
        readable(altered)
    }

    /// Alters one string.
    fn restring(&self, instrument: &mut Instrument, string: StringNumber) -> Result<(), EditError> {
        let Some(spec) = instrument.strings.get_mut(string.index()) else {
            return Ok(());
        };
        match self {
            Self::Pitch { pitch, .. } => {
                let read: Result<Pitch, _> = pitch.trim().parse();
                spec.pitch = read.map_err(|error| EditError::Fault(error.into()))?;
            }
            Self::Gauge { gauge, .. } => spec.gauge = *gauge,
            Self::Wound { wound, .. } => spec.wound = *wound,
            _ => {}
        }
        Ok(())
    }

    /// Alters what one change does.
    fn rework(&self, change: &mut Change) -> Result<(), EditError> {
        match self {
            Self::CallChange { name, .. } => change.name = name.trim().to_owned(),
            Self::Half { half, .. } => change.half = *half,
            Self::Pull { string, by, .. } => return pull(change, *string, *by),
            Self::Travel { string, from, to, .. } => {
                for pull in change.pulls.iter_mut().filter(|pull| pull.string == *string) {
                    (pull.from, pull.to) = (*from, *to);
                }
            }
            _ => {}
        }
        Ok(())
    }
}

fn pull(change: &mut Change, string: StringNumber, by: Cents) -> Result<(), EditError> {
    if by.0 == 0.0 {
        if change.pulls.iter().all(|pull| pull.string == string) {
            return Err(EditError::LastPull(change.name.clone()));
        }
        change.pulls.retain(|pull| pull.string != string);
    } else if let Some(pull) = change.pulls.iter_mut().find(|pull| pull.string == string) {
        pull.by = by;
    } else {
        change.pulls.push(Pull::whole(string, by));
        change.pulls.sort_by_key(|pull| pull.string);
    }
    Ok(())
}

fn remove_string(instrument: &mut Instrument, string: StringNumber) -> Result<(), EditError> {
    if instrument.strings.len() < 2 {
        return Err(EditError::LastString);
    }
    if string.index() >= instrument.strings.len() {
        return Ok(());
    }
    instrument.strings.remove(string.index());
    for change in &mut instrument.changes {
        change.pulls.retain(|pull| pull.string != string);
        for pull in change.pulls.iter_mut().filter(|pull| pull.string > string) {
            pull.string = StringNumber::from_index(pull.string.index() - 1).unwrap_or(pull.string);
        }
    }
    // A change that pulled nothing else goes with it.
    instrument.changes.retain(|change| !change.pulls.is_empty());
    Ok(())
}

fn swap_with_next(instrument: &mut Instrument, string: StringNumber) {
    let next = StringNumber::from_index(string.index() + 1).filter(|next| next.index() < instrument.strings.len());
    let Some(next) = next else { return };
    instrument.strings.swap(string.index(), next.index());
    for change in &mut instrument.changes {
        for pull in &mut change.pulls {
            pull.string = match pull.string {
                s if s == string => next,
                s if s == next => string,
                s => s,
            };
        }
        change.pulls.sort_by_key(|pull| pull.string);
    }
}

fn add_change(instrument: &mut Instrument) -> Result<(), EditError> {
    let control = controls()
        .find(|control| instrument.changes.iter().all(|change| change.control != *control))
        .ok_or(EditError::NoControl)?;
    instrument.changes.push(Change {
        name: free_name(instrument, control),
        control,
        pulls: vec![Pull::whole(StringNumber::FIRST, Cents(100.0))],
        half: None,
    });
    Ok(())
}

fn put_on(instrument: &mut Instrument, id: ChangeId, control: Control) {
    let Some(before) = instrument.change(id).map(|change| change.control) else {
        return;
    };
    for (other, change) in instrument.changes.iter_mut().enumerate() {
        if other == id.index() {
            change.control = control;
        } else if change.control == control {
            change.control = before;
        }
    }
}

/// The instrument with the lever of an idea.
///
/// # Errors
/// When there is no room for it any more.
pub fn with_idea(instrument: &Instrument, idea: &Idea) -> Result<Instrument, EditError> {
    let mut altered = instrument.clone();
    altered.choices.clear();
    altered.changes.push(idea.change.clone());
    readable(altered)
}

/// Refuses what the reader of files would refuse.
fn readable(altered: Instrument) -> Result<Instrument, EditError> {
    match parse(&altered.text()) {
        Ok(_) => Ok(altered),
        Err(error) => {
            let first = error.faults().first().map(|fault| fault.kind.clone());
            Err(first.map_or(EditError::LastString, EditError::Fault))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    fn string(number: u8) -> StringNumber {
        StringNumber::new(number).unwrap()
    }

    #[test]
    fn a_string_that_goes_takes_its_pulls_and_idle_changes_with_it() {
        let altered = Edit::RemoveString(string(3)).applied(&e9()).unwrap();
        assert_eq!(altered.strings.len(), 9);
        let b = altered.change(altered.change_named("B").unwrap()).unwrap();
        // B pulled strings 3 and 6; the old 6 is now 5.
        assert_eq!(b.strings().to_string(), "5");
        let mut lone = e9();
        lone.changes[1].pulls.truncate(1);
        let altered = Edit::RemoveString(string(3)).applied(&lone).unwrap();
        assert!(altered.change_named("B").is_none());
    }

    #[test]
    fn strings_that_change_places_sound_the_same_under_every_change() {
        let before = e9();
        let altered = Edit::SwapWithNext(string(4)).applied(&before).unwrap();
        for id in before.change_ids() {
            let stance = crate::steel::Stance::OPEN.with(id);
            assert_eq!(before.shift(string(4), stance), altered.shift(string(5), stance));
            assert_eq!(before.shift(string(5), stance), altered.shift(string(4), stance));
        }
        assert_eq!(altered.strings[4].pitch, before.strings[3].pitch);
    }

    #[test]
    fn a_new_lever_takes_a_free_control_and_two_on_one_change_places() {
        let altered = Edit::AddChange.applied(&e9()).unwrap();
        let new = altered.changes.last().unwrap();
        assert_eq!((new.control, new.name.as_str()), (Control::RightKneeVertical, "RKV"));
        let a = altered.change_named("A").unwrap();
        let swapped = Edit::Work {
            change: a,
            control: Control::Pedal(3),
        };
        let swapped = swapped.applied(&altered).unwrap();
        let c = swapped.change_named("C").unwrap();
        assert_eq!(swapped.change(c).unwrap().control, Control::Pedal(1));
    }

    #[test]
    fn what_can_not_be_is_refused_in_words() {
        let e9 = e9();
        let refused = |edit: Edit| edit.applied(&e9).unwrap_err().to_string();
        let gauge = refused(Edit::Gauge {
            string: string(1),
            gauge: Gauge(900.0),
        });
        assert_eq!(
            gauge,
            "900 cannot be right for a gauge; write a number from 6 to 90 (thousandths of an inch: a .012 string is 12)."
        );
        let pitch = refused(Edit::Pitch {
            string: string(1),
            pitch: "H9".to_owned(),
        });
        assert!(pitch.contains("H9"), "{pitch}");
        let named = refused(Edit::CallChange {
            change: ChangeId(0),
            name: "B".to_owned(),
        });
        assert_eq!(named, "\"B\" is already taken; give each its own name.");
        let v = e9.change_named("V").unwrap();
        let once = Edit::Pull {
            change: v,
            string: string(5),
            by: Cents(0.0),
        };
        let altered = once.applied(&e9).unwrap();
        let twice = Edit::Pull {
            change: v,
            string: string(10),
            by: Cents(0.0),
        };
        assert_eq!(
            twice.applied(&altered).unwrap_err(),
            EditError::LastPull("V".to_owned())
        );
    }

    fn any_edit() -> impl Strategy<Value = Edit> {
        let string = || (1_u8..=14).prop_map(string);
        let change = || (0_u8..20).prop_map(ChangeId);
        prop_oneof![
            any::<String>().prop_map(Edit::Name),
            any::<f64>().prop_map(|mm| Edit::Scale(Millimetres(mm))),
            any::<u8>().prop_map(Edit::Frets),
            (string(), any::<String>()).prop_map(|(string, pitch)| Edit::Pitch { string, pitch }),
            (string(), any::<f64>()).prop_map(|(string, gauge)| Edit::Gauge {
                string,
                gauge: Gauge(gauge)
            }),
            Just(Edit::AddString),
            string().prop_map(Edit::RemoveString),
            string().prop_map(Edit::SwapWithNext),
            Just(Edit::AddChange),
            change().prop_map(Edit::RemoveChange),
            (change(), any::<String>()).prop_map(|(change, name)| Edit::CallChange { change, name }),
            (change(), 0_usize..18).prop_map(|(change, n)| Edit::Work {
                change,
                control: controls().nth(n).unwrap()
            }),
            (change(), string(), -8.0..8.0_f64).prop_map(|(change, string, by)| Edit::Pull {
                change,
                string,
                by: Cents((by * 2.0).round() * 50.0)
            }),
            (change(), string(), any::<f64>(), any::<f64>()).prop_map(|(change, string, from, to)| Edit::Travel {
                change,
                string,
                from: Travel(from),
                to: Travel(to)
            }),
        ]
    }

    proptest! {
        #[test]
        fn any_alterations_leave_an_instrument_that_its_file_gives_back(
            edits in proptest::collection::vec(any_edit(), 1..30)
        ) {
            let mut instrument = e9();
            instrument.choices.clear();
            for edit in edits {
                if let Ok(altered) = edit.applied(&instrument) {
                    instrument = altered;
                }
            }
            prop_assert_eq!(parse(&instrument.text()).unwrap(), instrument);
        }
    }
}
