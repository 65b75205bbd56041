//! What the body does in a move and what the ear hears of it: the bar, the pedals and the fingers in words.

use super::super::moves::Move;
use super::super::stroke::{Arrival, Attack, Grip};
use super::super::words;
use super::Reader;
use crate::steel::{Place, Travel};
use crate::words::Said;

impl Reader<'_> {
    /// The first slant of a move.
    pub(super) fn slant(&self, action: &Move) -> Option<Said> {
        let mut grips = action.strokes.iter().map(|s| s.grip);
        grips.find_map(|grip| words::slant(self.instrument, grip))
    }

    /// A bar turned under ringing strings.
    pub(super) fn turned(&self, action: &Move) -> Said {
        let (from, to) = (
            self.first.grip,
            action.strokes.get(1).map_or(self.first.grip, |s| s.grip),
        );
        let into = if to.place.slant.is_some() {
            said!("turned into a slant")
        } else {
            said!("straightened")
        };
        let back = back(action);
        let moved = self.moved(from, to);
        said!(
            "struck at {place}, then the bar is {into} while it rings, so {moved}{back}",
            place = self.place(from.place),
            into,
            moved,
            back
        )
    }

    pub(super) fn harmonic(&self, place: Said) -> Said {
        let higher = match self.first.attack {
            Attack::Harmonic(7) => said!("an octave and a fifth"),
            Attack::Harmonic(5) => said!("two octaves"),
            _ => said!("an octave"),
        };
        let above = match self.first.attack {
            Attack::Harmonic(above) => above,
            _ => 12,
        };
        said!(
            "{strings} touched {above} frets above the bar at {place}, so it rings {higher} higher",
            strings = self.strings(),
            above,
            place,
            higher
        )
    }

    /// A change let up after the pluck.
    pub(super) fn pre_bend(&self) -> Said {
        let (from, to) = (self.first.grip, self.last.grip);
        let legs = self.footwork(from.place.stance, to.place.stance);
        let moved = self.moved(from, to);
        said!(
            "bent before it is plucked, at {place}; then {legs}, so {moved}",
            place = self.place(from.place),
            legs,
            moved
        )
    }

    /// Which pairs of pedals a walk holds.
    pub(super) fn pairs_pressed(&self, action: &Move) -> Said {
        let mut pairs: Vec<Said> = action
            .strokes
            .iter()
            .map(|s| s.grip.place.stance)
            .filter(|s| s.pressed().count() > 1)
            .map(|s| words::held(self.instrument, s))
            .collect();
        pairs.sort_by_key(Said::english);
        pairs.dedup();
        words::join(pairs)
    }

    pub(super) fn slide(&self, place: Said) -> Said {
        let Arrival::Slid { from, .. } = self.first.arrival else {
            return said!("struck at {place}", place);
        };
        let away = self.first.grip.place.bar().0 - from.0;
        let frets = words::frets(away);
        let side = if away > 0.0 { said!("below") } else { said!("above") };
        let why = match (self.arrives(), self.first.grip.strings.len()) {
            (true, _) => said!("and announces the new chord"),
            (false, 1) => said!("so the note is sung, not just hit"),
            (false, _) => said!("so the chord is drawn in, not just hit"),
        };
        said!(
            "the bar slides into {place} from {frets} {side}, {why}",
            place,
            frets,
            side,
            why
        )
    }

    pub(super) fn squeeze(&self) -> Said {
        let grip = self.first.grip;
        let Arrival::Squeezed { from, .. } = self.first.arrival else {
            return Said::default();
        };
        let moved = self.moved(
            Grip {
                place: Place {
                    stance: from,
                    ..grip.place
                },
                ..grip
            },
            grip,
        );
        let legs = self.footwork(from, grip.place.stance);
        said!(
            "plucked a step off at fret {fret}, then {legs}, so {moved}",
            fret = grip.place.fret,
            legs,
            moved
        )
    }

    pub(super) fn lean(&self, place: Said) -> Said {
        let Arrival::Leaned { through, .. } = self.first.arrival else {
            return Said::default();
        };
        let half = through.pressed().any(|c| through.travel(c) == Travel::HALF);
        let how = if half {
            said!("a half pedal leans on it")
        } else {
            said!("the change leans on it")
        };
        let legs = self.footwork(self.first.grip.place.stance, through);
        said!(
            "held at {place} while {how} ({legs}) and lets it back",
            place,
            how,
            legs
        )
    }

    pub(super) fn carry(&self, action: &Move) -> Said {
        match (self.first.arrival, self.before, action.strokes.get(1)) {
            (Arrival::Carried { .. }, Some(before), _) => self.carried_over(before, self.first.grip),
            (_, _, Some(second)) => {
                let (from, to) = (self.first.grip, second.grip);
                let legs = self.footwork(from.place.stance, to.place.stance);
                let back = back(action);
                said!(
                    "struck at {place}, then rolled over by {legs}{back}",
                    place = self.place(from.place),
                    legs,
                    back
                )
            }
            _ => said!("the strings ring on"),
        }
    }

    /// How ringing strings get from one grip to another.
    fn carried_over(&self, from: Grip, to: Grip) -> Said {
        let (a, b) = (from.place, to.place);
        let legs = self.footwork(a.stance, b.stance);
        let here = words::frets_of(a);
        // "From fret 3 to 5": the word is not said twice.
        let there = if b.slant.is_some() {
            words::frets_of(b)
        } else {
            b.fret.into()
        };
        let body = match ((a.fret, a.slant) == (b.fret, b.slant), a.stance == b.stance) {
            (true, _) => said!("same fret, {legs}", legs),
            (false, true) => said!("the bar glides from {here} to {there}", here, there),
            (false, false) => said!("the bar glides from {here} to {there}, {legs}", here, there, legs),
        };
        said!("{body}, so {to}", body, to = self.moved(from, to))
    }

    /// What the top note does between two grips on the same strings.
    fn moved(&self, from: Grip, to: Grip) -> Said {
        let (Some(a), Some(b)) = (self.top(from), self.top(to)) else {
            return said!("the chord changes");
        };
        let by = b.above(a).0;
        let size = match by.abs() {
            0 => {
                let inner = self.inner_movement(from, to);
                return said!("the top note stays and {inner} under it", inner);
            }
            1 => said!("a half step"),
            2 => said!("a step"),
            n => said!("{n} frets' worth", n),
        };
        let way = if by > 0 { said!("rises") } else { said!("falls") };
        said!(
            "the top note {way} {size} to the {degree}",
            way,
            size,
            degree = self.degree(b)
        )
    }

    /// Which inner string moves and where to.
    fn inner_movement(&self, from: Grip, to: Grip) -> Said {
        let moving = to.strings.iter().find_map(|s| {
            let (a, b) = (self.instrument.note(s, from.place)?, self.instrument.note(s, to.place)?);
            (a != b).then(|| said!("string {s} moves to the {degree}", s, degree = self.degree(b)))
        });
        moving.unwrap_or_else(|| said!("nothing moves"))
    }
}

/// What a move says that goes back to where it came from.
fn back(action: &Move) -> Said {
    if action.strokes.len() > 2 {
        said!(", and back")
    } else {
        Said::default()
    }
}
