//! Strokes woven into lanes: the one place where a meant action becomes bar, feet and right hand over time.
//!
//! *Invariant:* no string rings through a jump of the bar or a change it was not meant to follow: it is blocked first.

use super::limits::Limits;
use super::performance::{Block, BlockKind, Finger, Performance, Pluck, Shape, Touch, Turn, Vibrato};
use super::reach::{Reach, ready_stance};
use super::stroke::{Arrival, Attack, Grip, Stroke, Wave};
use crate::steel::{Change, Instrument, Lie, Stance, StringNumber, StringSet};
use crate::theory::{Beats, Seconds, Tempo, rank};

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);
/// The shortest vibrato worth hearing.
const LEAST_VIBRATO: Seconds = Seconds(0.35);
/// The volume pedal at rest, and opened as a held chord fades. Common practice, no source.
const VOLUME_REST: f64 = 0.7;
const VOLUME_OPEN: f64 = 0.95;

/// How long the foot takes to let the volume pedal up before a pluck that is not to be heard, and to open it after.
/// Common practice, no source.
const VOLUME_UP: Seconds = Seconds(0.08);
const SWELL_IN: Seconds = Seconds(0.9);

/// Weaves strokes (with absolute times, in order) into a performance of `length`.
#[must_use]
pub fn weave(strokes: &[Stroke], instrument: &Instrument, limits: &Limits, tempo: Tempo, length: Beats) -> Performance {
    let mut weaver = Weaver::new(instrument, limits, tempo, length);
    if let Some(first) = strokes.first() {
        weaver.set_out(first);
    }
    for (i, stroke) in strokes.iter().enumerate() {
        weaver.stroke(stroke, strokes.get(i + 1).map_or(length, |s| s.at));
    }
    weaver.finish()
}

struct Weaver<'a> {
    instrument: &'a Instrument,
    tempo: Tempo,
    reach: Reach<'a>,
    out: Performance,
    lie: Lie,
    stance: Stance,
    /// When each ringing string is to be blocked.
    ringing: [Option<Beats>; StringNumber::MOST],
    bar_free: Beats,
    feet_free: Beats,
    /// The moment before which nothing may be prepared: the last stroke has to be heard.
    heard: Beats,
    last_finger: Option<(Finger, StringNumber)>,
}

impl<'a> Weaver<'a> {
    fn new(instrument: &'a Instrument, limits: &'a Limits, tempo: Tempo, length: Beats) -> Self {
        let mut out = Performance::silent(length, instrument.changes.len());
        out.volume.first = VOLUME_REST;
        Self {
            instrument,
            tempo,
            reach: Reach::new(instrument, limits, tempo),
            out,
            lie: Lie::default(),
            stance: Stance::OPEN,
            ringing: [None; StringNumber::MOST],
            bar_free: Beats::ZERO,
            feet_free: Beats::ZERO,
            heard: Beats::ZERO,
            last_finger: None,
        }
    }

    /// The player sits ready for the first stroke before the song starts.
    fn set_out(&mut self, first: &Stroke) {
        let (lie, stance) = (self.reach.ready(first), ready_stance(first));
        self.lie = lie;
        self.stance = stance;
        self.out.bar.first = lie.far.0;
        self.out.slant.first = lie.near.0 - lie.far.0;
        for change in self.instrument.change_ids() {
            if let Some(lane) = self.out.travels.get_mut(change.index()) {
                lane.first = self.instrument.travel(stance, change).0;
            }
        }
    }

    fn stroke(&mut self, stroke: &Stroke, next: Beats) {
        let at = stroke.at;
        if stroke.arrival.plucks() {
            self.prepare(self.reach.ready(stroke), ready_stance(stroke), at);
            self.take_over(stroke);
            self.expire(at);
            self.pluck(stroke);
        } else {
            self.hold(stroke);
            self.expire(at);
            self.drop_unheld(stroke);
        }
        self.arrive(stroke);
        for string in stroke.grip.strings.iter() {
            if let Some(until) = &mut self.ringing[string.index()] {
                *until = stroke.until;
            }
        }
        self.colour(stroke, next);
        self.heard = at + stroke.arrival.settles_after();
    }

    /// Brings bar and changes to where the next pluck needs them, blocking what would be dragged along.
    fn prepare(&mut self, lie: Lie, stance: Stance, by: Beats) {
        if lie != self.lie {
            let need = self.reach.bar_jump(self.lie, lie).at(self.tempo);
            let start = (by - need).max(self.bar_free).max(self.heard).min(by);
            self.block_where(start, BlockKind::Palm, |_| true);
            self.lay(lie, start, by - start, Shape::Eased);
        }
        if stance != self.stance {
            let need = self.reach.stance_change(self.stance, stance).at(self.tempo);
            let start = (by - need).max(self.feet_free).max(self.heard).min(by);
            let moved = self.moved_between(self.stance, stance);
            self.block_where(start, BlockKind::Pick, |s| moved.contains(s));
            self.press(stance, start, by - start, Shape::Eased);
        }
    }

    /// A string plucked again while it rings needs no block: the pick stops it.
    fn take_over(&mut self, stroke: &Stroke) {
        for string in stroke.grip.strings.iter() {
            if self.ringing[string.index()].is_some_and(|until| until >= stroke.at) {
                self.ringing[string.index()] = None;
            }
        }
    }

    fn pluck(&mut self, stroke: &Stroke) {
        let raked = stroke.attack == Attack::Raked;
        let mut strings: Vec<StringNumber> = stroke.grip.strings.iter().collect();
        let mut fingers = fingers_for(stroke.grip.strings, self.last_finger);
        if raked {
            strings.reverse();
            fingers.fill(Finger::Thumb);
        }
        let touch = match stroke.attack {
            Attack::Harmonic(above) => Touch::Harmonic(above),
            Attack::Plain | Attack::Raked | Attack::Swelled => Touch::Plain,
        };
        let mut at = stroke.at;
        for (string, finger) in strings.into_iter().zip(fingers) {
            self.out.plucks.push(Pluck {
                at,
                string,
                finger,
                strength: stroke.strength,
                touch,
            });
            if raked {
                at += self.reach.sweep().at(self.tempo);
            }
            self.ringing[string.index()] = Some(stroke.until);
            self.last_finger = Some((finger, string));
        }
    }

    /// What rings until the very moment it is carried on is not stopped there.
    fn hold(&mut self, stroke: &Stroke) {
        for string in stroke.grip.strings.iter() {
            if let Some(until) = &mut self.ringing[string.index()]
                && *until >= stroke.at - EPSILON
            {
                *until = until.max(stroke.until);
            }
        }
    }

    /// Strings that ring but are not meant to be carried along are blocked when they would be moved.
    fn drop_unheld(&mut self, stroke: &Stroke) {
        let bar_moves = self.reach.lie(stroke.grip.place) != self.lie;
        let moved = self.moved_between(self.stance, stroke.grip.place.stance);
        let held = stroke.grip.strings;
        self.block_where(stroke.at, BlockKind::Palm, |s| {
            !held.contains(s) && (bar_moves || moved.contains(s))
        });
    }

    /// Moves bar and changes from where the stroke began to where it arrives.
    fn arrive(&mut self, stroke: &Stroke) {
        let Grip { place, .. } = stroke.grip;
        match stroke.arrival {
            Arrival::Struck => {}
            Arrival::Slid { time, .. } | Arrival::Squeezed { time, .. } | Arrival::Carried { time } => {
                self.lay(self.reach.lie(place), stroke.at, time, stroke.shape);
                self.press(place.stance, stroke.at, time, stroke.shape);
            }
            Arrival::Leaned { through, time } => {
                self.press(through, stroke.at + time, time, stroke.shape);
                self.press(place.stance, stroke.at + time.scaled(2.0), time, stroke.shape);
            }
        }
    }

    /// Moves the bar to where it is to lie, turning it on the way.
    fn lay(&mut self, to: Lie, at: Beats, time: Beats, shape: Shape) {
        if to == self.lie {
            return;
        }
        let turn = |to: f64| Turn {
            at,
            length: time,
            to,
            shape,
        };
        if to.far != self.lie.far {
            self.out.bar.turns.push(turn(to.far.0));
        }
        let (slant, before) = (to.near.0 - to.far.0, self.lie.near.0 - self.lie.far.0);
        if slant != before {
            self.out.slant.turns.push(turn(slant));
        }
        self.bar_free = at + time;
        self.lie = to;
    }

    /// Moves feet and knees to a stance; what can't be held together is let go first.
    fn press(&mut self, to: Stance, at: Beats, time: Beats, shape: Shape) {
        if to == self.stance {
            return;
        }
        let in_turn = self.reach.in_turn(self.stance, to);
        let part = if in_turn { time.scaled(0.5) } else { time };
        for change in self
            .instrument
            .change_ids()
            .filter(|c| self.stance.travel(*c) != to.travel(*c))
        {
            let end = self.instrument.travel(to, change).0;
            let pressing = end > self.instrument.travel(self.stance, change).0;
            let start = if in_turn && pressing { at + part } else { at };
            if let Some(lane) = self.out.travels.get_mut(change.index()) {
                lane.turns.push(Turn {
                    at: start,
                    length: part,
                    to: end,
                    shape,
                });
            }
        }
        self.feet_free = at + time;
        self.stance = to;
    }

    /// Vibrato and volume on a stroke that is held.
    fn colour(&mut self, stroke: &Stroke, next: Beats) {
        let still = stroke.at + stroke.arrival.settles_after();
        let end = stroke.until.min(next).min(self.out.length);
        if let Some(wave) = stroke.wave {
            let start = still + wave.onset.scaled(0.5);
            // The bar may leave early for the next place: the wave ends before that.
            let length = end - start - self.reach.limits().bar_landing.at(self.tempo).scaled(4.0);
            if self.lie.far.0 > 0.0 && length.at(self.tempo) > LEAST_VIBRATO {
                let Wave { rate, depth, onset } = wave;
                self.out.vibrato.push(Vibrato {
                    at: start,
                    length,
                    rate,
                    depth,
                    onset,
                });
            }
        }
        let held = end - still;
        if stroke.attack == Attack::Swelled && stroke.arrival.plucks() {
            self.swell_in(stroke.at, end);
            return;
        }
        if stroke.swell && held > Beats(1.0) {
            let open = Turn {
                at: still + held.scaled(0.2),
                length: held.scaled(0.5),
                to: VOLUME_OPEN,
                shape: Shape::Eased,
            };
            let close = Turn {
                at: still + held.scaled(0.8),
                length: held.scaled(0.2),
                to: VOLUME_REST,
                shape: Shape::Eased,
            };
            self.out.volume.turns.extend([open, close]);
        }
    }

    /// Lets the volume pedal up before a pluck at `at` and opens it after, so that no pick is heard.
    fn swell_in(&mut self, at: Beats, end: Beats) {
        let beats = |s: Seconds| s.at(self.tempo);
        let busy = self.out.volume.turns.last().map_or(Beats::ZERO, |t| t.at + t.length);
        let up = (at - beats(VOLUME_UP)).max(busy).min(at);
        let opens = beats(SWELL_IN).min((end - at).scaled(0.6));
        let turn = |at: Beats, length: Beats, to: f64| Turn {
            at,
            length,
            to,
            shape: Shape::Eased,
        };
        self.out.volume.turns.push(turn(up, at - up, 0.0));
        self.out.volume.turns.push(turn(at, opens, VOLUME_REST));
    }

    /// Blocks the strings whose time is up by `now`.
    fn expire(&mut self, now: Beats) {
        for string in self.instrument.string_numbers() {
            if let Some(until) = self.ringing[string.index()].filter(|u| *u <= now) {
                self.ringing[string.index()] = None;
                self.block(until, StringSet::EMPTY.with(string), BlockKind::Pick);
            }
        }
    }

    /// Blocks the ringing strings that `which` picks, at `at` or at their own earlier end.
    fn block_where(&mut self, at: Beats, kind: BlockKind, which: impl Fn(StringNumber) -> bool) {
        self.expire(at);
        let strings: StringSet = self
            .instrument
            .string_numbers()
            .filter(|s| self.ringing[s.index()].is_some() && which(*s))
            .collect();
        for string in strings.iter() {
            self.ringing[string.index()] = None;
        }
        if !strings.is_empty() {
            self.block(at, strings, kind);
        }
    }

    fn block(&mut self, at: Beats, strings: StringSet, kind: BlockKind) {
        match self.out.blocks.last_mut() {
            Some(last) if last.at == at && last.kind == kind => last.strings = last.strings.or(strings),
            _ => self.out.blocks.push(Block { at, strings, kind }),
        }
    }

    /// The strings that going from one stance to another moves.
    fn moved_between(&self, from: Stance, to: Stance) -> StringSet {
        let changed = self
            .instrument
            .change_ids()
            .filter(|c| from.travel(*c) != to.travel(*c));
        changed
            .filter_map(|c| self.instrument.change(c))
            .map(Change::strings)
            .fold(StringSet::EMPTY, StringSet::or)
    }

    fn finish(mut self) -> Performance {
        let end = self.out.length;
        self.expire(end);
        self.block_where(end, BlockKind::Palm, |_| true);
        self.out.blocks.sort_by_cached_key(|one| rank(one.at.0));
        self.out
    }
}

/// Which finger takes which string: thumb on the lowest of the grip, fingers above it; single notes alternate.
/// Common practice, no source.
fn fingers_for(strings: StringSet, last: Option<(Finger, StringNumber)>) -> Vec<Finger> {
    match strings.len() {
        0 => Vec::new(),
        1 => {
            let string = strings.iter().next();
            let lower = matches!((string, last), (Some(s), Some((_, l))) if s > l);
            vec![match last {
                Some((Finger::Thumb, _)) if lower => Finger::Index,
                Some((Finger::Thumb, _)) => Finger::Middle,
                Some(_) => Finger::Thumb,
                None => Finger::Index,
            }]
        }
        2 => vec![Finger::Middle, Finger::Thumb],
        3 => vec![Finger::Middle, Finger::Index, Finger::Thumb],
        _ => vec![Finger::Ring, Finger::Middle, Finger::Index, Finger::Thumb],
    }
}
