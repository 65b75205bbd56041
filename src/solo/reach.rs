//! What a body gets done between two strokes: bar jumps, changes of stance, fingers.
//!
//! *Invariant:* [`super::weave`] moves bar and feet exactly as this module reckons, and the planner asks it first.

use super::limits::Limits;
use super::performance::Shape;
use super::stroke::{Arrival, Attack, Stroke};
use crate::steel::Degrees;
use crate::steel::{Fret, Instrument, Lie, Millimetres, Place, Stance, body, geometry};
use crate::theory::{Seconds, Tempo};

/// A stroke is heard at least this long before hand or foot leaves it.
pub const HEARD: Seconds = Seconds(0.05);
/// Travels are planned this much slower than the limit, so that rounding never breaches it.
const GRACE: f64 = 1.2;

/// What is pressed when a stroke is plucked.
#[must_use]
pub fn ready_stance(stroke: &Stroke) -> Stance {
    match stroke.arrival {
        Arrival::Squeezed { from, .. } => from,
        _ => stroke.grip.place.stance,
    }
}

/// Whole frets whose places are kept at hand.
const FRETS: usize = 37;

/// An instrument under the hands of a player with limits, at a tempo.
#[derive(Debug, Clone, Copy)]
pub struct Reach<'a> {
    instrument: &'a Instrument,
    limits: &'a Limits,
    tempo: Tempo,
    /// Where each whole fret lies, in millimetres from the nut: the planner asks millions of times.
    frets: [f64; FRETS],
}

impl<'a> Reach<'a> {
    /// An instrument under somebody's hands.
    #[must_use]
    pub fn new(instrument: &'a Instrument, limits: &'a Limits, tempo: Tempo) -> Self {
        #[allow(clippy::cast_precision_loss)] // 0..=36
        let frets = std::array::from_fn(|f| geometry::from_nut(instrument.scale_length, Fret(f as f64)).0);
        Self {
            instrument,
            limits,
            tempo,
            frets,
        }
    }

    /// The instrument.
    #[must_use]
    pub fn instrument(&self) -> &'a Instrument {
        self.instrument
    }

    /// What the player can do.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        self.limits
    }

    /// How fast beats pass.
    #[must_use]
    pub fn tempo(&self) -> Tempo {
        self.tempo
    }

    /// Where the bar lies at a place.
    #[must_use]
    pub fn lie(&self, place: Place) -> Lie {
        place.lie(self.instrument)
    }

    /// Where the bar lies when a stroke is plucked: straight across where it slides in.
    #[must_use]
    pub fn ready(&self, stroke: &Stroke) -> Lie {
        match stroke.arrival {
            Arrival::Slid { from, .. } => Lie::straight(from),
            _ => self.lie(stroke.grip.place),
        }
    }

    /// How far the farther moving end of the bar travels, and how far it turns.
    fn way(&self, from: Lie, to: Lie) -> (Millimetres, Degrees) {
        if from.is_straight() && to.is_straight() {
            return (self.distance(from.far, to.far), Degrees(0.0));
        }
        // A forward slant and a reverse one turn to either side.
        let signed = |lie: Lie| lie.turned(self.instrument).0.copysign(lie.near.0 - lie.far.0);
        let turn = Degrees((signed(from) - signed(to)).abs());
        (from.way_to(to, self.instrument.scale_length), turn)
    }

    /// Whether the bar can be held at a place: not turned too far, and on the neck from end to end.
    #[must_use]
    pub fn can_slant(&self, place: Place) -> bool {
        if place.slant.is_none() {
            return true;
        }
        let lie = self.lie(place);
        let on_neck = |f: Fret| (0.0..=f64::from(self.instrument.frets)).contains(&f.0);
        on_neck(lie.far) && on_neck(lie.near) && lie.turned(self.instrument).0 <= self.limits.slant.0
    }

    /// How far the bar travels between two frets.
    fn distance(&self, from: Fret, to: Fret) -> Millimetres {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a negative fret is no whole one here
        let whole = |f: Fret| {
            self.frets
                .get(f.0 as usize)
                .filter(|_| f.0 >= 0.0 && f.0.fract() == 0.0)
        };
        match (whole(from), whole(to)) {
            (Some(a), Some(b)) => Millimetres((a - b).abs()),
            _ => geometry::between(self.instrument.scale_length, from, to),
        }
    }

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
    pub fn bar_jump(&self, from: Lie, to: Lie) -> Seconds {
        let (way, turn) = self.way(from, to);
        Seconds(self.limits.bar_jump(way, turn).0 * GRACE)
    }

    /// How long the bar needs to glide in this shape while strings sound.
    #[must_use]
    pub fn bar_glide(&self, from: Lie, to: Lie, shape: Shape) -> Seconds {
        let (way, turn) = self.way(from, to);
        Seconds(self.limits.bar_glide(way, turn).0 * GRACE * shape.peak())
    }

    /// The time from one raked string to the next.
    #[must_use]
    pub fn sweep(&self) -> Seconds {
        Seconds(self.limits.sweep.0 * GRACE)
    }

    /// How long the right hand is about a stroke after its moment: a rake takes time.
    #[must_use]
    pub fn plucking(&self, stroke: &Stroke) -> Seconds {
        #[allow(clippy::cast_precision_loss)] // a few strings
        let more = stroke.grip.strings.len().saturating_sub(1) as f64;
        match stroke.attack {
            Attack::Raked if stroke.arrival.plucks() => Seconds(self.sweep().0 * more),
            _ => Seconds(0.0),
        }
    }

    /// Whether hand and neck leave room for how a stroke is begun: a rake needs neighbouring strings and time to be
    /// heard, a harmonic a place to touch the strings.
    #[must_use]
    pub fn attack_fits(&self, stroke: &Stroke) -> bool {
        let held = (stroke.until - stroke.at).at(self.tempo).0;
        match stroke.attack {
            Attack::Plain | Attack::Swelled => true,
            Attack::Raked => stroke.grip.strings.is_unbroken() && self.plucking(stroke).0 + HEARD.0 <= held,
            Attack::Harmonic(above) => {
                let place = stroke.grip.place;
                place.slant.is_none() && place.fret.saturating_add(above) <= self.instrument.frets
            }
        }
    }

    /// How long `stroke` itself needs to arrive, whatever comes before.
    #[must_use]
    pub fn arrival_fits(&self, stroke: &Stroke) -> bool {
        let place = stroke.grip.place;
        if !self.attack_fits(stroke) || !self.can_slant(place) {
            return false;
        }
        let (needed, given) = match stroke.arrival {
            Arrival::Struck | Arrival::Carried { .. } => return true,
            Arrival::Slid { time, .. } => (self.bar_glide(self.ready(stroke), self.lie(place), stroke.shape), time),
            Arrival::Squeezed { from, time } => (self.stance_change(from, place.stance), time),
            Arrival::Leaned { through, time } => (self.stance_change(place.stance, through), time),
        };
        needed.0 <= given.at(self.tempo).0 && stroke.at + stroke.arrival.settles_after() <= stroke.until
    }

    /// Whether `next` can follow `before` (times from one origin), when feet and knees need `stance_change` between
    /// them. A carried stroke needs its strings still ringing.
    #[must_use]
    pub fn joins(&self, before: &Stroke, next: &Stroke, stance_change: Seconds) -> bool {
        let place = before.grip.place;
        let between = (next.at - before.at).at(self.tempo).0;
        let plucked = self.plucking(before).0;
        let settled = before.arrival.settles_after().at(self.tempo).0.max(plucked);
        if let Arrival::Carried { time } = next.arrival {
            let given = time.at(self.tempo).0;
            return next.grip.strings == before.grip.strings
                && settled + HEARD.0 <= between
                && self.bar_glide(self.lie(place), self.lie(next.grip.place), next.shape).0 <= given
                && stance_change.0 <= given
                && next.at + time <= next.until;
        }
        let raked = [before, next].iter().any(|s| s.attack == Attack::Raked);
        let single = !raked && before.grip.strings.len() == 1 && next.grip.strings.len() == 1;
        let pause = if single {
            self.limits.between_plucks
        } else {
            self.limits.same_finger
        };
        let needed = self.bar_jump(self.lie(place), self.ready(next)).0.max(stance_change.0);
        plucked + pause.0 * 1.01 <= between && settled + HEARD.0 + needed <= between
    }
}
