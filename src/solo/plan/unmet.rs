//! Which parts of a request a pass has not met, so that the player can be told.
//!
//! *Invariant:* read off the finished pass, never off the search: what is told is what is heard.

use super::slot::Slot;
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
    remarks.extend(melody_cut(brief));
    remarks.extend(asked(brief, &strokes, slots, number));
    remarks.extend(strings(brief, &strokes, number));
    remarks.extend(places(brief, &strokes, number));
    remarks
}

/// A motif longer than the song's first bar.
fn motif_cut(brief: &Brief<'_>) -> Option<Remark> {
    let motif = brief.request.motif.as_ref()?;
    let beats = felt_beats(brief, 0)?;
    longer(motif.length(), beats).then_some(Remark::MotifCut { beats })
}

/// What of the melody finds no room in the solo's bars.
fn melody_cut(brief: &Brief<'_>) -> Option<Remark> {
    let melody = brief.request.melody.as_ref()?;
    let solo = brief.request.bars.clone().unwrap_or(0..brief.timeline.bars.len());
    if melody.bars() > solo.len() {
        return Some(Remark::MelodyLong { bars: solo.len() });
    }
    let cut = |(written, bar): (usize, usize)| {
        let beats = felt_beats(brief, bar)?;
        longer(melody.length(written), beats).then_some(Remark::MelodyCut { bar: bar + 1, beats })
    };
    (0..melody.bars()).zip(solo).find_map(cut)
}

fn longer(length: f64, beats: usize) -> bool {
    #[allow(clippy::cast_precision_loss)] // the felt beats of a bar
    let beats = beats as f64;
    length > beats + EPSILON.0
}

fn felt_beats(brief: &Brief<'_>, bar: usize) -> Option<usize> {
    let metre = brief.timeline.bars.get(bar)?.metre;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // the felt beats of a bar
    Some((metre.bar().0 / metre.pulse().0).round() as usize)
}

/// Notes of the melody and of the motif that the pass has not met.
fn asked(brief: &Brief<'_>, strokes: &[Stroke], slots: &[Slot], number: usize) -> Vec<Remark> {
    let met = |(at, tone): &(Beats, PitchClass)| {
        let at_once = strokes.iter().filter(|s| (s.at - *at).0.abs() < EPSILON.0);
        at_once.map(|s| top(s, brief.instrument)).any(|top| top == Some(*tone))
    };
    let unmet = |sung: bool| {
        let asked = slots.iter().flat_map(|s| &s.onsets).filter(|o| o.sung == sung);
        let asked: Vec<(Beats, PitchClass)> = asked.filter_map(|o| Some((o.at, o.tone?))).collect();
        let missed: Vec<Beats> = asked.iter().filter(|a| !met(a)).map(|a| a.0).collect();
        let bar = brief.timeline.bar_index_at(*missed.first()? + EPSILON)? + 1;
        let (pass, missed, of) = (number, missed.len(), asked.len());
        Some(if sung {
            Remark::MelodyUnmet { pass, missed, of, bar }
        } else {
            Remark::MotifUnmet { pass, missed, of, bar }
        })
    };
    [true, false].into_iter().filter_map(unmet).collect()
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
