//! Exercises answered by a phrase: strokes over the bars of a chart.
//!
//! *Invariant:* a phrase is judged by the planner's own predicates: what a body can play, and what stands on a
//! strong beat.

mod answer;
mod climb;
mod ending;
mod entrance;
mod fix;
mod variation;

pub(super) use answer::Reply;
pub(super) use climb::Climb;
pub(super) use ending::End;
pub(super) use entrance::Entrance;
pub(super) use fix::FixBar;
pub(super) use variation::Variation;

use super::answer::Answer;
use super::draw::{Draw, TRIES, holds};
use super::holding;
use super::mark::{Criterion, Spot, not_answered};
use super::setting::Setting;
use super::task::Heard;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::solo::{Performance, playable, rules};
use crate::steel::Fret;
use crate::steel::hold::Hold;
use crate::theory::{Beats, NoteNumber};
use crate::words::Said;

/// Times closer than this are one time.
const SAME_TIME: f64 = 1e-6;
/// The bar's largest jump within a phrase that is drawn, in frets.
const NEAR: u8 = 5;
/// How many of a chord's holds a phrase is drawn from, the easiest first.
const EASY: usize = 24;

/// Whether two moments are one.
fn same(a: Beats, b: Beats) -> bool {
    (a - b).0.abs() < SAME_TIME
}

/// The strokes of an answer, or the criteria of one that cannot be read.
fn strokes_of(s: &Setting, answer: &Answer) -> Result<Vec<Stroke>, Vec<Criterion>> {
    match answer.strokes(s) {
        None => Err(not_answered(10, said!("Answer with strokes."))),
        Some(Err(errors)) => {
            let why = errors.first().map_or_else(Said::default, |e| e.trouble.said());
            Err(vec![Criterion::missed(
                said!("strokes"),
                0,
                10,
                why,
                said!("Mend this stroke, then try again."),
            )])
        }
        Some(Ok(strokes)) if strokes.is_empty() => {
            let next = said!("Put down a first stroke.");
            Err(vec![Criterion::missed(
                said!("strokes"),
                0,
                10,
                said!("Nothing is played yet."),
                next,
            )])
        }
        Some(Ok(strokes)) => Ok(strokes),
    }
}

/// What is asked of every phrase: a body can play it, and it agrees with the chords.
fn sound(s: &Setting, strokes: &[Stroke]) -> Vec<Criterion> {
    let performance = s.performance(strokes);
    vec![by_a_body(s, &performance), with_the_chords(s, &performance)]
}

/// Whether a phrase is sound in everything every phrase is asked for.
fn is_sound(s: &Setting, strokes: &[Stroke]) -> bool {
    sound(s, strokes).iter().all(Criterion::is_met)
}

fn by_a_body(s: &Setting, performance: &Performance) -> Criterion {
    let breaches = playable::report(performance, &s.instrument, s.timeline.tempo, &s.limits);
    match breaches.first() {
        None => Criterion::met(said!("playable"), 4, said!("Hands, feet and knees can play it.")),
        Some(breach) => {
            #[allow(clippy::cast_possible_truncation)] // three at most
            let left = 3_usize.saturating_sub(breaches.len()) as u16;
            let said = breach.trouble.said();
            let next = said.remedy().unwrap_or_else(|| said!("Take it slower or nearer."));
            let spot = Some(Spot::at(&s.timeline, breach.at.max(Beats::ZERO)));
            Criterion::missed(said!("playable"), left, 4, said.matter(), next).at(spot)
        }
    }
}

fn with_the_chords(s: &Setting, performance: &Performance) -> Criterion {
    let clashes = rules::clashes(performance, &s.instrument, &s.timeline);
    match clashes.first() {
        None => Criterion::met(
            said!("chords"),
            3,
            said!("What stands on the strong beats belongs to the chord."),
        ),
        Some(clash) => {
            let chord = s
                .timeline
                .span_at(clash.at + Beats(SAME_TIME))
                .map_or_else(Said::default, |c| Said::notes(c.chord.symbol()));
            let why = said!(
                "String {string} stands on a strong beat and is not in {chord}.",
                string = clash.string,
                chord = &chord
            );
            let next = said!(
                "Move it to a note of {chord}, or let it step to one within a beat.",
                chord
            );
            let part = u16::from(clashes.len() == 1);
            Criterion::missed(said!("chords"), part, 3, why, next).at(Some(Spot::at(&s.timeline, clash.at)))
        }
    }
}

fn grip_of(hold: &Hold) -> Grip {
    Grip {
        place: hold.place,
        strings: hold.strings,
    }
}

/// The top note a stroke arrives at.
fn top(s: &Setting, stroke: &Stroke) -> Option<NoteNumber> {
    holding::top(&s.instrument, stroke.grip)
}

/// The easiest holds of the chord in force at a moment.
fn holds_at(s: &Setting, at: Beats) -> Vec<Hold> {
    let Some(span) = s.timeline.span_at(at + Beats(SAME_TIME)) else {
        return Vec::new();
    };
    let mut found = holds(&s.instrument, &span.chord);
    found.sort_by_key(|h| h.effort);
    found.truncate(EASY);
    found
}

/// A phrase that is sound: a hold of the chord at each of these moments, the last one ending at `end`.
fn drawn(draw: &mut Draw<'_>, s: &Setting, moments: &[Beats], end: Beats) -> Option<Vec<Stroke>> {
    let choices: Vec<Vec<Hold>> = moments.iter().map(|at| holds_at(s, *at)).collect();
    (0..TRIES).find_map(|_| {
        let mut strokes: Vec<Stroke> = Vec::with_capacity(moments.len());
        for (i, (at, holds)) in moments.iter().zip(&choices).enumerate() {
            let until = moments.get(i + 1).copied().unwrap_or(end);
            let last = strokes.last().map(|l| l.grip);
            let near: Vec<Grip> = holds
                .iter()
                .map(grip_of)
                .filter(|g| last.is_none_or(|l| l.place.fret.abs_diff(g.place.fret) <= NEAR && l != *g))
                .collect();
            strokes.push(Stroke::struck(draw.one(&near)?, *at, until));
        }
        is_sound(s, &strokes).then_some(strokes)
    })
}

/// The stroke, slid into from two frets below (or above, at the nut), over a beat or less.
fn slid(stroke: Stroke) -> Stroke {
    let fret = f64::from(stroke.grip.place.fret);
    let from = Fret(if fret > 2.0 { fret - 2.0 } else { fret + 2.0 });
    stroke.arriving(Arrival::Slid { from, time: Beats(0.5) })
}

/// The stroke a fret higher than it should be.
fn shifted(stroke: &Stroke) -> Stroke {
    let mut moved = *stroke;
    moved.grip.place.fret = moved.grip.place.fret.saturating_add(1);
    moved.arrival = Arrival::Struck;
    moved
}

/// What is wrong with any phrase: nothing at all, and one that makes no sense.
fn never_right() -> Vec<Answer> {
    vec![Answer::Phrase(String::new()), Answer::Phrase("1.1 a b c".to_owned())]
}

/// Beats from the start of a bar counted from 0.
fn bar_start(s: &Setting, bar: usize) -> Beats {
    s.timeline
        .bars
        .get(bar)
        .map_or_else(|| s.timeline.length(), |b| b.start)
}

/// The length of a felt beat of the song's first bar.
fn pulse(s: &Setting) -> Beats {
    s.timeline.bars.first().map_or(Beats(1.0), |b| b.metre.pulse())
}

/// The first felt beat of a bar, the one in its middle, and so on: where slow phrases are put.
fn slow_moments(s: &Setting, bars: std::ops::Range<usize>) -> Vec<Beats> {
    let mut moments = Vec::new();
    for bar in bars {
        let start = bar_start(s, bar);
        let pulses = s
            .timeline
            .bars
            .get(bar)
            .map_or(4.0, |b| (b.metre.bar().0 / b.metre.pulse().0).round());
        moments.push(start);
        if pulses >= 2.0 {
            moments.push(start + pulse(s).scaled((pulses / 2.0).ceil()));
        }
    }
    moments
}

/// The chord in force at the end of the song.
fn last_chord(s: &Setting) -> Option<crate::theory::Chord> {
    s.timeline.spans.last().map(|span| span.chord)
}

/// Whether a stroke sounds the root of the song's last chord.
fn is_home(s: &Setting, stroke: &Stroke) -> bool {
    let root = last_chord(s).map(|c| c.root.class());
    let sounded = holding::sounded(&s.instrument, stroke.grip);
    sounded.iter().any(|(_, n)| n.map(|n| n.class()) == root)
}

/// The criterion that a phrase ends at home.
fn ends_home(s: &Setting, strokes: &[Stroke]) -> Criterion {
    let chord = last_chord(s).map_or_else(Said::default, |c| Said::notes(c.symbol()));
    match strokes.last() {
        Some(last) if is_home(s, last) => {
            Criterion::met(said!("home"), 2, said!("It ends with the root of {chord}.", chord))
        }
        last => {
            let spot = last.map(|l| Spot::at(&s.timeline, l.at));
            let why = said!(
                "The last stroke has no root of {chord} in it: it leaves a question open.",
                chord
            );
            Criterion::missed(said!("home"), 0, 2, why, said!("Find the root for the last stroke.")).at(spot)
        }
    }
}

/// The band with the phrase that was built, if it can be read; with `before` until then.
fn played(s: &Setting, answer: Option<&Answer>, before: &[Stroke]) -> Option<Heard> {
    let own = answer.and_then(|a| a.strokes(s)).and_then(Result::ok);
    Some(Heard {
        performance: s.performance(own.as_deref().unwrap_or(before)),
        instrument: s.instrument.clone(),
        band: true,
    })
}

/// Hints that end with the first stroke of an answer that is right.
fn hints(s: &Setting, first: Said, model: &[Stroke]) -> [Said; 3] {
    let words = |i: usize| {
        model
            .get(i)
            .map_or_else(Said::default, |m| holding::words(&s.instrument, m.grip))
    };
    let last = model.len().saturating_sub(1);
    [
        first,
        said!("You could begin with strings {grip}.", grip = words(0)),
        said!("And you could end with strings {grip}.", grip = words(last)),
    ]
}
