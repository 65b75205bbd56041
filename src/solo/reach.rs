//! What a body gets done between two strokes: bar jumps, changes of stance, fingers.
//!
//! *Invariant:* [`super::weave`] moves bar and feet exactly as this module reckons, and the planner asks it first.

use super::limits::Limits;
use super::stroke::{Arrival, Stroke};
use crate::steel::{Fret, Instrument, Stance, body};
use crate::theory::{Seconds, Tempo};

/// A stroke is heard at least this long before hand or foot leaves it.
pub const HEARD: Seconds = Seconds(0.05);
/// Travels are planned this much slower than the limit, so that rounding never breaches it.
const GRACE: f64 = 1.2;

/// Where bar and changes stand when a stroke is plucked.
#[must_use]
pub fn ready_for(stroke: &Stroke) -> (Fret, Stance) {
    let place = stroke.grip.place;
    match stroke.arrival {
        Arrival::Slid { from, .. } => (from, place.stance),
        Arrival::Squeezed { from, .. } => (place.bar(), from),
        Arrival::Struck | Arrival::Leaned { .. } | Arrival::Carried { .. } => (place.bar(), place.stance),
    }
}

/// An instrument under the hands of a player with limits, at a tempo.
#[derive(Debug, Clone, Copy)]
pub struct Reach<'a> {
    /// The instrument.
    pub instrument: &'a Instrument,
    /// The player's limits.
    pub limits: &'a Limits,
    /// How fast beats pass.
    pub tempo: Tempo,
}

impl Reach<'_> {
    /// Whether going from one stance to the other lets go first and presses then, because both together can't be held.
    #[must_use]
    pub fn in_turn(&self, from: Stance, to: Stance) -> bool {
        let both = to.pressed().fold(from, Stance::with);
        body::can_hold(self.instrument, both).is_err()
    }

    /// How long feet and knees need from one stance to another.
    #[must_use]
    pub fn stance_change(&self, from: Stance, to: Stance) -> Seconds {
        let parts = match (from == to, self.in_turn(from, to)) {
            (true, _) => 0.0,
            (false, false) => 1.0,
            (false, true) => 2.0,
        };
        Seconds(self.limits.full_travel.0 * GRACE * parts)
    }

    /// How long the bar needs to jump without sounding.
    #[must_use]
    pub fn bar_jump(&self, from: Fret, to: Fret) -> Seconds {
        Seconds(self.limits.bar_jump(self.instrument, from, to).0 * GRACE)
    }

    /// How long the bar needs to glide while strings sound.
    #[must_use]
    pub fn bar_glide(&self, from: Fret, to: Fret) -> Seconds {
        // An eased glide is half as fast again in its middle as on average.
        Seconds(self.limits.bar_glide(self.instrument, from, to).0 * GRACE * 1.5)
    }

    /// How long `stroke` itself needs to arrive, whatever comes before.
    #[must_use]
    pub fn arrival_fits(&self, stroke: &Stroke) -> bool {
        let place = stroke.grip.place;
        let (needed, given) = match stroke.arrival {
            Arrival::Struck | Arrival::Carried { .. } => return true,
            Arrival::Slid { from, time } => (self.bar_glide(from, place.bar()), time),
            Arrival::Squeezed { from, time } => (self.stance_change(from, place.stance), time),
            Arrival::Leaned { through, time } => (self.stance_change(place.stance, through), time),
        };
        needed.0 <= given.at(self.tempo).0 && stroke.at + stroke.arrival.settles_after() <= stroke.until
    }

    /// Whether `next` can follow `before` (times from one origin). A carried stroke needs its strings still ringing.
    #[must_use]
    pub fn joins(&self, before: &Stroke, next: &Stroke, stance_change: impl Fn(Stance, Stance) -> Seconds) -> bool {
        let place = before.grip.place;
        let between = (next.at - before.at).at(self.tempo).0;
        let settled = before.arrival.settles_after().at(self.tempo).0;
        if let Arrival::Carried { time } = next.arrival {
            let given = time.at(self.tempo).0;
            return next.grip.strings == before.grip.strings
                && settled + HEARD.0 <= between
                && self.bar_glide(place.bar(), next.grip.place.bar()).0 <= given
                && stance_change(place.stance, next.grip.place.stance).0 <= given
                && next.at + time <= next.until;
        }
        let single = before.grip.strings.len() == 1 && next.grip.strings.len() == 1;
        let pause = if single {
            self.limits.between_plucks
        } else {
            self.limits.same_finger
        };
        let (fret, stance) = ready_for(next);
        let needed = self
            .bar_jump(place.bar(), fret)
            .0
            .max(stance_change(place.stance, stance).0);
        pause.0 * 1.01 <= between && settled + HEARD.0 + needed <= between
    }
}
