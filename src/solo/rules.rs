//! What holds of a good solo: predicates shared by the planner, the report and the marks.
//!
//! *Invariant:* planner and grader ask these same functions; neither keeps a second opinion.

use super::notes::{Meaning, Note, notes};
use super::performance::Performance;
use crate::steel::{Instrument, StringNumber};
use crate::theory::{Beats, Cents, Height, Timeline, rank};

/// Times closer than this are one time.
const EPSILON: f64 = 1e-6;

/// Whether the ear takes what sounds at `at` as the harmony: the first felt beat of a bar, the third of four, and the
/// moment a chord arrives. Common practice, no source.
#[must_use]
pub fn is_strong(timeline: &Timeline, at: Beats) -> bool {
    let arrives = timeline.spans.iter().any(|s| (s.start - at).0.abs() < EPSILON);
    let Some(bar) = timeline
        .bar_index_at(at + Beats(EPSILON))
        .and_then(|i| timeline.bars.get(i))
    else {
        return arrives;
    };
    let pulse = bar.metre.pulse();
    let gone = (at - bar.start).0 / pulse.0;
    let on_pulse = (gone - gone.round()).abs() < EPSILON;
    let pulses = (bar.metre.bar().0 / pulse.0).round();
    let third_of_four = (pulses - 4.0).abs() < EPSILON && (gone - 2.0).abs() < EPSILON;
    arrives || on_pulse && (gone.abs() < EPSILON || third_of_four)
}

/// A pitch that stands on a strong beat, foreign to the chord, and does not resolve.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// The strong beat.
    pub at: Beats,
    /// The string.
    pub string: StringNumber,
    /// What the pitch means over the chord.
    pub meaning: Meaning,
}

/// How long a foreign note may stand on a strong beat before it steps to a chord tone, in felt beats.
const RESOLVES_WITHIN: f64 = 1.0;
/// A pitch farther than this from every note is between notes.
const BETWEEN: Cents = Cents(25.0);
/// The largest step, with a little grace for tuning offsets.
const STEP: Cents = Cents(230.0);

/// Every pitch that breaks the rule: what stands on a strong beat belongs to the chord, or resolves by step.
///
/// A pitch that is gliding on the beat counts by where it arrives.
#[must_use]
pub fn clashes(performance: &Performance, instrument: &Instrument, timeline: &Timeline) -> Vec<Clash> {
    clashes_at(&strong_beats(timeline), performance, instrument, timeline)
}

/// The same on some of the strong beats.
pub(super) fn clashes_at(
    beats: &[(Beats, Beats)],
    performance: &Performance,
    instrument: &Instrument,
    timeline: &Timeline,
) -> Vec<Clash> {
    let heard = notes(performance, instrument, timeline.tempo);
    let mut clashes = Vec::new();
    for (at, pulse) in beats.iter().copied() {
        for note in heard
            .iter()
            .filter(|n| n.start().0 <= at.0 + EPSILON && at.0 + EPSILON < n.end.0)
        {
            let Some(span) = timeline.span_at(at + Beats(EPSILON)) else {
                continue;
            };
            let stands = standing(note, at);
            let meaning = Meaning::of(stands, span);
            let belongs = meaning.tone.is_some() && meaning.off.0.abs() <= BETWEEN.0;
            if !belongs && !resolves(note, &heard, at, pulse.scaled(RESOLVES_WITHIN), stands, timeline) {
                clashes.push(Clash {
                    at,
                    string: note.string(),
                    meaning,
                });
            }
        }
    }
    clashes
}

/// The strong beats of a song in order, each with the felt beat of its bar.
pub(super) fn strong_beats(timeline: &Timeline) -> Vec<(Beats, Beats)> {
    let mut beats: Vec<(Beats, Beats)> = Vec::new();
    for bar in &timeline.bars {
        let pulse = bar.metre.pulse();
        let (mut at, end) = (bar.start, bar.start + bar.metre.bar());
        while at.0 + EPSILON < end.0 {
            if is_strong(timeline, at) {
                beats.push((at, pulse));
            }
            at += pulse;
        }
    }
    let pulse_at = |at| {
        timeline
            .bar_index_at(at)
            .and_then(|i| timeline.bars.get(i))
            .map_or(Beats(1.0), |b| b.metre.pulse())
    };
    let arrivals: Vec<_> = timeline.spans.iter().map(|s| (s.start, pulse_at(s.start))).collect();
    beats.extend(
        arrivals
            .into_iter()
            .filter(|(at, _)| !timeline.bars.iter().any(|b| (b.start - *at).0.abs() < EPSILON)),
    );
    beats.sort_by_cached_key(|one| rank(one.0.0));
    beats.dedup_by(|a, b| (a.0 - b.0).0.abs() < EPSILON);
    beats
}

/// The height of a note at a moment; while it moves, the height it moves to.
pub(super) fn standing(note: &Note, at: Beats) -> Height {
    let begun = note.motions.iter().filter(|m| m.start.0 <= at.0 + EPSILON);
    begun
        .max_by(|a, b| a.end.0.total_cmp(&b.end.0))
        .map_or(note.height, |m| m.to)
}

/// Whether a foreign pitch steps to a chord tone in time, on its own string while it rings or by the next note near it.
fn resolves(note: &Note, heard: &[Note], at: Beats, within: Beats, from: Height, timeline: &Timeline) -> bool {
    let in_time = |moment: Beats| moment.0 > at.0 + EPSILON && moment.0 <= (at + within).0 + EPSILON;
    let to_chord = |moment: Beats, height: Height| {
        let step = height.above(from).0.abs();
        timeline
            .span_at(moment + Beats(EPSILON))
            .is_some_and(|span| step > BETWEEN.0 && step <= STEP.0 && Meaning::of(height, span).tone.is_some())
    };
    let itself = note
        .rests()
        .any(|(moment, height)| in_time(moment) && to_chord(moment, height));
    let follower = || {
        let later = heard.iter().filter(|n| in_time(n.start()) && n.end > n.start());
        later
            .min_by(|a, b| a.start().0.total_cmp(&b.start().0))
            .map(Note::start)
    };
    itself
        || follower().is_some_and(|next| {
            heard
                .iter()
                .any(|n| (n.start() - next).0.abs() < EPSILON && to_chord(next, standing(n, next)))
        })
}
