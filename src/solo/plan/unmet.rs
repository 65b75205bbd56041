//! Which parts of a request a pass has not met, so that the player can be told.
//!
//! *Invariant:* read off the finished pass, never off the search: what is told is what is heard.

use super::layout::Slot;
use super::{Brief, Point, Remark};
use crate::solo::moves::Move;
use crate::solo::pass::Pass;
use crate::solo::stroke::Stroke;
use crate::steel::Instrument;
use crate::theory::{Beats, PitchClass};

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);
/// A place this many frets from the wish is far from it.
const FAR: u8 = 5;

/// What the `number`th pass of a draft has not met.
pub(super) fn remarks(brief: &Brief<'_>, pass: &Pass, slots: &[Slot], number: usize) -> Vec<Remark> {
    let strokes: Vec<Stroke> = pass.moves.iter().flat_map(|m| Move::timed(m)).collect();
    let mut remarks = Vec::new();
    remarks.extend(motif_cut(brief));
    remarks.extend(motif(brief, &strokes, slots, number));
    remarks.extend(strings(brief, &strokes, number));
    remarks.extend(places(brief, &strokes, number));
    remarks
}

/// A motif longer than the song's first bar.
fn motif_cut(brief: &Brief<'_>) -> Option<Remark> {
    let motif = brief.request.motif.as_ref()?;
    let metre = brief.timeline.bars.first()?.metre;
    let beats = (metre.bar().0 / metre.pulse().0).round();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // the felt beats of a bar
    (motif.length() > beats + EPSILON.0).then_some(Remark::MotifCut { beats: beats as usize })
}

fn motif(brief: &Brief<'_>, strokes: &[Stroke], slots: &[Slot], number: usize) -> Option<Remark> {
    let asked = slots.iter().flat_map(|s| &s.onsets);
    let asked: Vec<(Beats, PitchClass)> = asked.filter_map(|o| Some((o.at, o.tone?))).collect();
    let met = |(at, tone): &(Beats, PitchClass)| {
        let at_once = strokes.iter().filter(|s| (s.at - *at).0.abs() < EPSILON.0);
        at_once.map(|s| top(s, brief.instrument)).any(|top| top == Some(*tone))
    };
    let missed: Vec<Beats> = asked.iter().filter(|a| !met(a)).map(|a| a.0).collect();
    let bar = brief.timeline.bar_index_at(*missed.first()? + EPSILON)?;
    Some(Remark::MotifUnmet {
        pass: number,
        missed: missed.len(),
        of: asked.len(),
        bar: bar + 1,
    })
}

fn top(stroke: &Stroke, instrument: &Instrument) -> Option<PitchClass> {
    let notes = stroke.grip.strings.iter();
    let notes = notes.filter_map(|s| instrument.note(s, stroke.grip.place));
    notes.max().map(|n| n.class())
}

fn strings(brief: &Brief<'_>, strokes: &[Stroke], number: usize) -> Option<Remark> {
    let all: usize = strokes.iter().map(|s| s.grip.strings.len()).sum();
    let others: usize = strokes.iter().map(|s| brief.request.unfavoured(s.grip.strings)).sum();
    (others * 2 > all).then_some(Remark::StringsUnmet { pass: number })
}

fn places(brief: &Brief<'_>, strokes: &[Stroke], number: usize) -> Vec<Remark> {
    let request = brief.request;
    let fret = |s: &Stroke| s.grip.place.fret;
    let first = strokes.first().map(fret);
    let last = strokes.last().map(fret);
    let rises = request.high_fret >= request.start_fret.max(request.end_fret);
    let high = strokes.iter().map(fret).max().filter(|_| rises);
    [
        (Point::Start, request.start_fret, first),
        (Point::High, request.high_fret, high),
        (Point::End, request.end_fret, last),
    ]
    .into_iter()
    .filter_map(|(point, wished, is)| {
        let is = is.filter(|is| is.abs_diff(wished) >= FAR)?;
        Some(Remark::PlaceUnmet {
            pass: number,
            point,
            wished,
            is,
        })
    })
    .collect()
}
