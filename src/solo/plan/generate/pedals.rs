//! What feet and knees do while strings ring: squeezes, leans, chords carried into one another.

use super::lines::is_pedal_pair;
use crate::solo::moves::Kind;
use crate::solo::plan::candidate::{Bench, Candidate, Part, Sketch};
use crate::solo::plan::palette::{Notes, Voicing};
use crate::solo::plan::weights;
use crate::solo::stroke::{Arrival, Attack, Grip, Stroke};
use crate::steel::{Place, Stance};
use crate::theory::{Beats, NoteNumber};
use smallvec::SmallVec;

/// Voicings tried.
const TRIED: usize = 24;
/// The bar carries ringing strings over at most this many frets.
const FARTHEST_CARRY: u8 = 5;
/// A bent note is held this long at most before it is let up, and has come to the chord by then.
const BENT: Beats = Beats(0.45);
const RESOLVED: Beats = Beats(0.95);
/// A lean is hurried below this part of the time a feel takes for it.
const HURRIED: f64 = 0.6;
/// Ringing grips considered as a start.
const STARTS: usize = 40;

/// Plucked a step off the chord and squeezed into it.
pub(super) fn squeezed(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if count > 2 {
        return Vec::new();
    }
    let time = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |_| true) {
        for from in neighbours(bench.notes, &bench.scale, voicing.grip, true) {
            let mut sketches = vec![Sketch::of(voicing); count];
            if let Some(first) = sketches.first_mut() {
                first.arrival = Arrival::Squeezed { from, time };
            }
            found.extend(bench.build(Kind::Squeeze, &sketches, None));
        }
    }
    found
}

/// Leaned on a change and let back.
pub(super) fn leaned(bench: &Bench<'_>) -> Vec<Candidate> {
    let [onset] = bench.onsets() else { return Vec::new() };
    let time = bench
        .feel
        .hand
        .squeeze_time
        .at(bench.reach.tempo())
        .min((onset.until - onset.at).scaled(0.3));
    let Some(time) = home_by_the_beat(bench, onset.at, time) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |_| true) {
        for through in neighbours(bench.notes, &bench.scale, voicing.grip, false) {
            let sketch = Sketch::of(voicing).arriving(Arrival::Leaned { through, time });
            found.extend(bench.build(Kind::Lean, &[sketch], None));
        }
    }
    found
}

/// How long each way of a lean takes, so that no strong beat hears it away from home; nothing where it would have to be
/// hurried.
fn home_by_the_beat(bench: &Bench<'_>, at: Beats, time: Beats) -> Option<Beats> {
    let away = |time: Beats| at + time..at + time.scaled(2.0);
    let heard = |time: Beats| bench.slot.strong_between(away(time).start, away(time).end);
    let beat = bench.slot.strong.iter().find(|beat| away(time).contains(beat));
    let sooner = beat.map_or(time, |beat| (*beat - at).scaled(0.5));
    (sooner >= time.scaled(HURRIED) && !heard(sooner)).then_some(sooner)
}

/// Stances one or two changes away that move one of the grip's strings by a step within the scale.
///
/// A squeeze comes from the scale; a lean may also go half a step outside it, which is what a half pedal is for.
pub(in crate::solo::plan) fn neighbours(
    notes: &Notes,
    scale: &[bool; 12],
    grip: Grip,
    strict: bool,
) -> SmallVec<[Stance; 8]> {
    let place = grip.place;
    // Nothing is pressed under a slanted bar.
    if place.slant.is_some() {
        return SmallVec::new();
    }
    let near = notes
        .stances
        .iter()
        .enumerate()
        .filter(|(_, s)| (1..=2).contains(&s.changes_to(place.stance)));
    near.filter(|(index, stance)| {
        let mut moved = 0;
        let fits = grip.strings.iter().all(|string| {
            let (Some(here), Some(there)) = (notes.note(string, place), notes.at(*index, string, place.fret)) else {
                return false;
            };
            let by = there.above(here).0.abs();
            moved += usize::from(by > 0);
            by <= 2 && (by == 0 || scale[usize::from(there.class().number())] || (!strict && by == 1))
        });
        // Every change that differs must be heard, else it is idle footwork.
        let heard = stance.changes_to(place.stance) <= moved;
        fits && moved > 0 && heard
    })
    .map(|(_, stance)| *stance)
    .collect()
}

/// Ringing strings carried into the slot's chord; and, within a slot, a chord rolled over to its neighbour and back.
pub(super) fn carried(bench: &Bench<'_>, from: &[Grip]) -> Vec<Candidate> {
    let mut found = carried_over(bench, from);
    if (2..=3).contains(&bench.onsets().len()) {
        found.extend(rolled_over(bench));
    }
    found
}

fn carried_over(bench: &Bench<'_>, from: &[Grip]) -> Vec<Candidate> {
    let squeeze = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    // A new chord that feet and knees alone bring about is what the pedals are for.
    let feet_alone = if bench.slot.arrives {
        bench.feel.hand.pedals.clamp(0.0, 1.0) * weights::PEDALS_ALONE
    } else {
        0.0
    };
    let mut found = Vec::new();
    for start in from.iter().take(STARTS) {
        let low = start.place.fret.saturating_sub(FARTHEST_CARRY).max(1);
        for voicing in bench
            .voicings
            .iter()
            .filter(|v| v.grip.strings == start.strings && v.grip != *start)
        {
            let fret = voicing.grip.place.fret;
            if start.place.fret == 0 && fret != 0
                || fret != start.place.fret && !(low..=start.place.fret + FARTHEST_CARRY).contains(&fret)
            {
                continue;
            }
            let frets = fret.abs_diff(start.place.fret);
            let slide = if frets > 0 {
                bench.feel.slide_time(frets, bench.reach.tempo())
            } else {
                squeeze
            };
            let sketch = Sketch::of(voicing).arriving(Arrival::Carried {
                time: slide.max(squeeze),
            });
            let mut sketches = vec![sketch];
            sketches.resize(bench.onsets().len(), Sketch::of(voicing));
            let gain = if frets == 0 { feet_alone } else { 0.0 };
            found.extend(bench.build(Kind::Carry, &sketches, Some(*start)).map(|c| Candidate {
                cost: c.cost - gain,
                ..c
            }));
        }
    }
    found
}

/// Struck, carried by the changes to a neighbouring chord of the scale, and back if there is room.
fn rolled_over(bench: &Bench<'_>) -> Vec<Candidate> {
    let time = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.strings.len() >= 2) {
        for stance in neighbours(bench.notes, &bench.scale, voicing.grip, true) {
            let place = Place {
                stance,
                ..voicing.grip.place
            };
            let notes: Option<SmallVec<[NoteNumber; 3]>> = voicing
                .grip
                .strings
                .iter()
                .map(|s| bench.notes.note(s, place))
                .collect();
            let Some(notes) = notes else { continue };
            let Some(top) = notes.iter().max() else { continue };
            let away = Sketch {
                grip: Grip { place, ..voicing.grip },
                top: *top,
                arrival: Arrival::Carried { time },
                cost: voicing.cost,
                harmonic: notes.iter().all(|n| bench.in_chord(*n)),
                attack: Attack::Plain,
            };
            let back = Sketch::of(voicing).arriving(Arrival::Carried { time });
            let all = [Sketch::of(voicing), away, back];
            found.extend(
                all.get(..bench.onsets().len())
                    .and_then(|s| bench.build(Kind::Carry, s, None)),
            );
        }
    }
    found
}

/// Plucked with a change already down, held, then let up into the chord.
pub(super) fn pre_bends(bench: &Bench<'_>) -> Vec<Candidate> {
    let [onset] = bench.onsets() else { return Vec::new() };
    // A note that is asked for is heard at once, not after another that is held before it.
    if bench.never(Kind::PreBend) || onset.tone.is_some() {
        return Vec::new();
    }
    let time = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    let hold = (onset.until - onset.at).scaled(0.3).min(BENT);
    // A foreign tone must be gone within a beat, and stands on no strong one.
    if hold + time > RESOLVED {
        return Vec::new();
    }
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.strings.len() < 3) {
        for bent in neighbours(bench.notes, &bench.scale, voicing.grip, true) {
            let stance = voicing.grip.place.stance;
            let only_let_up = stance.pressed().all(|c| bent.travel(c).0 >= stance.travel(c).0);
            if !only_let_up {
                continue;
            }
            found.extend(bench.build_with(Kind::PreBend, &[Sketch::of(voicing)], None, |parts| {
                let part = parts.last_mut()?;
                let released = Stroke {
                    at: part.stroke.at + hold,
                    ..part.stroke.arriving(Arrival::Carried { time })
                };
                part.stroke.until = released.at;
                part.stroke.wave = None;
                part.stroke.swell = false;
                part.stroke.grip.place.stance = bent;
                let released = Part {
                    stroke: released,
                    ..*part
                };
                part.harmonic = bench.sounds_chord(part.stroke.grip);
                part.rests = false;
                parts.push(released);
                Some(())
            }));
        }
    }
    found
}

/// The foot rocked from one pair of pedals to the next, and back while there is room.
pub(super) fn rolls(bench: &Bench<'_>) -> Vec<Candidate> {
    let count = bench.onsets().len();
    if !(2..=4).contains(&count) || bench.never(Kind::PedalRoll) {
        return Vec::new();
    }
    let instrument = bench.reach.instrument();
    let time = bench.feel.hand.squeeze_time.at(bench.reach.tempo());
    let paired = |s: Stance| is_pedal_pair(instrument, s);
    let pairs: Vec<Stance> = bench.notes.stances.iter().copied().filter(|s| paired(*s)).collect();
    let mut found = Vec::new();
    for voicing in bench.nearest(TRIED, |v| v.grip.strings.len() > 1 && paired(v.grip.place.stance)) {
        let here = voicing.grip.place.stance;
        for stance in pairs.iter().copied().filter(|s| s.changes_to(here) == 2) {
            let Some(away) = rocked(bench, voicing, stance) else {
                continue;
            };
            let carried = Arrival::Carried { time };
            let back = Sketch::of(voicing).arriving(carried);
            let away = away.arriving(carried);
            let order = [Sketch::of(voicing), away.clone(), back, away];
            found.extend(order.get(..count).and_then(|s| bench.build(Kind::PedalRoll, s, None)));
        }
    }
    found
}

/// A voicing with another stance: some string moves by a step, all within the scale.
fn rocked(bench: &Bench<'_>, voicing: &Voicing, stance: Stance) -> Option<Sketch> {
    let place = Place {
        stance,
        ..voicing.grip.place
    };
    let mut moved = false;
    let mut notes: SmallVec<[NoteNumber; 3]> = SmallVec::new();
    for string in voicing.grip.strings.iter() {
        let (here, there) = (
            bench.notes.note(string, voicing.grip.place)?,
            bench.notes.note(string, place)?,
        );
        let by = there.above(here).0.abs();
        if by > 2 || !bench.in_scale(there) {
            return None;
        }
        moved |= by > 0;
        notes.push(there);
    }
    let top = notes.iter().max().copied().filter(|_| moved)?;
    Some(Sketch {
        grip: Grip { place, ..voicing.grip },
        top,
        harmonic: notes.iter().all(|n| bench.in_chord(*n)),
        ..Sketch::of(voicing)
    })
}
