//! The same move elsewhere: other strings, another inversion, another place on the neck.

use super::{Aspect, Idea, Spot};
use crate::solo::moves::{Kind, Move};
use crate::solo::plan::Way;
use crate::solo::stroke::{Arrival, Grip, Stroke};
use crate::solo::words;
use crate::steel::{Fret, Place};
use crate::words::Said;

/// Places offered of the same notes.
const PLACES: usize = 3;
/// A place that costs this much more than the dearest usual one is not offered.
const DEAR: f64 = 2.2;

/// The chord left to the bar where feet or knees hold it, or made by them where they are at rest.
pub(super) fn led(spot: &Spot<'_>) -> Option<Idea> {
    let grip = spot.first.grip;
    let top = spot.workshop.top(grip)?;
    let at_rest = grip.place.stance.is_open();
    let other = |w: &Way| w.grip.place.fret > 0 && w.grip.place.stance.is_open() != at_rest;
    let ways = ways(spot)?.into_iter().filter(other);
    let far = |w: &Way| (w.top.above(top).0.abs(), w.grip.place.fret.abs_diff(grip.place.fret));
    let way = ways.min_by(|a, b| far(a).cmp(&far(b)).then(a.cost.total_cmp(&b.cost)))?;
    let place = words::place(spot.brief.instrument, way.grip.place);
    let words = if at_rest {
        said!("Led by the pedals: {place}", place)
    } else {
        said!("Led by the bar alone: {place}, nothing pressed", place)
    };
    Some(Idea::new(Aspect::Feet, words, regripped(spot, way.grip)))
}

/// The next inversions on the same strings, and the same top note elsewhere.
pub(super) fn elsewhere(spot: &Spot<'_>) -> Vec<Idea> {
    let Some(ways) = ways(spot) else { return Vec::new() };
    let grip = spot.first.grip;
    let Some(top) = spot.workshop.top(grip) else {
        return Vec::new();
    };
    let on_neck = |w: &&Way| w.grip.place.fret > 0 && w.grip.place.fret != grip.place.fret;
    let row = |keep: &dyn Fn(&Way) -> bool| -> Vec<Way> {
        ways.iter().filter(on_neck).filter(|w| keep(w)).copied().collect()
    };
    let nearest = |ways: Vec<Way>| {
        let far = |w: &Way| (w.top.above(top).0.abs(), w.grip.place.fret.abs_diff(grip.place.fret));
        ways.into_iter()
            .min_by(|a, b| far(a).cmp(&far(b)).then(a.cost.total_cmp(&b.cost)))
    };
    let up = nearest(row(&|w| w.grip.strings == grip.strings && w.top > top));
    let down = nearest(row(&|w| w.grip.strings == grip.strings && w.top < top));
    let mut same = row(&|w| w.top == top);
    let away = |w: &Way| w.grip.place.fret.abs_diff(grip.place.fret);
    same.sort_by(|a, b| away(a).cmp(&away(b)).then(a.cost.total_cmp(&b.cost)));
    same.dedup_by_key(|w| w.grip.place.fret);
    let place = |way: &Way| words::place(spot.brief.instrument, way.grip.place);
    let idea = |words: Said, way: Way| Idea::new(Aspect::Place, words, regripped(spot, way.grip));
    let mut ideas: Vec<Idea> = Vec::new();
    ideas.extend(up.map(|w| idea(said!("Next inversion up: {place}", place = place(&w)), w)));
    let mut same = same.into_iter().take(PLACES).map(|w| {
        let strings = words::strings(w.grip.strings);
        let words = said!("The same top note on {strings} at {place}", strings, place = place(&w));
        idea(words, w)
    });
    ideas.extend(same.next());
    ideas.extend(down.map(|w| idea(said!("Next inversion down: {place}", place = place(&w)), w)));
    ideas.extend(same);
    ideas
}

/// One string higher or lower, one more or fewer; a line begun elsewhere or turned round.
pub(super) fn strings(spot: &Spot<'_>, instead: &[Move]) -> Vec<Idea> {
    match ways(spot) {
        Some(ways) => other_strings(spot, &ways),
        None => other_lines(spot, instead),
    }
}

fn other_strings(spot: &Spot<'_>, ways: &[Way]) -> Vec<Idea> {
    let grip = spot.first.grip;
    let Some(top) = spot.workshop.top(grip) else {
        return Vec::new();
    };
    let here: Vec<&Way> = ways
        .iter()
        .filter(|w| w.grip.place.fret == grip.place.fret && w.grip != grip)
        .collect();
    let count = grip.strings.len();
    let nearest = |keep: &dyn Fn(&Way) -> bool| {
        let kept = here.iter().copied().filter(|w| keep(w));
        kept.min_by(|a, b| {
            let far = |w: &Way| w.top.above(top).0.abs();
            far(a).cmp(&far(b)).then(a.cost.total_cmp(&b.cost))
        })
    };
    let said = |words: Said, way: &Way| {
        let words = if way.grip.place == grip.place {
            words
        } else {
            said!(
                "{words}, {place}",
                words,
                place = words::place(spot.brief.instrument, way.grip.place)
            )
        };
        Idea::new(Aspect::Strings, words, regripped(spot, way.grip))
    };
    let on = |way: &Way| words::strings(way.grip.strings);
    let same_size = |w: &Way| w.grip.strings.len() == count;
    let mut ideas: Vec<Idea> = Vec::new();
    ideas.extend(
        nearest(&|w| same_size(w) && w.top > top).map(|w| said(said!("Begin higher: {strings}", strings = on(w)), w)),
    );
    ideas.extend(
        nearest(&|w| same_size(w) && w.top < top).map(|w| said(said!("Begin lower: {strings}", strings = on(w)), w)),
    );
    let fewer = nearest(&|w| w.grip.strings.len() + 1 == count && w.grip.strings.minus(grip.strings).is_empty());
    let more = nearest(&|w| w.grip.strings.len() == count + 1 && grip.strings.minus(w.grip.strings).is_empty());
    ideas.extend(fewer.map(|w| {
        said(
            said!(
                "Leave out {strings}",
                strings = words::strings(grip.strings.minus(w.grip.strings))
            ),
            w,
        )
    }));
    ideas.extend(more.map(|w| {
        said(
            said!(
                "Add {strings}",
                strings = words::strings(w.grip.strings.minus(grip.strings))
            ),
            w,
        )
    }));
    ideas
}

/// Moves of the same kind and rhythm that begin on other strings or another fret, or go the other way.
fn other_lines(spot: &Spot<'_>, instead: &[Move]) -> Vec<Idea> {
    let alike = |m: &&Move| m.kind == spot.action.kind && m.strokes.len() == spot.action.strokes.len();
    let Some(own) = Line::of(spot, spot.action) else {
        return Vec::new();
    };
    let lines: Vec<(Line, &Move)> = instead
        .iter()
        .filter(alike)
        .filter_map(|m| Some((Line::of(spot, m)?, m)))
        .collect();
    let pick = |keep: &dyn Fn(&Line) -> bool| lines.iter().find(|(line, _)| keep(line)).map(|(_, m)| *m);
    let mut ideas = Vec::new();
    let mut add = |words: Said, action: Option<&Move>| {
        ideas.extend(action.map(|m| Idea::new(Aspect::Strings, words, adopted(spot, m))));
    };
    let strings = |m: Option<&Move>| {
        m.and_then(|m| m.strokes.first())
            .map(|s| words::strings(s.grip.strings))
    };
    let higher = pick(&|l| l.far < own.far && l.way == own.way);
    add(
        said!(
            "Begin higher, on {strings}",
            strings = strings(higher).unwrap_or_default()
        ),
        higher,
    );
    let lower = pick(&|l| l.far > own.far && l.way == own.way);
    add(
        said!(
            "Begin lower, on {strings}",
            strings = strings(lower).unwrap_or_default()
        ),
        lower,
    );
    let turned = pick(&|l| l.way == -own.way && l.way != 0);
    let turned_words = if own.way > 0 {
        said!("Go down instead of up")
    } else {
        said!("Go up instead of down")
    };
    add(turned_words, turned);
    let moved = pick(&|l| l.strings == own.strings && l.place.fret != own.place.fret && l.way == own.way);
    let place = moved
        .and_then(|m| m.strokes.first())
        .map(|s| words::place(spot.brief.instrument, s.grip.place));
    add(said!("Begin at {place}", place = place.unwrap_or_default()), moved);
    ideas
}

/// Where a line begins and which way it goes.
struct Line {
    far: Option<crate::steel::StringNumber>,
    strings: crate::steel::StringSet,
    place: Place,
    way: i16,
}

impl Line {
    fn of(spot: &Spot<'_>, action: &Move) -> Option<Self> {
        let (first, last) = (action.strokes.first()?.grip, action.strokes.last()?.grip);
        let way = spot.workshop.top(last)?.above(spot.workshop.top(first)?).0.signum();
        Some(Self {
            far: first.strings.iter().next(),
            strings: first.strings,
            place: first.place,
            way,
        })
    }
}

/// The ways to sound the chord with as many strings, where the move holds one grip and could hold another.
fn ways(spot: &Spot<'_>) -> Option<Vec<Way>> {
    let grip = spot.first.grip;
    let movable = |s: &Stroke| s.grip == grip && matches!(s.arrival, Arrival::Struck | Arrival::Slid { .. });
    let held = spot.action.strokes.iter().all(movable);
    let unison = spot.action.kind == Kind::Unison;
    let wanted = |w: &Way| w.unison == unison && (unison || w.cost < DEAR);
    held.then(|| spot.workshop.ways(spot.action.at).filter(wanted).collect())
}

/// The move on another grip; a slide comes from as far as before.
fn regripped(spot: &Spot<'_>, grip: Grip) -> Move {
    let strokes = spot.action.strokes.iter().map(|s| Stroke {
        grip,
        arrival: along(s, grip),
        ..*s
    });
    Move {
        strokes: strokes.collect(),
        ..spot.action.clone()
    }
}

/// A proposal carried out as the move is: its times, shapes, strengths and colours.
fn adopted(spot: &Spot<'_>, proposal: &Move) -> Move {
    let strokes = spot
        .action
        .strokes
        .iter()
        .zip(&proposal.strokes)
        .map(|(own, new)| Stroke {
            grip: new.grip,
            arrival: if matches!(own.arrival, Arrival::Slid { .. }) {
                along(own, new.grip)
            } else {
                new.arrival
            },
            ..*own
        });
    Move {
        strokes: strokes.collect(),
        ..spot.action.clone()
    }
}

/// The stroke's arrival at another grip.
fn along(stroke: &Stroke, grip: Grip) -> Arrival {
    match stroke.arrival {
        Arrival::Slid { from, time } => Arrival::Slid {
            from: Fret(from.0 - stroke.grip.place.bar().0 + grip.place.bar().0),
            time,
        },
        other => other,
    }
}
