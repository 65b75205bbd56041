//! What a hold asks of the player, as a number to compare holds by.
//!
//! *Invariant:* pressing more, or reaching farther over the strings, never costs less.

use crate::steel::instrument::Stance;
use crate::steel::instrument::{Change, ChangeId, Control, Half, Instrument, StringSet};
use crate::steel::units::Travel;

/// What a hold asks of the player, in points: a pedal down is ten. For comparing only. The weights are taste, no
/// source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, derive_more::Add, derive_more::Sum)]
pub struct Effort(pub u16);

/// A pedal.
const PEDAL: Effort = Effort(10);
/// A lever to the side: the knee leaves the middle.
const SIDEWAYS: Effort = Effort(14);
/// A lever upwards: the heel may have to rise.
const UPWARD: Effort = Effort(30);
/// A half press at a stop that is felt, and one found by ear.
const HALF_STOP: Effort = Effort(6);
const HALF_BY_EAR: Effort = Effort(16);
/// A string left out inside the grip.
const SKIPPED: u16 = 3;
/// Each string the grip's middle lies away from the middle of the neck.
const OFF_MIDDLE: u16 = 1;
/// Each fret beyond the fifteenth, where frets are narrow and the hand hides them.
const HIGH_FRET: u16 = 2;
const HIGH_FROM: u8 = 15;

/// What holding a stance asks.
pub(super) fn of_stance(instrument: &Instrument, stance: Stance) -> Effort {
    let of = |id: ChangeId| {
        let change = instrument.change(id);
        let press = match change.map(|c| c.control) {
            Some(Control::Pedal(_)) | None => PEDAL,
            Some(Control::LeftKneeVertical | Control::RightKneeVertical) => UPWARD,
            Some(_) => SIDEWAYS,
        };
        press + of_half(change, stance.travel(id))
    };
    stance.pressed().map(of).sum()
}

fn of_half(change: Option<&Change>, travel: Travel) -> Effort {
    match change.and_then(|c| c.half) {
        _ if travel != Travel::HALF => Effort(0),
        Some(Half::Stop(_)) => HALF_STOP,
        Some(Half::ByEar(_)) | None => HALF_BY_EAR,
    }
}

/// What picking a set of strings asks.
#[allow(clippy::cast_possible_truncation)] // at most fourteen strings
pub(super) fn of_strings(instrument: &Instrument, strings: StringSet) -> Effort {
    let mut within = strings.iter();
    let Some(first) = within.next() else {
        return Effort(0);
    };
    let last = within.next_back().unwrap_or(first);
    let span = last.index() - first.index() + 1;
    let skipped = (span - strings.len()) as u16;
    let middle = first.index() + last.index();
    let off = middle.abs_diff(instrument.strings.len().saturating_sub(1)) as u16 / 2;
    Effort(SKIPPED * skipped + OFF_MIDDLE * off)
}

/// What a fret asks.
pub(super) fn of_fret(fret: u8) -> Effort {
    Effort(HIGH_FRET * u16::from(fret.saturating_sub(HIGH_FROM)))
}
