//! The plan before the notes: phrases, rhythms, the figure that returns, and the arc of the solo.
//!
//! *Invariant:* a slot lies inside one chord, and slots never overlap.
//!
//! A figure that is stated, comes back and is answered, and one high point at about two thirds: common practice, no
//! source.

use super::Brief;
use super::arc::Arc;
use super::dynamics;
use super::figure::{self, Asked, Rhythm, Variation};
use super::phrase::{self, Phrased};
use super::slot::{EPSILON, Onset, Slot, Step};
use crate::solo::chance;
use crate::solo::feel::{Cell, CellRole, pulse_groups};
use crate::solo::motif;
use crate::solo::request::{Ending, Entry, Request};
use crate::solo::rules;
use crate::theory::{Beats, ChordSpan, Hit, PitchClass, Swing, Timeline, TimelineBar, scale};
use std::ops::Range;

/// Onsets of a run that opens the solo.
const LONGEST_RUN: usize = 4;

/// When something is to happen, as a rhythm wishes it.
#[derive(Debug, Clone, Copy)]
struct WishedHit {
    at: Beats,
    step: Step,
    tone: Option<Asked>,
    rests: bool,
}

impl WishedHit {
    /// A hit that goes as it likes.
    fn plain(at: Beats) -> Self {
        let (step, tone, rests) = (0, None, false);
        Self { at, step, tone, rests }
    }
}

/// Lays out the bars `bars` of the timeline.
pub(super) fn lay_out(brief: &Brief<'_>, bars: Range<usize>, rng: &mut fastrand::Rng) -> Vec<Slot> {
    let mut layout = Layout::new(brief, bars.clone(), rng);
    for index in bars {
        layout.bar(index, rng);
    }
    let mut slots = set_apart(layout.slots, brief.request);
    let ends: Vec<Beats> = slots
        .iter()
        .skip(1)
        .filter_map(|s| s.onsets.first().map(|o| o.at))
        .collect();
    for (slot, end) in slots.iter_mut().zip(ends) {
        slot.end = end;
    }
    if let Some(first) = slots.first_mut() {
        first.first = true;
    }
    if let Some(last) = slots.last_mut() {
        last.last = true;
    }
    mark_peak(&mut slots);
    mark_strong(&mut slots, brief.timeline);
    dynamics::shape(&mut slots, brief.timeline, layout.bars, &layout.phrased);
    slots
}

/// Gives every slot the strong beats in it.
fn mark_strong(slots: &mut [Slot], timeline: &Timeline) {
    let strong = rules::strong_beats(timeline);
    for slot in slots {
        let start = slot.onsets.first().map_or(slot.end, |o| o.at);
        let from = strong.partition_point(|b| b.0 < start - EPSILON);
        let inside = strong.iter().skip(from).map(|b| b.0).take_while(|b| *b < slot.end);
        slot.strong = inside.collect();
    }
}

/// Gives the first and the last onset a slot of their own where the wish for entry or ending needs one.
fn set_apart(mut slots: Vec<Slot>, request: &Request) -> Vec<Slot> {
    if matches!(request.entry, Entry::Slide | Entry::Squeeze | Entry::Struck) {
        let rest = slots.first_mut().filter(|s| s.onsets.len() > 1).map(|s| Slot {
            onsets: s.onsets.split_off(1),
            arrives: false,
            ..s.clone()
        });
        slots.splice(slots.len().min(1)..slots.len().min(1), rest);
    }
    if request.ending != Ending::Unison {
        let end = slots.last_mut().filter(|s| s.onsets.len() > 1);
        let end = end.map(|s| Slot {
            onsets: s.onsets.split_off(s.onsets.len() - 1),
            arrives: false,
            ..s.clone()
        });
        slots.extend(end);
    }
    slots
}

/// The peak is the slot with the highest wish (the latest of equals, so that there is somewhere to come from).
fn mark_peak(slots: &mut [Slot]) {
    let highest = slots.iter().map(|s| s.fret).fold(f64::MIN, f64::max);
    if let Some(slot) = slots.iter_mut().rev().find(|s| s.fret >= highest - 1e-9) {
        slot.peak = true;
    }
}

struct Layout<'a> {
    brief: &'a Brief<'a>,
    bars: Range<usize>,
    arc: Arc,
    /// What each of its bars is for.
    phrased: Vec<Phrased>,
    call_steps: Vec<Step>,
    /// The chosen call for each number of felt beats, by that number.
    calls: [Option<Cell>; 5],
    /// How the figure's hits are grouped into moves.
    call_groups: Vec<usize>,
    /// What was changed when the figure last came back.
    varied: Option<Variation>,
    slots: Vec<Slot>,
}

impl<'a> Layout<'a> {
    fn new(brief: &'a Brief<'a>, bars: Range<usize>, rng: &mut fastrand::Rng) -> Self {
        let arc = Arc::over(brief.timeline, &bars, brief.request);
        let mut layout = Self {
            brief,
            phrased: phrase::of(bars.len(), rng),
            bars,
            arc,
            call_steps: Vec::new(),
            calls: [const { None }; 5],
            call_groups: Vec::new(),
            varied: None,
            slots: Vec::new(),
        };
        for pulses in 2..=4_u8 {
            layout.calls[usize::from(pulses)] = layout.choose(pulses, CellRole::Call, rng);
        }
        let most = layout.calls.iter().flatten().map(|c| c.hits.len()).max().unwrap_or(0);
        layout.call_steps = contour(most, rng);
        layout.call_groups = groups(most, rng);
        layout
    }

    /// A rhythm for a role, near the wished density.
    fn choose(&self, pulses: u8, role: CellRole, rng: &mut fastrand::Rng) -> Option<Cell> {
        let wanted = 0.2 + self.brief.request.density.clamp(0.0, 1.0) * 1.2;
        let near = |c: &Cell| c.weight * (-((c.density() - wanted) / 0.3).powi(2)).exp() + 1e-6;
        let cells: Vec<_> = self.brief.feel.cells_for(pulses, role).collect();
        let mut pick = rng.f64() * cells.iter().map(|c| near(c)).sum::<f64>();
        for cell in &cells {
            pick -= near(cell);
            if pick <= 0.0 {
                return Some((*cell).clone());
            }
        }
        cells.last().map(|c| (*c).clone())
    }

    /// What a bar of the song is for.
    fn phrased(&self, index: usize) -> Phrased {
        let own = self.phrased.get(index - self.bars.start);
        own.copied().unwrap_or(Phrased::CLOSE)
    }

    fn bar(&mut self, index: usize, rng: &mut fastrand::Rng) {
        let Some(bar) = self.brief.timeline.bars.get(index) else {
            return;
        };
        let role = self.phrased(index).role;
        let mut start = bar.start;
        for (part, pulses) in pulse_groups(bar.metre).into_iter().enumerate() {
            let length = bar.metre.pulse().scaled(f64::from(pulses));
            let gone = (start - bar.start).0 / bar.metre.pulse().0;
            // The melody first; where it is silent, the solo answers it.
            let given = self.sung(index, gone, pulses).or_else(|| self.run_in(index, pulses));
            let rhythm = given.or_else(|| self.rhythm(index, role, (part, gone), pulses, rng));
            self.group(bar, start, length, role, rhythm.as_ref(), rng);
            start += length;
        }
    }

    /// What happens in the `part`th group of felt beats of a bar, after `gone` of them: the figure is stated at the head
    /// of a phrase, comes back with one thing changed and is answered in between.
    fn rhythm(
        &mut self,
        index: usize,
        role: CellRole,
        (part, gone): (usize, f64),
        pulses: u8,
        rng: &mut fastrand::Rng,
    ) -> Option<Rhythm> {
        let call = self.calls.get(usize::from(pulses)).cloned().flatten();
        let stated = call.map(|cell| Rhythm::of(&cell, &self.call_steps));
        let motif = self.brief.request.motif.as_ref();
        let stated = motif.and_then(|m| Rhythm::of_motif(m, gone, pulses)).or(stated);
        match role {
            CellRole::Call if part == 0 && !self.phrased(index).opens => {
                let varied = Variation::other_than(self.varied, rng);
                self.varied = Some(varied);
                stated.map(|s| varied.of(&s))
            }
            CellRole::Call => stated,
            CellRole::Answer => {
                let own = self.choose(pulses, role, rng)?;
                stated.map(|s| figure::answer(&s, &own, pulses, rng))
            }
            CellRole::Breath | CellRole::Close => self.choose(pulses, role, rng).map(|c| Rhythm::of(&c, &[])),
        }
    }

    /// What the melody to shadow sings in the `pulses` felt beats of a bar after the first `gone`.
    fn sung(&self, index: usize, gone: f64, pulses: u8) -> Option<Rhythm> {
        let melody = self.brief.request.melody.as_ref()?;
        Rhythm::of_melody(melody, index - self.bars.start, gone, pulses)
    }

    /// The run that opens the solo, where one is wished for.
    fn run_in(&self, index: usize, pulses: u8) -> Option<Rhythm> {
        let opens = index == self.bars.start && self.brief.request.entry == Entry::Run;
        let busiest = self.busiest(pulses).filter(|_| opens)?;
        Some(Rhythm::of(&busiest, &[]))
    }

    fn busiest(&self, pulses: u8) -> Option<Cell> {
        self.brief
            .feel
            .cells
            .iter()
            .filter(|c| c.pulses == pulses)
            .max_by_key(|c| c.hits.len())
            .cloned()
    }

    /// Fills one group of felt beats, chord by chord.
    fn group(
        &mut self,
        bar: &TimelineBar,
        start: Beats,
        length: Beats,
        role: CellRole,
        rhythm: Option<&Rhythm>,
        rng: &mut fastrand::Rng,
    ) {
        let pulse = bar.metre.pulse();
        let beat = |felt: f64| start + self.placed(felt - 1.0, pulse);
        let hits: Vec<WishedHit> = match rhythm {
            Some(rhythm) => {
                let last = rhythm.hits.len().saturating_sub(1);
                let wishes = rhythm.steps.iter().zip(&rhythm.tones);
                let hits = rhythm.hits.iter().zip(wishes).enumerate();
                hits.map(|(i, (hit, (step, tone)))| WishedHit {
                    at: beat(*hit),
                    step: *step,
                    tone: *tone,
                    rests: rhythm.rests && i == last,
                })
                .collect()
            }
            None => vec![WishedHit::plain(start)],
        };
        let until = rhythm.map_or(start + length, |r| beat(r.until));
        let spans = &self.brief.timeline.spans;
        let overlapping = spans
            .iter()
            .enumerate()
            .filter(|(_, s)| s.start < start + length && s.end() > start);
        for (span_index, span) in overlapping.collect::<Vec<_>>() {
            let onsets = self.onsets_in(span, &hits, (start, start + length), until, role);
            self.cut(span_index, role, onsets, rng);
        }
    }

    /// Felt beats after a group's start as a time, swung where the song swings.
    fn placed(&self, pulses: f64, pulse: Beats) -> Beats {
        let whole = pulses.floor();
        let part = pulses - whole;
        let swung = self.brief.timeline.swing == Swing::Swung && pulse == Beats(1.0) && (part - 0.5).abs() < 1e-6;
        pulse.scaled(whole + if swung { 2.0 / 3.0 } else { part })
    }

    fn onsets_in(
        &self,
        span: &ChordSpan,
        hits: &[WishedHit],
        group: (Beats, Beats),
        until: Beats,
        role: CellRole,
    ) -> Vec<Onset> {
        let from = span.start.max(group.0);
        let end = span.end().min(group.1);
        let until = until.min(end);
        let own: Vec<WishedHit> = match span.hit {
            Hit::Rest => Vec::new(),
            Hit::Held | Hit::Choked if span.start >= group.0 => vec![WishedHit::plain(from)],
            Hit::Held | Hit::Choked => Vec::new(),
            Hit::Played => hits
                .iter()
                .copied()
                .filter(|h| h.at >= from - EPSILON && h.at < end - EPSILON)
                .collect(),
        };
        let own = if own.is_empty()
            && span.hit == Hit::Played
            && from > group.0
            && from < until
            && role != CellRole::Breath
        {
            // A chord that arrives between the hits is worth marking.
            vec![WishedHit::plain(from)]
        } else {
            own
        };
        let stop = match span.hit {
            Hit::Held => end,
            Hit::Choked => (from + Beats(0.5)).min(end),
            _ => until.max(own.last().map_or(from, |o| o.at + Beats(0.25))).min(end),
        };
        let ring = self.brief.feel.hand.ring.clamp(0.3, 1.0);
        own.iter()
            .enumerate()
            .map(|(i, hit)| {
                let at = hit.at;
                let next = own.get(i + 1).map_or(stop, |n| n.at);
                let held = if i + 1 == own.len() {
                    next - at
                } else {
                    (next - at).scaled(ring)
                };
                let until = at + held;
                Onset {
                    at,
                    until,
                    step: hit.step,
                    tone: hit.tone.and_then(|asked| tone_of(asked, span)),
                    sung: matches!(hit.tone, Some(Asked::OfKey(_))),
                    rests: hit.rests,
                    louder: 0.0,
                }
            })
            .collect()
    }

    /// Cuts a chord's onsets into slots, the figure always in the same way.
    fn cut(&mut self, span: usize, role: CellRole, onsets: Vec<Onset>, rng: &mut fastrand::Rng) {
        let opening = self.slots.is_empty() && self.brief.request.entry == Entry::Run;
        let sizes = match role {
            _ if opening => vec![LONGEST_RUN],
            // A melody and a motif are played note by note, each as it suits.
            _ if onsets.iter().any(|o| o.sung) => vec![1; onsets.len()],
            CellRole::Call if self.brief.request.motif.is_some() => vec![1; onsets.len()],
            CellRole::Call => self.call_groups.clone(),
            _ => groups(onsets.len(), rng),
        };
        let mut left = onsets.as_slice();
        for size in sizes.into_iter().chain(std::iter::repeat(2)) {
            if left.is_empty() {
                break;
            }
            // A note to rest on stands alone, so that it can be held.
            let moving = left.iter().take_while(|o| !o.rests).count().max(1);
            let (taken, rest) = left.split_at(size.clamp(1, moving));
            left = rest;
            let (Some(first), Some(last)) = (taken.first(), taken.last()) else {
                break;
            };
            self.slots.push(Slot {
                onsets: taken.to_vec(),
                end: last.until,
                span,
                arrives: self
                    .brief
                    .timeline
                    .spans
                    .get(span)
                    .is_some_and(|s| first.at <= s.start + EPSILON),
                role,
                fret: self.arc.fret(first.at),
                peak: false,
                first: false,
                last: false,
                strong: Vec::new(),
            });
        }
    }
}

/// The note that is asked for over a chord: a motif's is counted in the chord's own scale, a melody's in the key.
fn tone_of(asked: Asked, span: &ChordSpan) -> Option<PitchClass> {
    match asked {
        Asked::OfKey(degree) => Some(span.key.note(degree).class()),
        Asked::OfChord(degree) => motif::tone(degree, &scale::for_span(span)),
    }
}

/// A shape for the figure: rising, falling, arching or dipping.
fn contour(hits: usize, rng: &mut fastrand::Rng) -> Vec<Step> {
    let turn = 1 + chance::below(hits.max(2) - 1, rng);
    let shape = rng.u8(0..4);
    (0..hits)
        .map(|i| match shape {
            0 => 1,
            1 => -1,
            2 if i < turn => 1,
            2 => -1,
            _ if i < turn => -1,
            _ => 1,
        })
        .collect()
}

/// Cuts `hits` onsets into groups of one to four.
fn groups(hits: usize, rng: &mut fastrand::Rng) -> Vec<usize> {
    let mut left = hits;
    let mut sizes = Vec::new();
    while left > 0 {
        let size = match left {
            1 => 1,
            2 => 1 + usize::from(rng.f64() < 0.6),
            3 => [3, 2, 1][chance::below(3, rng)],
            4 => [4, 2, 3, 2][chance::below(4, rng)],
            _ => [3, 4][chance::below(2, rng)],
        };
        sizes.push(size);
        left -= size;
    }
    sizes
}
