//! What else could stand where a move stands: the planner's own proposals for one place, for [`crate::solo::revise`].
//!
//! *Invariant:* a proposal begins with the move's first stroke and lies inside the move's time and chord.

use super::slot::{Onset, Slot};
use super::{Workshop, classes, generate};
use crate::solo::feel::CellRole;
use crate::solo::moves::{Kind, Move};
use crate::solo::rules;
use crate::solo::stroke::{Grip, Stroke};
use crate::steel::Stance;
use crate::theory::{Beats, NoteNumber};

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);
/// What a proposal costs for each semitone its first top note lies away from the move's own.
const AWAY: f64 = 0.06;
/// The most onsets a held chord is broken up into.
const MOST_ONSETS: usize = 4;

/// A way to sound the chord, as a revision needs it.
#[derive(Debug, Clone, Copy)]
pub(in crate::solo) struct Way {
    pub(in crate::solo) grip: Grip,
    pub(in crate::solo) top: NoteNumber,
    /// Whether two strings sound one note.
    pub(in crate::solo) unison: bool,
    pub(in crate::solo) cost: f64,
}

impl Workshop<'_> {
    /// Every way to sound the chord in force at `at`.
    pub(in crate::solo) fn ways(&self, at: Beats) -> impl Iterator<Item = Way> + '_ {
        let span = self.brief.timeline.span_at(at + EPSILON);
        let known = span.and_then(|s| self.voicings.get(&s.chord));
        known.into_iter().flatten().map(|v| Way {
            grip: v.grip,
            top: v.top(),
            unison: v.notes.len() == 2 && v.notes.first() == v.notes.last(),
            cost: v.cost,
        })
    }

    /// Moves that could stand where `action` stands until `end`, in the same rhythm, held as one, or (where it is
    /// one held chord) broken up by felt beats; the likeliest first. `before` is the stroke that goes before.
    pub(in crate::solo) fn instead(&self, action: &Move, end: Beats, before: Option<&Stroke>, last: bool) -> Vec<Move> {
        let rhythm: Vec<(Beats, Beats)> = action.timed().map(|s| (s.at, s.until)).collect();
        let (Some(first), Some(stop)) = (rhythm.first().copied(), rhythm.last().copied()) else {
            return Vec::new();
        };
        let whole = vec![(first.0, stop.1)];
        let mut rhythms = vec![self.broken(first.0, stop.1), whole, rhythm];
        rhythms.dedup();
        rhythms.retain(|r| !r.is_empty());
        let ringing = before.filter(|s| s.until >= first.0 - EPSILON).map(|s| s.grip);
        let own = action.strokes.first().and_then(|s| self.top(s.grip));
        let mut found: Vec<(f64, Move)> = Vec::new();
        for rhythm in rhythms.iter().rev() {
            let Some(slot) = self.slot(action, rhythm, end, last) else {
                continue;
            };
            let Some(bench) = self.bench(&slot) else { continue };
            let all = generate::candidates(&bench, ringing.as_slice());
            found.extend(all.into_iter().map(|c| {
                let away = own.map_or(0, |own| c.first_top.above(own).0.abs());
                (c.cost + f64::from(away) * AWAY, c.action)
            }));
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, action)| action).collect()
    }

    /// The highest note of a grip.
    pub(in crate::solo) fn top(&self, grip: Grip) -> Option<NoteNumber> {
        grip.strings.iter().filter_map(|s| self.notes.note(s, grip.place)).max()
    }

    /// Stances a change or two away from the grip's that move one of its strings by a step: of the scale when
    /// `strict`, else half a step outside it too.
    pub(in crate::solo) fn neighbours(&self, at: Beats, grip: Grip, strict: bool) -> Vec<Stance> {
        let Some(span) = self.brief.timeline.span_at(at + EPSILON) else {
            return Vec::new();
        };
        let (_, scale) = classes(span);
        generate::neighbours(&self.notes, &scale, grip, strict).to_vec()
    }

    /// The felt beats from `from` to `until`, where there is more than one.
    fn broken(&self, from: Beats, until: Beats) -> Vec<(Beats, Beats)> {
        let bars = &self.brief.timeline.bars;
        let bar = self
            .brief
            .timeline
            .bar_index_at(from + EPSILON)
            .and_then(|i| bars.get(i));
        let pulse = bar.map_or(Beats(1.0), |b| b.metre.pulse());
        let mut onsets = vec![from];
        while let Some(next) = onsets.last().map(|l| *l + pulse)
            && next + pulse.scaled(0.4) < until
            && onsets.len() < MOST_ONSETS
        {
            onsets.push(next);
        }
        if onsets.len() < 2 {
            return Vec::new();
        }
        let ends = onsets.iter().skip(1).copied().chain([until]);
        onsets.iter().copied().zip(ends).collect()
    }

    fn slot(&self, action: &Move, rhythm: &[(Beats, Beats)], end: Beats, last: bool) -> Option<Slot> {
        let strong = rules::strong_beats(self.brief.timeline);
        let inside = |b: &Beats| action.at - EPSILON <= *b && *b < end;
        let onset = |(at, until): &(Beats, Beats)| Onset {
            at: *at,
            until: *until,
            rests: false,
            step: 0,
            tone: None,
            sung: false,
            louder: 0.0,
        };
        #[allow(clippy::cast_precision_loss)]
        let count = action.strokes.len() as f64;
        let frets: f64 = action.strokes.iter().map(|s| f64::from(s.grip.place.fret)).sum();
        let span = self.brief.timeline.span_index_at(action.at + EPSILON)?;
        let chord = self.brief.timeline.spans.get(span)?;
        Some(Slot {
            onsets: rhythm.iter().map(onset).collect(),
            end,
            span,
            arrives: action.at <= chord.start + EPSILON,
            role: CellRole::Answer,
            fret: frets / count,
            peak: false,
            first: false,
            last: last || matches!(action.kind, Kind::RingOut | Kind::Unison),
            strong: strong.into_iter().map(|b| b.0).filter(inside).collect(),
        })
    }
}
