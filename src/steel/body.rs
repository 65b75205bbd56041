//! What one foot and two knees can hold at once.
//!
//! *Invariant:* planner, playability report and neck all ask here; nobody else knows what a leg can do.
//!
//! One foot presses neighbouring pedals and rocks between pairs; a knee goes one way at a time, and up besides:
//! common practice, no source (knees: the levers stand on either side of one knee).

use super::instrument::Stance;
use super::instrument::{Change, ChangeId, Control, Instrument};
use super::units::Travel;
use crate::words::Said;
use thiserror::Error;

/// Picks on the right hand: thumb and two fingers. Source: Wikipedia, "Pedal steel guitar".
pub const PICKS: usize = 3;

/// Why a body can't hold what is asked.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum BodyBreach {
    /// Pedals that one foot can't press together.
    Pedals(String, String),
    /// Three or more pedals at once.
    TooManyPedals(usize),
    /// Levers on both sides of one knee.
    Knee(String, String),
}

impl BodyBreach {
    /// What can't be held, and what to do about it.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Pedals(one, other) => said!(
                "one foot can't hold {one} and {other} together: use pedals that lie side by side",
                one,
                other
            ),
            Self::TooManyPedals(pedals) => said!(
                "one foot can't hold {pedals} pedals down: two that lie side by side are the most",
                pedals
            ),
            Self::Knee(one, other) => said!(
                "{one} and {other} are on either side of one knee: let one go first",
                one,
                other
            ),
        }
    }
}

/// Whether a body can hold a stance: stay in it, so that a half press takes the foot like a whole one.
///
/// ```
/// use leadbar::steel::{Instrument, body};
/// let e9 = Instrument::shipped("e9").unwrap();
/// assert!(body::can_hold(&e9, e9.stance_of(&["A", "B", "F"]).unwrap()).is_ok());
/// assert!(body::can_hold(&e9, e9.stance_of(&["A", "C"]).unwrap()).is_err());
/// ```
///
/// # Errors
/// The first thing that can't be held, in words.
pub fn can_hold(instrument: &Instrument, stance: Stance) -> Result<(), BodyBreach> {
    can_hold_travels(instrument, |c| match stance.travel(c) {
        Travel::UP => Travel::UP,
        _ => Travel::DOWN,
    })
}

/// Whether a body can hold changes at these travels. A foot that rocks from one pair of pedals to the next has three
/// down for a moment: that holds while the outer two together are no farther than one whole travel.
///
/// # Errors
/// The first thing that can't be held, in words.
pub fn can_hold_travels(instrument: &Instrument, travel: impl Fn(ChangeId) -> Travel) -> Result<(), BodyBreach> {
    let pressed = |id: &ChangeId| travel(*id).0 > 0.0;
    feet(instrument, instrument.change_ids().filter(pressed).collect(), &travel)?;
    let down = |control: Control| {
        let at = instrument
            .change_ids()
            .find(|id| instrument.change(*id).is_some_and(|c| c.control == control));
        at.filter(pressed).and_then(|id| instrument.change(id))
    };
    for (left, right) in [
        (Control::LeftKneeLeft, Control::LeftKneeRight),
        (Control::RightKneeLeft, Control::RightKneeRight),
    ] {
        if let (Some(a), Some(b)) = (down(left), down(right)) {
            return Err(BodyBreach::Knee(a.name.clone(), b.name.clone()));
        }
    }
    Ok(())
}

fn feet(
    instrument: &Instrument,
    pressed: Vec<ChangeId>,
    travel: &impl Fn(ChangeId) -> Travel,
) -> Result<(), BodyBreach> {
    let mut pedals: Vec<(u8, ChangeId, &Change)> = pressed
        .into_iter()
        .filter_map(|id| match instrument.change(id) {
            Some(
                change @ Change {
                    control: Control::Pedal(number),
                    ..
                },
            ) => Some((*number, id, change)),
            _ => None,
        })
        .collect();
    pedals.sort_by_cached_key(|p| i64::from(p.0));
    let apart = pedals.windows(2).find_map(|pair| match pair {
        [a, b] if b.0 - a.0 > 1 => Some(BodyBreach::Pedals(a.2.name.clone(), b.2.name.clone())),
        _ => None,
    });
    match (apart, pedals.as_slice()) {
        (Some(breach), _) => Err(breach),
        (None, [] | [_] | [_, _]) => Ok(()),
        // Rounding of a half-way crossing is no third pedal.
        (None, [a, _, b]) if travel(a.1).0 + travel(b.1).0 <= 1.0 + 1e-6 => Ok(()),
        (None, more) => Err(BodyBreach::TooManyPedals(more.len())),
    }
}

/// Every stance a body can hold, half presses where a change has a half place included; nothing pressed comes first.
///
/// ```
/// use leadbar::steel::{Instrument, Stance, body};
/// let e9 = Instrument::shipped("e9").unwrap();
/// let stances = body::stances(&e9);
/// assert_eq!(stances.first(), Some(&Stance::OPEN));
/// assert!(stances.iter().all(|s| body::can_hold(&e9, *s).is_ok()));
/// ```
#[must_use]
pub fn stances(instrument: &Instrument) -> Vec<Stance> {
    let mut found = vec![Stance::OPEN];
    for id in instrument.change_ids() {
        let half = instrument.change(id).is_some_and(|c| c.half.is_some());
        // Whatever can be held with one more change can be held without it, so growing step by step misses nothing.
        let with = found.iter().map(|s| s.with(id));
        let with_half = found.iter().filter(|_| half).map(|s| s.with_half(id));
        let grown: Vec<Stance> = with
            .chain(with_half)
            .filter(|s| can_hold(instrument, *s).is_ok())
            .collect();
        found.extend(grown);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::instrument::Half;

    fn e9() -> Instrument {
        Instrument::shipped("e9").unwrap()
    }

    #[test]
    fn one_foot_holds_neighbours_and_never_a_with_c() {
        let e9 = e9();
        for (names, holds) in [
            (&["A"][..], true),
            (&["A", "B"], true),
            (&["B", "C"], true),
            (&["A", "C"], false),
            (&["A", "B", "C"], false),
            (&["F", "E"], false),
            (&["G", "D"], false),
            (&["A", "B", "F", "D"], true),
            (&["B", "E", "V"], true),
        ] {
            assert_eq!(can_hold(&e9, e9.stance_of(names).unwrap()).is_ok(), holds, "{names:?}");
        }
    }

    #[test]
    fn rocking_from_a_b_to_b_c_crosses_at_half_way() {
        let e9 = e9();
        let id = |n| e9.change_named(n).unwrap();
        let rocking = |a: f64, c: f64| {
            can_hold_travels(&e9, |x| {
                if x == id("A") {
                    Travel(a)
                } else if x == id("C") {
                    Travel(c)
                } else if x == id("B") {
                    Travel::DOWN
                } else {
                    Travel::UP
                }
            })
        };
        assert!(rocking(0.5, 0.5).is_ok());
        assert!(rocking(0.2, 0.8).is_ok());
        assert_eq!(rocking(0.8, 0.8), Err(BodyBreach::TooManyPedals(3)));
    }

    #[test]
    fn what_is_only_passed_while_rocking_is_no_stance() {
        let mut e9 = e9();
        let (a, b, c) = (ChangeId(0), ChangeId(1), ChangeId(2));
        e9.changes[c.index()].half = Some(Half::ByEar(Travel::HALF));
        let crossing = Stance::OPEN.with_half(a).with(b).with_half(c);
        assert!(can_hold_travels(&e9, |id| crossing.travel(id)).is_ok());
        assert_eq!(can_hold(&e9, crossing), Err(BodyBreach::TooManyPedals(3)));
    }

    #[test]
    fn the_stances_are_all_that_can_be_held() {
        let e9 = e9();
        // Feet: none, A, half A, B, C, A+B, half A+B, B+C. Left knee: none, F, E, V, F+V, E+V.
        // Right knee: none, G, D, half D.
        let all = stances(&e9);
        assert_eq!(all.len(), 8 * 6 * 4);
        let mut once = all.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), all.len());
    }
}
