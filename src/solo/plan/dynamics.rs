//! How loud each onset is to be: a phrase swells to its goal and tapers off, a return comes softer or stronger, and the
//! whole grows to the high point.
//!
//! *Invariant:* a wish in dB of strength, laid out before any note is chosen; only how high a note lies is added after.
//!
//! That phrases swell and taper, that what lies higher is louder and that a returning group is told from the one before
//! it: A. Friberg, R. Bresin and J. Sundberg, Overview of the KTH rule system for musical performance, Advances in
//! Cognitive Psychology 2 (2006), rules "phrase arch" and "high loud", the 3 dB an octave of the latter from memory. The
//! other figures are taste, no source.

use super::phrase::Phrased;
use super::slot::Slot;
use crate::solo::feel::CellRole;
use crate::theory::{Beats, NoteNumber, Timeline};
use std::ops::Range;

/// A phrase has its goal after this part of it.
const GOAL: f64 = 0.55;
/// How much softer a phrase begins and ends than its goal.
const BEGINS: f64 = -2.5;
const ENDS: f64 = -4.0;
/// How much softer the solo begins and ends than its high point.
const AWAY: f64 = -2.0;
/// A figure that comes back within its phrase.
const RETURNS: f64 = -1.5;
/// The high point.
const PEAK: f64 = 1.5;
/// For each semitone above the middle of the instrument's tenor, at E4.
const HIGHER: f64 = 3.0 / 12.0;
const MIDDLE: f64 = 64.0;
/// What is not on a strong beat.
const WEAK: f64 = -1.4;

/// Wishes every onset as loud as its place in phrase and solo asks for.
pub(super) fn shape(slots: &mut [Slot], timeline: &Timeline, bars: Range<usize>, phrased: &[Phrased]) {
    let at = |s: &Slot| s.onsets.first().map(|o| o.at);
    let peak = slots.iter().find(|s| s.peak).and_then(at);
    let (first, last) = (slots.first().and_then(at), slots.last().map(|s| s.end));
    for slot in slots {
        let own = if slot.peak { PEAK } else { 0.0 };
        for onset in &mut slot.onsets {
            let whole = match (first, peak, last) {
                (Some(first), Some(peak), Some(last)) => AWAY * away(onset.at, first, peak, last),
                _ => 0.0,
            };
            onset.louder = own + whole + in_phrase(onset.at, timeline, bars.start, phrased);
        }
    }
}

/// How far a moment is from the high point, 1 where the solo begins and where it ends.
fn away(at: Beats, first: Beats, peak: Beats, last: Beats) -> f64 {
    let (gone, all) = if at < peak {
        (peak - at, peak - first)
    } else {
        (at - peak, last - peak)
    };
    (gone.0 / all.0.max(1e-9)).clamp(0.0, 1.0)
}

fn in_phrase(at: Beats, timeline: &Timeline, from: usize, phrased: &[Phrased]) -> f64 {
    let index = timeline.bar_index_at(at + Beats(1e-6));
    let bar = index.and_then(|i| timeline.bars.get(i));
    let own = index.and_then(|i| phrased.get(i.checked_sub(from)?));
    let Some((bar, own)) = bar.zip(own) else { return 0.0 };
    let within = ((at - bar.start).0 / bar.metre.bar().0).clamp(0.0, 1.0);
    let gone = own.from + (own.to - own.from) * within;
    let arch = if gone < GOAL {
        BEGINS * (1.0 - gone / GOAL)
    } else {
        ENDS * (gone - GOAL) / (1.0 - GOAL)
    };
    let returns = own.role == CellRole::Call && !own.opens;
    arch + if returns { RETURNS } else { 0.0 }
}

/// What a stroke's strength is multiplied by, for a wish in dB and the top note it has come to have; `dynamics` is how
/// much of all that the feel wants, 0..=1.
pub(super) fn weight(louder: f64, top: NoteNumber, strong: bool, dynamics: f64) -> f64 {
    let higher = (f64::from(top.0) - MIDDLE) * HIGHER;
    let beat = if strong { 0.0 } else { WEAK };
    10_f64.powf(((louder + higher) * dynamics + beat) / 20.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_octave_higher_is_three_decibels_louder() {
        let ratio = weight(0.0, NoteNumber(76), true, 1.0) / weight(0.0, NoteNumber(64), true, 1.0);
        assert!((20.0 * ratio.log10() - 3.0).abs() < 1e-9);
        assert!((weight(4.0, NoteNumber(76), true, 0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_high_point_is_nearest_to_itself() {
        let far = |at| away(Beats(at), Beats(0.0), Beats(20.0), Beats(32.0));
        assert_eq!([0.0, 10.0, 20.0, 26.0, 32.0].map(far), [1.0, 0.5, 0.0, 0.5, 1.0]);
    }
}
