//! What can be counted in a pass: the figures that tell one attitude from another and a solo from a row of notes.
//!
//! *Invariant:* read off the performance and the song alone, whoever made the pass.

use crate::solo::notes::{Cause, Meaning, Motion, Note, notes};
use crate::solo::pass::Pass;
use crate::solo::performance::Performance;
use crate::solo::plan;
use crate::solo::rules;
use crate::steel::Instrument;
use crate::theory::{Beats, Height, Timeline, rank};
use std::ops::Range;

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);
/// The largest step, with a little grace for tuning offsets, in semitones.
const STEP: f64 = 2.3;
/// Silence shorter than this is no breath.
const BREATH: Beats = Beats(0.5);
/// What moves within this of a change of chord belongs to it.
const AT_THE_CHANGE: Beats = Beats(0.3);
/// As far from the wished-for fret as this, the arc is not followed at all.
const OFF_THE_ARC: f64 = 12.0;

/// A pass in numbers. Parts are 0..=1.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures {
    /// Part of what sounds on strong beats that belongs to the chord.
    pub chord_tones: f64,
    /// Part of the foreign notes that go on by a step.
    pub resolved: f64,
    /// Part of the bars whose rhythm was heard before.
    pub returning: f64,
    /// How near the bar keeps to the arc that was asked for: 1 on it, 0 an octave off.
    pub arc: f64,
    /// Frets the bar travels in a beat.
    pub travel: f64,
    /// Movements of pedals and levers in a bar.
    pub footwork: f64,
    /// Strokes in a bar.
    pub strokes: f64,
    /// Strings in a stroke.
    pub strings: f64,
    /// Part of the notes that the bar glides while they sound.
    pub slid: f64,
    /// Part of the notes that a pedal or lever moves while they sound.
    pub bent: f64,
    /// Part of the changes of chord that strings ring through while feet or knees alone move.
    pub carried: f64,
    /// Part of the time in which nothing sounds.
    pub silence: f64,
    /// Length of the notes, in beats.
    pub length: f64,
}

/// A pass as it is heard.
pub(super) struct Heard<'a> {
    pub(super) pass: &'a Pass,
    pub(super) timeline: &'a Timeline,
    pub(super) performance: &'a Performance,
    pub(super) notes: Vec<Note>,
    /// The bars it was asked for.
    pub(super) bars: Range<usize>,
}

impl Figures {
    /// The figures of a pass, given the performance woven from it.
    #[must_use]
    pub fn of(pass: &Pass, performance: &Performance, instrument: &Instrument, timeline: &Timeline) -> Self {
        Heard::new(pass, performance, instrument, timeline).figures()
    }
}

impl<'a> Heard<'a> {
    pub(super) fn new(
        pass: &'a Pass,
        performance: &'a Performance,
        instrument: &Instrument,
        timeline: &'a Timeline,
    ) -> Self {
        let all = 0..timeline.bars.len();
        let asked = pass
            .request
            .bars
            .clone()
            .filter(|b| b.end <= all.end && b.start < b.end);
        Self {
            pass,
            timeline,
            performance,
            notes: notes(performance, instrument, timeline.tempo),
            bars: asked.unwrap_or(all),
        }
    }

    fn figures(&self) -> Figures {
        let (start, end) = self.span();
        let beats = (end - start).0.max(1e-9);
        let bars = count(self.bars.len()).max(1.0);
        let strokes: Vec<_> = self.pass.moves.iter().flat_map(|m| m.timed()).collect();
        let strings: usize = strokes.iter().map(|s| s.grip.strings.len()).sum();
        let by = |wanted: fn(&Cause) -> bool| {
            let moved = self.notes.iter().filter(|n| n.motions.iter().any(|m| wanted(&m.cause)));
            part(moved.count(), self.notes.len())
        };
        let travel: f64 = self.performance.bar.movements().map(|m| (m.to - m.from).abs()).sum();
        let footwork: usize = self.performance.travels.iter().map(|t| t.movements().count()).sum();
        let silence: f64 = self.silences().iter().map(|(from, to)| (*to - *from).0).sum();
        let length: f64 = self.notes.iter().map(|n| n.length().0).sum();
        Figures {
            chord_tones: self.chord_tones(),
            resolved: self.resolved(),
            returning: self.returning(),
            arc: self.arc(),
            travel: travel / beats,
            footwork: count(footwork) / bars,
            strokes: count(strokes.len()) / bars,
            strings: count(strings) / count(strokes.len()).max(1.0),
            slid: by(|c| matches!(c, Cause::Bar { .. })),
            bent: by(|c| matches!(c, Cause::Change { .. })),
            carried: self.carried(),
            silence: silence / beats,
            length: length / count(self.notes.len()).max(1.0),
        }
    }

    fn carried(&self) -> f64 {
        let (start, end) = self.span();
        let pairs = self.timeline.spans.windows(2);
        let changes = pairs.filter_map(|pair| match pair {
            [a, b] if a.chord != b.chord && start < b.start && b.start < end => Some(b.start),
            _ => None,
        });
        let near = |m: &Motion, at: Beats| (m.start - at).0.abs() < AT_THE_CHANGE.0;
        let by_feet = |note: &Note, at: Beats| {
            let mut moved = note.motions.iter().filter(|m| near(m, at)).peekable();
            let rings = note.start() < at - EPSILON && note.end > at + EPSILON;
            rings && moved.peek().is_some() && moved.all(|m| matches!(m.cause, Cause::Change { .. }))
        };
        let (mut all, mut carried) = (0, 0);
        for at in changes {
            all += 1;
            carried += usize::from(self.notes.iter().any(|n| by_feet(n, at)));
        }
        part(carried, all)
    }

    /// The moment its bars begin and the moment they end.
    pub(super) fn span(&self) -> (Beats, Beats) {
        let bar = |i: usize| self.timeline.bars.get(i);
        let start = bar(self.bars.start).map_or(Beats::ZERO, |b| b.start);
        let end = bar(self.bars.end.saturating_sub(1)).map_or(start, |b| b.start + b.metre.bar());
        (start, end)
    }

    fn chord_tones(&self) -> f64 {
        let (start, end) = self.span();
        let (mut all, mut own) = (0, 0);
        for (at, _) in rules::strong_beats(self.timeline) {
            let Some(span) = self.timeline.span_at(at + EPSILON).filter(|_| start <= at && at < end) else {
                continue;
            };
            for note in self.notes.iter().filter(|n| n.sounds_at(at + EPSILON)) {
                all += 1;
                own += usize::from(Meaning::of(rules::standing(note, at), span).tone.is_some());
            }
        }
        part(own, all)
    }

    /// Every height that is come to rest on, in order of time.
    pub(super) fn rests(&self) -> Vec<(Beats, Height)> {
        let mut rests: Vec<(Beats, Height)> = self.notes.iter().flat_map(Note::rests).collect();
        rests.sort_by_cached_key(|one| (rank(one.0.0), rank(one.1.0)));
        rests
    }

    fn resolved(&self) -> f64 {
        let rests = self.rests();
        let (mut foreign, mut resolved) = (0, 0);
        for (i, (at, height)) in rests.iter().enumerate() {
            let span = self.timeline.span_at(*at + EPSILON);
            if span.is_none_or(|s| Meaning::of(*height, s).tone.is_some()) {
                continue;
            }
            foreign += 1;
            let next = rests.iter().skip(i + 1).find(|r| r.0 > *at + EPSILON).map(|r| r.0);
            let at_next = rests.iter().filter(|r| Some(r.0) == next);
            let steps = at_next.into_iter().any(|r| (r.1.0 - height.0).abs() <= STEP);
            resolved += usize::from(steps);
        }
        if foreign == 0 { 1.0 } else { part(resolved, foreign) }
    }

    /// When each bar's strokes fall, in ticks from the bar's start.
    pub(super) fn rhythm(&self, bar: usize) -> Vec<i64> {
        let Some(bar) = self.timeline.bars.get(bar) else {
            return Vec::new();
        };
        let end = bar.start + bar.metre.bar();
        let inside = self.pass.moves.iter().flat_map(|m| m.beats());
        let inside = inside.filter(|at| *at >= bar.start - EPSILON && *at < end - EPSILON);
        #[allow(clippy::cast_possible_truncation)] // ticks
        inside.map(|at| ((at - bar.start).0 * 48.0).round() as i64).collect()
    }

    /// The bars whose rhythm, of two strokes or more, was heard before.
    pub(super) fn returns(&self) -> Vec<usize> {
        let mut known: Vec<Vec<i64>> = Vec::new();
        let mut returns = Vec::new();
        for bar in self.bars.clone() {
            let rhythm = self.rhythm(bar);
            if rhythm.len() < 2 {
                continue;
            }
            if known.contains(&rhythm) {
                returns.push(bar);
            } else {
                known.push(rhythm);
            }
        }
        returns
    }

    fn returning(&self) -> f64 {
        part(self.returns().len(), self.bars.len())
    }

    fn arc(&self) -> f64 {
        let strokes: Vec<_> = self.pass.moves.iter().flat_map(|m| m.timed()).collect();
        let wish = plan::wished_fret(self.timeline, &self.bars, &self.pass.request);
        let off: f64 = strokes
            .iter()
            .map(|s| (f64::from(s.grip.place.fret) - wish(s.at)).abs())
            .sum();
        (1.0 - off / count(strokes.len()).max(1.0) / OFF_THE_ARC).max(0.0)
    }

    /// The stretches in which nothing sounds, each a breath long at least.
    pub(super) fn silences(&self) -> Vec<(Beats, Beats)> {
        let (start, end) = self.span();
        let mut sounding: Vec<(Beats, Beats)> = self.notes.iter().map(|n| (n.start(), n.end)).collect();
        sounding.sort_by_cached_key(|one| rank(one.0.0));
        let mut silences = Vec::new();
        let mut until = start;
        for (from, to) in sounding.into_iter().chain([(end, end)]) {
            if from - until >= BREATH {
                silences.push((until, from));
            }
            until = until.max(to);
        }
        silences
    }
}

#[allow(clippy::cast_precision_loss)] // counts of strokes and bars
pub(super) fn count(n: usize) -> f64 {
    n as f64
}

fn part(some: usize, all: usize) -> f64 {
    if all == 0 { 0.0 } else { count(some) / count(all) }
}
