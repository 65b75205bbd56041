//! When it comes, how often, how long it sounds, and whether at all.

use super::{Aspect, EPSILON, Idea, Spot, Way};
use crate::solo::moves::{Kind, Move};
use crate::solo::stroke::{Arrival, Stroke};
use crate::theory::{Beats, Swing};
use crate::words::Said;

/// The most strokes a move is repeated to.
const MOST_STROKES: usize = 8;
/// A stroke sounds at least this long.
const SHORTEST: Beats = Beats(0.1);

/// An eighth earlier or later.
pub(super) fn when(spot: &Spot<'_>) -> Vec<Idea> {
    let by = |words: Said, to: Option<Beats>| {
        to.and_then(|to| moved(spot, to))
            .map(|m| Idea::new(Aspect::When, words, m))
    };
    let (earlier, later) = eighths_beside(spot);
    let earlier = by(said!("An eighth earlier"), earlier);
    let later = by(said!("An eighth later"), later);
    earlier.into_iter().chain(later).collect()
}

/// The eighths before and after the move, as the song swings.
fn eighths_beside(spot: &Spot<'_>) -> (Option<Beats>, Option<Beats>) {
    let at = spot.action.at;
    let timeline = spot.brief.timeline;
    let bar = timeline.bar_index_at(at + EPSILON).and_then(|i| timeline.bars.get(i));
    let Some(bar) = bar else { return (None, None) };
    let swung = timeline.swing == Swing::Swung && bar.metre.pulse() == Beats(1.0);
    let offbeat = if swung { Beats(2.0 / 3.0) } else { Beats(0.5) };
    let beat = bar.start + Beats((at - bar.start + EPSILON).0.floor());
    let (earlier, later) = if at < beat + offbeat - EPSILON {
        (beat - Beats(1.0) + offbeat, beat + offbeat)
    } else {
        (beat, beat + Beats(1.0))
    };
    ((earlier >= Beats::ZERO).then_some(earlier), Some(later))
}

/// The move begun at `to`, still ended where it ends.
fn moved(spot: &Spot<'_>, to: Beats) -> Option<Move> {
    let by = to - spot.action.at;
    let length = spot.action.end() - to;
    let strokes: Vec<Stroke> = spot
        .action
        .strokes
        .iter()
        .map(|s| Stroke {
            until: if by > Beats::ZERO { s.until.min(length) } else { s.until },
            ..*s
        })
        .collect();
    let room = strokes.iter().all(|s| s.at + SHORTEST <= s.until) && to + SHORTEST < spot.end;
    room.then(|| Move {
        at: to,
        length,
        strokes,
        ..spot.action.clone()
    })
}

/// `action` stopped by `end`, or nothing when one of its strokes would come later.
pub(super) fn cut_short(action: &Move, end: Beats) -> Option<Move> {
    let length = end - action.at;
    let strokes: Vec<Stroke> = action
        .strokes
        .iter()
        .map(|s| Stroke {
            until: s.until.min(length),
            ..*s
        })
        .collect();
    let heard = strokes.iter().all(|s| s.at + SHORTEST <= s.until);
    heard.then(|| Move {
        length,
        strokes,
        ..action.clone()
    })
}

/// One stroke fewer, one more.
pub(super) fn repeats(spot: &Spot<'_>) -> Vec<Idea> {
    let strokes = &spot.action.strokes;
    let noun = match spot.action.kind {
        Kind::Unison | Kind::Blocked => said!("repeat"),
        Kind::Walk | Kind::Climb => said!("step¦of a walk"),
        _ => said!("note"),
    };
    let mut ideas = Vec::new();
    let keeps_kind = strokes.len() > 2 || matches!(spot.action.kind, Kind::SlideIn | Kind::Squeeze);
    if strokes.len() > 1 && keeps_kind {
        let mut action = spot.action.clone();
        let gone = action.strokes.pop();
        if let (Some(last), Some(gone)) = (action.strokes.last_mut(), gone) {
            last.until = if spot.action.kind == Kind::Blocked {
                last.until
            } else {
                gone.until
            };
        }
        ideas.push(Idea::new(Aspect::Repeats, said!("One {noun} fewer", noun), action));
    }
    let same = strokes.windows(2).all(|w| matches!(w, [a, b] if a.grip == b.grip));
    let repeatable = same && !matches!(spot.action.kind, Kind::Lean | Kind::RingOut | Kind::Carry);
    if repeatable && strokes.len() < MOST_STROKES {
        ideas.extend(once_more(spot).map(|m| Idea::new(Aspect::Repeats, said!("One {noun} more", noun), m)));
    }
    ideas.extend((strokes.len() > 2).then(|| thinned(spot, 2, said!("Every second note"))));
    ideas.extend((strokes.len() > 1).then(|| thinned(spot, strokes.len(), said!("Only the first note, held"))));
    ideas
}

/// Every `step`th stroke, each held until the next; nothing is carried any more.
fn thinned(spot: &Spot<'_>, step: usize, words: Said) -> Idea {
    let mut action = spot.action.clone();
    action.strokes = spot.action.strokes.chunks(step).filter_map(held_together).collect();
    if let [only] = action.strokes.as_slice() {
        action.kind = Kind::of_arrival(only.arrival);
    }
    Idea::new(Aspect::Repeats, words, action)
}

/// The first of some strokes, held as long as all of them.
fn held_together(strokes: &[Stroke]) -> Option<Stroke> {
    let (first, last) = (strokes.first()?, strokes.last()?);
    let arrival = match first.arrival {
        Arrival::Carried { .. } if first.at > Beats::ZERO => Arrival::Struck,
        own => own,
    };
    Some(Stroke {
        arrival,
        until: last.until,
        ..*first
    })
}

/// The last stroke once more: as long after it as it came after the one before, else half way to its end.
fn once_more(spot: &Spot<'_>) -> Option<Move> {
    let strokes = &spot.action.strokes;
    let last = strokes.last()?;
    let room = spot.end.min(spot.action.end()) - spot.action.at;
    let gap = strokes
        .len()
        .checked_sub(2)
        .and_then(|i| strokes.get(i))
        .map(|b| last.at - b.at);
    let fits = |gap: &Beats| last.at + gap.scaled(1.6) < room;
    let gap = gap
        .filter(fits)
        .or_else(|| Some((room - last.at).scaled(0.5)).filter(|g| *g >= Beats(0.25)))?;
    let at = last.at + gap;
    let held = last.until - last.at;
    let mut action = spot.action.clone();
    action.strokes.last_mut()?.until = last.until.min(at);
    action.strokes.push(Stroke {
        at,
        arrival: Arrival::Struck,
        until: (at + held).min(room).max(at + SHORTEST),
        ..*last
    });
    if action.kind == Kind::Strike {
        action.kind = Kind::Blocked;
    }
    Some(action)
}

/// Left to ring, or blocked short.
pub(super) fn ring(spot: &Spot<'_>) -> Vec<Idea> {
    let strokes = &spot.action.strokes;
    let room = spot.end - spot.action.at;
    let nexts = strokes.iter().skip(1).map(|s| s.at).chain([room]);
    let with = |until: &dyn Fn(&Stroke, Beats) -> Beats| Move {
        strokes: strokes
            .iter()
            .zip(nexts.clone())
            .map(|(s, next)| Stroke {
                until: until(s, next),
                ..*s
            })
            .collect(),
        ..spot.action.clone()
    };
    let settled = |s: &Stroke| s.at + s.arrival.settles_after() + SHORTEST;
    let rings = with(&|s, next| s.until.max(next));
    let short = with(&|s, _| settled(s).max(s.at + (s.until - s.at).scaled(0.5)).min(s.until));
    let ring = Idea::new(Aspect::Ring, said!("Let it ring to the next move"), rings);
    let block = Idea::new(Aspect::Ring, said!("Block it short"), short);
    let silent = spot.last.until < room - Beats(0.1);
    let mut ideas = if silent { vec![ring, block] } else { vec![block, ring] };
    ideas.retain(|i| i.ways.iter().all(|w| w.action.as_ref() != Some(spot.action)));
    ideas
}

/// Left out.
pub(super) fn rest(spot: &Spot<'_>) -> Vec<Idea> {
    let alone = spot.before.is_none() && spot.closes;
    let way = Way {
        words: said!("Leave it out: a rest"),
        action: None,
    };
    let idea = Idea {
        aspect: Aspect::Rest,
        ways: vec![way],
    };
    (!alone).then_some(idea).into_iter().collect()
}
