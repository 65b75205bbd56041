//! What drafts are measured against: chords that can be played, chosen without taste.

use leadbar::solo::reach::Reach;
use leadbar::solo::stroke::{Grip, Stroke};
use leadbar::solo::{Kind, Limits, Move, Pass, Request};
use leadbar::steel::hold::{Finder, Hold, HoldQuery};
use leadbar::steel::{Instrument, StringSet};
use leadbar::theory::{Beats, Chord, Timeline};
use std::collections::HashMap;
use std::sync::Arc;

/// Makes a pass over a song from a seed.
pub(crate) type Maker = fn(&Timeline, &Instrument, &Limits, u64) -> Pass;

/// Any chord that can be reached, on any felt beat.
pub(crate) fn random(song: &Timeline, instrument: &Instrument, limits: &Limits, seed: u64) -> Pass {
    let mut rng = fastrand::Rng::with_seed(seed);
    pass(song, instrument, limits, |can, _| {
        let here = rng.f64() < 0.6 && !can.is_empty();
        here.then(|| can[rng.usize(0..can.len())])
    })
}

/// On every felt beat the chord nearest to where the bar is, the easiest of equals.
pub(crate) fn nearest(song: &Timeline, instrument: &Instrument, limits: &Limits, _: u64) -> Pass {
    pass(song, instrument, limits, |can, last| {
        let fret = last.map_or(5, |g| g.place.fret);
        let away = |g: &Grip| (g.place.fret.abs_diff(fret), g.place.stance.pressed().count());
        can.iter().copied().min_by_key(away)
    })
}

fn pass(
    song: &Timeline,
    instrument: &Instrument,
    limits: &Limits,
    mut choose: impl FnMut(&[Grip], Option<Grip>) -> Option<Grip>,
) -> Pass {
    let query = HoldQuery {
        frets: 1..=19,
        strings: 2..=3,
        ..HoldQuery::default()
    };
    let finder = Finder::new(instrument, &query);
    let reach = Reach::new(instrument, limits, song.tempo);
    let mut known: HashMap<Chord, Vec<Hold>> = HashMap::new();
    let mut moves: Vec<Arc<Move>> = Vec::new();
    let mut last: Option<Stroke> = None;
    for bar in &song.bars {
        let pulse = bar.metre.pulse();
        let mut at = bar.start;
        while at + Beats(1e-6) < bar.start + bar.metre.bar() {
            let Some(span) = song.span_at(at + Beats(1e-6)) else {
                break;
            };
            let until = (at + pulse).min(span.end());
            let holds = known.entry(span.chord).or_insert_with(|| finder.holds(&span.chord));
            let strings = |h: &Hold| h.strings.iter().fold(StringSet::EMPTY, StringSet::with);
            let grips = holds.iter().map(|h| Grip {
                place: h.place,
                strings: strings(h),
            });
            let joins = |grip: &Grip| {
                last.is_none_or(|before| {
                    let next = Stroke::struck(*grip, at, until);
                    let change = reach.stance_change(before.grip.place.stance, grip.place.stance);
                    reach.joins(&before, &next, change)
                })
            };
            let can: Vec<Grip> = grips.filter(joins).collect();
            if let Some(grip) = choose(&can, last.map(|s| s.grip)) {
                last = Some(Stroke::struck(grip, at, until));
                moves.push(Arc::new(Move {
                    kind: Kind::Strike,
                    at,
                    length: until - at,
                    strokes: vec![Stroke::struck(grip, Beats::ZERO, until - at)],
                    locked: false,
                }));
            }
            at += pulse;
        }
    }
    Pass {
        moves,
        request: Request::default(),
        length: song.length(),
    }
}
