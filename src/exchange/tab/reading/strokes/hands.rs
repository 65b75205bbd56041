//! Where bar, feet and knees must be for the strings to sound as a column writes them.
//!
//! *Invariant:* what no sign speaks of stays where it is.

use super::super::super::marks::Lean;
use super::super::signs::Pressed;
use super::{Reader, Stopped};
use crate::steel::{ChangeId, Place, Slant, Stance, StringNumber, StringSet, Travel, slant};

impl Reader<'_> {
    /// The stance that presses what the strings show: changes that work on none of them stay as they are.
    pub(super) fn stance_for(&self, shown: &[(StringNumber, &Pressed)]) -> Stance {
        let mut stance = self.stance;
        for (id, change) in self.instrument.change_ids().zip(&self.instrument.changes) {
            let works = |string: StringNumber| change.pulls.iter().any(|p| p.string == string && p.by.0 != 0.0);
            let signs = || shown.iter().filter(|(string, _)| works(*string));
            let lean = signs().find_map(|(_, pressed)| lean_of(pressed, id));
            stance = match lean {
                Some(Lean::Full) => stance.with(id),
                Some(Lean::Half) => stance.with_half(id),
                None if signs().next().is_some() => stance.without(id),
                None => stance,
            };
        }
        stance
    }

    /// The strings that sound otherwise in one stance than in the other.
    pub(super) fn moved_between(&self, from: Stance, to: Stance) -> StringSet {
        let pulled = |string, stance| {
            self.instrument
                .pulled(string, |id: ChangeId| -> Travel { self.instrument.travel(stance, id) })
        };
        self.all_strings()
            .iter()
            .filter(|s| (pulled(*s, from).0 - pulled(*s, to).0).abs() > 1.0)
            .collect()
    }

    /// How the bar lies to stop strings where they are written: straight, or slanted over the outer two of them.
    pub(super) fn laid(&mut self, stopped: &[Stopped]) -> (u8, Option<Slant>) {
        let by_string = |s: &&Stopped| s.0;
        let (Some(far), Some(near)) = (
            stopped.iter().min_by_key(by_string),
            stopped.iter().max_by_key(by_string),
        ) else {
            return (self.fret, self.slant);
        };
        if stopped.iter().all(|(_, fret, _)| *fret == far.1) {
            return (far.1, None);
        }
        if let Some(slant) = self.slanted(far, near, stopped) {
            return (far.1, Some(slant));
        }
        // What stands first is taken at its word.
        let fret = stopped.first().map_or(self.fret, |s| s.1);
        for (_, other, place) in stopped.iter().filter(|(_, other, _)| *other != fret) {
            self.doubt(
                *place,
                said!(
                    "the bar lies across one fret at a time, and no slant reaches all of these: {other} is read as {fret}",
                    other,
                    fret
                ),
            );
        }
        (fret, None)
    }

    /// The slant from the far string to the near one, where it is one and every string is in tune under it.
    fn slanted(&self, far: &Stopped, near: &Stopped, stopped: &[Stopped]) -> Option<Slant> {
        let frets = i8::try_from(i16::from(near.1) - i16::from(far.1)).ok()?;
        let slant = Slant {
            hold: far.0,
            turn: near.0,
            frets,
        };
        let place = Place {
            slant: Some(slant),
            ..Place::straight(far.1, self.stance)
        };
        let in_tune = |(string, fret, _): &Stopped| place.whole_fret_on(self.instrument, *string) == Some(*fret);
        let lies = slant.is_of(self.instrument) && place.lie(self.instrument).turned(self.instrument) < slant::STEEPEST;
        (lies && far.1 > 0 && near.1 > 0 && stopped.iter().all(in_tune)).then_some(slant)
    }
}

fn lean_of(pressed: &Pressed, id: ChangeId) -> Option<Lean> {
    pressed.iter().find(|(change, _)| *change == id).map(|(_, lean)| *lean)
}
