//! Candidates: moves that could fill a slot, each with what it costs by itself.
//!
//! *Invariant:* a candidate is playable in itself and obeys the strong-beat rule; only how it joins its neighbours is
//! still open.

use super::dynamics;
use super::palette::{HIGHEST_FRET, Notes, Voicing};
use super::slot::{Onset, Slot, Step};
use super::weights;
use crate::solo::feel::Feel;
use crate::solo::moves::{Kind, Move};
use crate::solo::performance::Shape;
use crate::solo::reach::{Reach, ready_stance};
use crate::solo::request::Request;
use crate::solo::stroke::{Arrival, Attack, Grip, Stroke, Wave};
use crate::steel::Stance;
use crate::theory::{Beats, NoteNumber, PitchClass};

/// An onset this near a strong beat is on it.
const STRONG_AT: Beats = Beats(1e-5);

/// A move for a slot.
#[derive(Debug, Clone)]
pub(super) struct Candidate {
    /// The move, at its moment.
    pub(super) action: Move,
    /// Its first and last stroke, with times from the start of the song.
    pub(super) first: Stroke,
    pub(super) last: Stroke,
    /// Indices of the stance the first stroke needs and of the one the last leaves.
    pub(super) stance_in: usize,
    pub(super) stance_out: usize,
    /// A carried move starts from exactly this grip.
    pub(super) carried_from: Option<Grip>,
    pub(super) first_top: NoteNumber,
    pub(super) last_top: NoteNumber,
    pub(super) highest: NoteNumber,
    /// Whether it ends on tones of the chord.
    pub(super) ends_harmonic: bool,
    pub(super) cost: f64,
}

/// One stroke in the making: the grip, its notes from the lowest up, how it arrives.
#[derive(Debug, Clone)]
pub(super) struct Sketch {
    pub(super) grip: Grip,
    pub(super) top: NoteNumber,
    pub(super) arrival: Arrival,
    /// What the grip costs by itself.
    pub(super) cost: f64,
    /// Whether all its notes belong to the chord.
    pub(super) harmonic: bool,
    /// How it is begun.
    pub(super) attack: Attack,
}

/// A stroke in its place, as a move is put together.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    pub(super) stroke: Stroke,
    /// Whether the ear may take it as the harmony: its tones are the chord's, or become so in time.
    pub(super) harmonic: bool,
    /// Whether an answer comes to rest on it.
    pub(super) rests: bool,
}

impl Sketch {
    pub(super) fn of(voicing: &Voicing) -> Self {
        Self {
            grip: voicing.grip,
            top: voicing.top(),
            arrival: Arrival::Struck,
            cost: voicing.cost,
            harmonic: true,
            attack: Attack::Plain,
        }
    }

    pub(super) fn begun(self, attack: Attack) -> Self {
        Self { attack, ..self }
    }

    pub(super) fn arriving(self, arrival: Arrival) -> Self {
        Self { arrival, ..self }
    }
}

/// The voicings in the order a slot wishes for them: cheap in themselves, near the arc, as full as the feel likes.
pub(super) fn ranked<'a>(voicings: &'a [Voicing], slot: &Slot, feel: &Feel, request: &Request) -> Vec<&'a Voicing> {
    let tone = slot.onsets.first().and_then(|o| o.tone);
    let wish = |voicing: &Voicing| {
        let fret = f64::from(voicing.grip.place.fret);
        let strings = voicing.grip.strings.len().abs_diff(usize::from(feel.hand.strings));
        #[allow(clippy::cast_precision_loss)]
        let fullness = strings as f64 * weights::FULLNESS;
        let asked = off_tone(tone, voicing.top()) + off_strings(request, voicing.grip);
        voicing.cost + asked + unpedalled(feel, voicing.grip) + (fret - slot.fret).abs() * weights::ARC + fullness
    };
    let mut ranked: Vec<(f64, &Voicing)> = voicings.iter().map(|v| (wish(v), v)).collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    ranked.into_iter().map(|(_, voicing)| voicing).collect()
}

/// What a feel that leaves it to the bar pays for the changes a grip holds.
#[allow(clippy::cast_precision_loss)]
fn unpedalled(feel: &Feel, grip: Grip) -> f64 {
    grip.place.stance.pressed().count() as f64 * (1.0 - feel.hand.pedals.clamp(0.0, 1.0)) * weights::BAR_ONLY
}

/// What it costs to miss the note that is asked for.
fn off_tone(tone: Option<PitchClass>, top: NoteNumber) -> f64 {
    if tone.is_some_and(|t| t != top.class()) {
        weights::MOTIF
    } else {
        0.0
    }
}

/// What it costs to leave the strings that are asked for.
#[allow(clippy::cast_precision_loss)]
fn off_strings(request: &Request, grip: Grip) -> f64 {
    request.unfavoured(grip.strings) as f64 * weights::OTHER_STRING
}

/// What every generator needs.
pub(super) struct Bench<'a> {
    pub(super) reach: Reach<'a>,
    pub(super) feel: &'a Feel,
    pub(super) request: &'a Request,
    pub(super) notes: &'a Notes,
    pub(super) slot: &'a Slot,
    /// Voicings of the slot's chord, the nearest to the wish first.
    pub(super) voicings: Vec<&'a Voicing>,
    /// Which pitch classes fit the chord in its key, by class number.
    pub(super) scale: [bool; 12],
    pub(super) chord: [bool; 12],
    /// The chord's root.
    pub(super) root: PitchClass,
    pub(super) wave: Option<Wave>,
}

impl<'a> Bench<'a> {
    pub(super) fn in_scale(&self, note: NoteNumber) -> bool {
        self.scale[usize::from(note.class().number())]
    }

    /// Whether a grip sounds nothing but tones of the chord.
    pub(super) fn sounds_chord(&self, grip: Grip) -> bool {
        let belongs = |s| self.notes.note(s, grip.place).is_some_and(|n| self.in_chord(n));
        grip.strings.iter().all(belongs)
    }

    pub(super) fn in_chord(&self, note: NoteNumber) -> bool {
        self.chord[usize::from(note.class().number())]
    }

    /// Whether the feel never makes this move.
    pub(super) fn never(&self, kind: Kind) -> bool {
        self.feel.weight(kind) <= 0.0
    }

    pub(super) fn onsets(&self) -> &[Onset] {
        &self.slot.onsets
    }

    /// The `most` voicings nearest to the wish among those that `keep` keeps.
    pub(super) fn nearest(&self, most: usize, keep: impl Fn(&Voicing) -> bool) -> impl Iterator<Item = &'a Voicing> {
        self.voicings.iter().copied().filter(move |v| keep(v)).take(most)
    }

    /// The fret of the arc, kept where the bar can be.
    pub(super) fn window(&self, width: u8) -> std::ops::RangeInclusive<u8> {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let middle = self.slot.fret.round().clamp(1.0, f64::from(HIGHEST_FRET)) as u8;
        middle.saturating_sub(width).max(1)..=(middle + width).min(HIGHEST_FRET)
    }

    /// Turns sketches (one for each onset) into a candidate, or nothing when the body or the strong beats forbid it.
    pub(super) fn build(&self, kind: Kind, sketches: &[Sketch], carried_from: Option<Grip>) -> Option<Candidate> {
        self.build_with(kind, sketches, carried_from, |_| Some(()))
    }

    /// The same with strokes of its own added or changed by `and`; nothing when that says nothing.
    pub(super) fn build_with(
        &self,
        kind: Kind,
        sketches: &[Sketch],
        carried_from: Option<Grip>,
        and: impl FnOnce(&mut Vec<Part>) -> Option<()>,
    ) -> Option<Candidate> {
        let onsets = self.onsets();
        let (first_sketch, last_sketch) = (sketches.first()?, sketches.last()?);
        if onsets.len() != sketches.len() {
            return None;
        }
        let part = |(o, s): (&Onset, &Sketch)| Part {
            stroke: self.stroke(kind, o, s),
            harmonic: s.harmonic,
            rests: o.rests,
        };
        let mut parts: Vec<Part> = onsets.iter().zip(sketches).map(part).collect();
        and(&mut parts)?;
        let mut strokes: Vec<Stroke> = parts.iter().map(|p| p.stroke).collect();
        ring_into_carries(&mut strokes);
        if kind == Kind::Roll {
            let end = strokes.last()?.until;
            strokes.iter_mut().for_each(|s| s.until = end);
        }
        let foreign = |(i, p): (usize, &Part)| !p.harmonic && (p.rests || self.bears_harmony(&strokes, i));
        if parts.iter().enumerate().any(foreign) {
            return None;
        }
        let joined = |a: &Stroke, b: &Stroke| {
            let change = self.notes.change_time(a.grip.place.stance, needed_stance(b));
            self.reach.joins(a, b, change)
        };
        if !strokes.iter().all(|s| self.reach.arrival_fits(s))
            || !strokes.windows(2).all(|w| matches!(w, [a, b] if joined(a, b)))
        {
            return None;
        }
        let start = onsets.first()?.at;
        let (first, last) = (*strokes.first()?, *strokes.last()?);
        let length = self.slot.end.max(last.until) - start;
        let cost = self.cost(kind, sketches)?;
        let strokes = strokes
            .into_iter()
            .map(|s| Stroke {
                at: s.at - start,
                until: s.until - start,
                ..s
            })
            .collect();
        Some(Candidate {
            action: Move {
                kind,
                at: start,
                length,
                strokes,
                locked: false,
            },
            first,
            last,
            stance_in: self.notes.index_of(needed_stance(&first))?,
            stance_out: self.notes.index_of(last.grip.place.stance)?,
            carried_from,
            first_top: first_sketch.top,
            last_top: last_sketch.top,
            highest: sketches.iter().map(|s| s.top).max()?,
            ends_harmonic: last_sketch.harmonic,
            cost,
        })
    }

    /// Whether a strong beat falls while the stroke at `index` sounds, so that its tones must be the chord's.
    fn bears_harmony(&self, strokes: &[Stroke], index: usize) -> bool {
        let Some(stroke) = strokes.get(index) else { return false };
        let next = strokes.get(index + 1);
        let carried_off = next.filter(|n| !n.arrival.plucks()).map(|n| n.at);
        self.slot.strong_between(stroke.at, carried_off.unwrap_or(stroke.until))
    }

    fn stroke(&self, kind: Kind, onset: &Onset, sketch: &Sketch) -> Stroke {
        let held = (onset.until - onset.at).at(self.reach.tempo()).0;
        let until = match kind {
            Kind::Blocked => onset.at + (onset.until - onset.at).scaled(0.5),
            _ => onset.until,
        };
        let strong = self.slot.strong_between(onset.at, onset.at + STRONG_AT);
        let hand = self.feel.hand;
        let strength = hand.strength * dynamics::weight(onset.louder, sketch.top, strong, hand.dynamics);
        Stroke {
            at: onset.at,
            grip: sketch.grip,
            arrival: sketch.arrival,
            shape: Shape::default(),
            until,
            strength: strength.clamp(0.05, 1.0),
            wave: self
                .wave
                .filter(|_| held > weights::WAVE_FROM.0 && kind != Kind::Blocked),
            swell: self.feel.hand.swell && held > weights::SWELL_FROM.0,
            attack: sketch.attack,
        }
    }

    /// The candidate's own cost, or nothing for a move this feel never makes.
    fn cost(&self, kind: Kind, sketches: &[Sketch]) -> Option<f64> {
        let gladly = self.feel.weight(kind);
        if gladly <= 0.0 {
            return None;
        }
        #[allow(clippy::cast_precision_loss)]
        let count = sketches.len() as f64;
        let each: f64 = sketches
            .iter()
            .map(|s| {
                // Open strings lie nowhere on the neck.
                let off_arc = match kind {
                    Kind::OpenRun => 0.0,
                    _ => (f64::from(s.grip.place.fret) - self.slot.fret).abs() * weights::ARC,
                };
                let asked = off_strings(self.request, s.grip);
                s.cost
                    + asked
                    + unpedalled(self.feel, s.grip)
                    + off_arc
                    + if s.harmonic { 0.0 } else { weights::PASSING }
            })
            .sum();
        let shape: f64 = sketches
            .windows(2)
            .zip(self.onsets().iter().skip(1))
            .map(|(pair, onset)| match pair {
                [a, b] => contour_cost(onset.step, a.top, b.top),
                _ => 0.0,
            })
            .sum();
        let onsets = self.onsets().iter();
        let missed: f64 = onsets.zip(sketches).map(|(o, s)| off_tone(o.tone, s.top)).sum();
        let loose_end = if sketches.last().is_some_and(|s| !s.harmonic) {
            weights::LOOSE_END
        } else {
            0.0
        };
        Some(-gladly.ln() * weights::KIND + each / count + shape / count + loose_end + missed)
    }
}

/// What it costs when the top note does not go the way the figure goes.
pub(super) fn contour_cost(step: Step, from: NoteNumber, to: NoteNumber) -> f64 {
    let went = to.above(from).0.signum();
    if step == 0 || went == i16::from(step) {
        0.0
    } else {
        weights::CONTOUR
    }
}

/// The stance feet and knees have to get to for a stroke: what is pressed at its pluck, or where it is carried.
fn needed_stance(stroke: &Stroke) -> Stance {
    match stroke.arrival {
        Arrival::Carried { .. } => stroke.grip.place.stance,
        _ => ready_stance(stroke),
    }
}

/// A stroke rings until the one that carries its strings on has ended.
fn ring_into_carries(strokes: &mut [Stroke]) {
    let mut until: Option<Beats> = None;
    for stroke in strokes.iter_mut().rev() {
        if let Some(until) = until {
            stroke.until = stroke.until.max(until);
        }
        until = matches!(stroke.arrival, Arrival::Carried { .. }).then_some(stroke.until);
    }
}
