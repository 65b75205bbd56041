//! What a listener would hear as dull. Common practice, no source.

use super::figures::Heard;
use super::{Dull, bar_number};
use crate::solo::moves::Move;
use crate::solo::revise::{Aspect, Reviser};
use crate::solo::stroke::Arrival;
use crate::solo::words;
use crate::theory::{Beats, Height};
use crate::words::Said;

/// As many of one kind running are too many.
const ALIKE: usize = 3;
/// The top note may stand still for this many strokes running.
const STANDING: usize = 5;
/// Without a breath for longer than this, a listener tires.
const BREATHLESS: Beats = Beats(20.0);
/// A solo narrower than this, in semitones, goes nowhere.
const NARROW: f64 = 9.0;
/// As many slides from one distance are a habit.
const SAME_SLIDES: usize = 4;
/// Faults told at most.
const TOLD: usize = 5;

/// What is dull about a pass, the worst first, each with the change that would help.
pub(super) fn found(heard: &Heard<'_>, reviser: &Reviser<'_>) -> Vec<Dull> {
    let faults = [
        row_of_one_kind(heard),
        top_note_stands(heard),
        never_breathes(heard),
        high_point_worn(heard),
        narrow(heard),
        slides_alike(heard),
        nothing_returns(heard),
    ];
    let told = faults.into_iter().flatten().take(TOLD);
    told.map(|fault| {
        let offers = fault
            .mend
            .map(|(index, _)| reviser.offers(heard.pass, index, usize::MAX));
        let aspect = fault.mend.map(|(_, aspect)| aspect);
        Dull {
            at: fault.at,
            words: fault.words,
            help: offers.and_then(|all| all.into_iter().find(|o| Some(o.aspect) == aspect)),
        }
    })
    .collect()
}

struct Fault {
    at: Beats,
    words: Said,
    /// The move to change, and what about it.
    mend: Option<(usize, Aspect)>,
}

/// The longest run of neighbours for which `same` holds: its first index and its length.
fn longest_run<T>(items: &[T], same: impl Fn(&T, &T) -> bool) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut from = 0;
    for run in items.chunk_by(|a, b| same(a, b)) {
        if best.is_none_or(|(_, length)| run.len() > length) {
            best = Some((from, run.len()));
        }
        from += run.len();
    }
    best
}

fn row_of_one_kind(heard: &Heard<'_>) -> Option<Fault> {
    let moves = &heard.pass.moves;
    let (from, length) = longest_run(moves, |a, b| a.kind == b.kind)?;
    let first = moves.get(from).filter(|_| length >= ALIKE)?;
    Some(Fault {
        at: first.at,
        words: said!(
            "From bar {bar} the same kind of move comes {length} times running: {name}.",
            bar = bar_number(heard.timeline, first.at),
            length,
            name = Said::within(first.kind.name())
        ),
        mend: Some((from + length / 2, Aspect::Idiom)),
    })
}

/// The highest note of each stroke's rests, with the stroke's moment.
fn tops(heard: &Heard<'_>) -> Vec<(Beats, Height)> {
    let mut tops: Vec<(Beats, Height)> = Vec::new();
    for (at, height) in heard.rests() {
        match tops.last_mut() {
            Some(last) if (last.0 - at).0.abs() < 1e-6 => last.1 = Height(last.1.0.max(height.0)),
            _ => tops.push((at, height)),
        }
    }
    tops
}

fn top_note_stands(heard: &Heard<'_>) -> Option<Fault> {
    let tops = tops(heard);
    let (from, length) = longest_run(&tops, |a, b| (a.1.0 - b.1.0).abs() < 0.5)?;
    let first = tops.get(from).filter(|_| length > STANDING)?;
    let middle = tops.get(from + length / 2)?;
    Some(Fault {
        at: first.0,
        words: said!(
            "From bar {bar} the top note stays the same for {length} strokes.",
            bar = bar_number(heard.timeline, first.0),
            length
        ),
        mend: heard.pass.move_at(middle.0).map(|i| (i, Aspect::Strings)),
    })
}

fn never_breathes(heard: &Heard<'_>) -> Option<Fault> {
    let (start, end) = heard.span();
    let silences = heard.silences();
    let starts = [start].into_iter().chain(silences.iter().map(|s| s.1));
    let ends = silences.iter().map(|s| s.0).chain([end]);
    let (from, to) = starts
        .zip(ends)
        .max_by(|a, b| (a.1 - a.0).0.total_cmp(&(b.1 - b.0).0))?;
    if to - from <= BREATHLESS {
        return None;
    }
    let middle = Beats(f64::midpoint(from.0, to.0));
    Some(Fault {
        at: from,
        words: said!(
            "From bar {from} to bar {to} there is no breath.",
            from = bar_number(heard.timeline, from),
            to = bar_number(heard.timeline, to - Beats(0.01))
        ),
        mend: heard.pass.move_at(middle).map(|i| (i, Aspect::Rest)),
    })
}

fn high_point_worn(heard: &Heard<'_>) -> Option<Fault> {
    let tops = tops(heard);
    let high = tops.iter().map(|t| t.1.0).fold(f64::MIN, f64::max);
    let reached: Vec<Beats> = tops.iter().filter(|t| t.1.0 > high - 0.5).map(|t| t.0).collect();
    let mut moves: Vec<usize> = reached.iter().filter_map(|at| heard.pass.move_at(*at)).collect();
    moves.dedup();
    let (first, _) = (moves.first().copied()?, moves.get(2)?);
    let at = heard.pass.moves.get(first)?.at;
    Some(Fault {
        at,
        words: said!(
            "The highest note is reached {moves} times, so none of them is the high point.",
            moves = moves.len()
        ),
        mend: Some((first, Aspect::Place)),
    })
}

fn narrow(heard: &Heard<'_>) -> Option<Fault> {
    let tops = tops(heard);
    let (low, high) = tops
        .iter()
        .fold((f64::MAX, f64::MIN), |(l, h), t| (l.min(t.1.0), h.max(t.1.0)));
    if tops.len() < 8 || high - low >= NARROW {
        return None;
    }
    let (start, end) = heard.span();
    let peak = start + (end - start).scaled(2.0 / 3.0);
    Some(Fault {
        at: start,
        words: said!(
            "The top notes keep within {low} frets' worth: it never opens up.",
            low = format!("{:.0}", high - low)
        ),
        mend: heard.pass.move_at(peak).map(|i| (i, Aspect::Place)),
    })
}

fn slides_alike(heard: &Heard<'_>) -> Option<Fault> {
    let gap = |m: &Move| {
        let first = m.strokes.first()?;
        match first.arrival {
            Arrival::Slid { from, .. } => Some(first.grip.place.bar().0 - from.0),
            _ => None,
        }
    };
    let slides: Vec<(usize, f64)> = heard
        .pass
        .moves
        .iter()
        .enumerate()
        .filter_map(|(i, m)| Some((i, gap(m)?)))
        .collect();
    let (from, length) = longest_run(&slides, |a, b| (a.1 - b.1).abs() < 0.1)?;
    let (index, frets) = *slides.get(from + length / 2).filter(|_| length >= SAME_SLIDES)?;
    Some(Fault {
        at: heard.pass.moves.get(index)?.at,
        words: said!(
            "{length} slides running come from the same distance, {frets} away.",
            length,
            frets = words::frets(frets)
        ),
        mend: Some((index, Aspect::Start)),
    })
}

fn nothing_returns(heard: &Heard<'_>) -> Option<Fault> {
    let long = heard.bars.len() >= 8;
    (long && heard.returns().is_empty()).then(|| Fault {
        at: heard.span().0,
        words: said!("No figure comes back, so there is nothing to recognise."),
        mend: None,
    })
}
