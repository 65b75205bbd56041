//! Other ways to get there: where a slide starts, how long it takes, what feet and knees do.

use super::{Aspect, Idea, Spot};
use crate::solo::moves::{Kind, Move};
use crate::solo::performance::Shape;
use crate::solo::stroke::{Arrival, Stroke};
use crate::solo::words;
use crate::steel::{Fret, Stance};
use crate::theory::Beats;
use crate::words::Said;

/// The farthest a slide is offered from, in frets.
const FARTHEST: i16 = 12;
/// A slide, squeeze or lean is offered no shorter than this.
const SHORTEST: Beats = Beats(0.02);

/// A slide from elsewhere, or none.
pub(super) fn starts(spot: &Spot<'_>) -> Vec<Idea> {
    let fret = i16::from(spot.first.grip.place.fret);
    if fret == 0 {
        return Vec::new();
    }
    let (gaps, time) = match spot.first.arrival {
        Arrival::Slid { from, time } => {
            #[allow(clippy::cast_possible_truncation)] // frets
            let gap = (f64::from(fret) - from.0).round() as i16;
            let (way, size) = (gap.signum(), gap.abs());
            (
                vec![way * (size - 1), way * (size + 1), -gap, way * (size + 2), way],
                time,
            )
        }
        Arrival::Carried { .. } => return Vec::new(),
        _ => (vec![1, 2, -1], spot.brief.feel.slide_time(1, spot.brief.timeline.tempo)),
    };
    let highest = i16::from(spot.brief.instrument.frets);
    let possible = |gap: &i16| *gap != 0 && gap.abs() <= FARTHEST && (1..=highest).contains(&(fret - gap));
    let slides = gaps.into_iter().filter(possible).map(|gap| {
        let from = Fret(f64::from(fret - gap));
        let side = if gap > 0 { said!("below") } else { said!("above") };
        let words = said!(
            "Slide in from {frets} {side}",
            frets = words::frets(f64::from(gap)),
            side
        );
        Idea::new(Aspect::Start, words, arriving(spot, Arrival::Slid { from, time }))
    });
    let plain = match spot.first.arrival {
        Arrival::Slid { .. } => Some(said!("Strike it, no slide")),
        Arrival::Squeezed { .. } => Some(said!("Strike it, no squeeze")),
        Arrival::Leaned { .. } => Some(said!("Strike it and hold, no lean")),
        Arrival::Struck | Arrival::Carried { .. } => None,
    };
    let plain = plain.map(|words| Idea::new(Aspect::Start, words, arriving(spot, Arrival::Struck)));
    slides.chain(plain).collect()
}

/// Half as long, twice as long.
pub(super) fn times(spot: &Spot<'_>) -> Vec<Idea> {
    let noun = spot.action.strokes.iter().find_map(|s| noun(s.arrival));
    let Some(noun) = noun else { return Vec::new() };
    let scaled = |words: Said, by: f64| {
        let strokes = spot.action.strokes.iter().map(|s| Stroke {
            arrival: s
                .arrival
                .time()
                .map_or(s.arrival, |t| s.arrival.lasting(t.scaled(by).max(SHORTEST))),
            ..*s
        });
        let action = Move {
            strokes: strokes.collect(),
            ..spot.action.clone()
        };
        Idea::new(Aspect::Time, words, action)
    };
    vec![
        scaled(said!("Half as long a {noun}", noun = Said::of(noun)), 0.5),
        scaled(said!("Twice as long a {noun}", noun = Said::of(noun)), 2.0),
        scaled(said!("Four times as long a {noun}", noun = Said::of(noun)), 4.0),
    ]
}

/// Other shapes of the way.
pub(super) fn shapes(spot: &Spot<'_>) -> Vec<Idea> {
    let Some(noun) = noun(spot.first.arrival) else {
        return Vec::new();
    };
    let noun = || Said::of(noun);
    let shapes = [
        (Shape::Early, said!("Begin the {noun} fast, then settle", noun = noun())),
        (
            Shape::Late,
            said!("Begin the {noun} slowly, then arrive fast", noun = noun()),
        ),
        (Shape::Even, said!("Keep the {noun} at one speed", noun = noun())),
        (Shape::Eased, said!("Begin and end the {noun} gently", noun = noun())),
    ];
    let others = shapes.into_iter().filter(|(shape, _)| *shape != spot.first.shape);
    others
        .map(|(shape, words)| {
            let mut action = spot.action.clone();
            action.strokes.iter_mut().for_each(|s| s.shape = shape);
            Idea::new(Aspect::Shape, words, action)
        })
        .collect()
}

/// Squeezed into, leaned on, plucked with the change already down, half a pedal for a whole one.
pub(super) fn feet(spot: &Spot<'_>) -> Vec<Idea> {
    let grip = spot.first.grip;
    let time = spot.brief.feel.hand.squeeze_time.at(spot.brief.timeline.tempo);
    let squeezes = spot.workshop.neighbours(spot.action.at, grip, true);
    let leans = spot.workshop.neighbours(spot.action.at, grip, false);
    let mut ideas = Vec::new();
    match spot.first.arrival {
        Arrival::Carried { .. } => {
            ideas.push(Idea::new(
                Aspect::Feet,
                said!("Pluck it again, don't carry it"),
                arriving(spot, Arrival::Struck),
            ));
            return ideas;
        }
        Arrival::Squeezed { from, time } => {
            let others = squeezes.into_iter().filter(|s| *s != from);
            ideas.extend(others.map(|from| squeeze(spot, from, time)));
        }
        Arrival::Leaned { through, time } => {
            let mut others: Vec<Stance> = leans.into_iter().filter(|s| *s != through).collect();
            // The same change, half for whole or whole for half, comes first.
            let same = |s: &Stance| s.pressed().eq(through.pressed());
            others.sort_by_key(|s| !same(s));
            ideas.extend(others.into_iter().map(|through| lean(spot, through, time)));
        }
        Arrival::Struck | Arrival::Slid { .. } => {
            let mut squeezed = squeezes.into_iter().map(|from| squeeze(spot, from, time));
            let mut leaned = leans.into_iter().map(|through| lean(spot, through, time));
            ideas.extend(squeezed.next());
            ideas.extend(leaned.next());
            ideas.extend(squeezed);
            ideas.extend(leaned.filter(|_| spot.action.strokes.len() == 1));
        }
    }
    // A change already down and let up is a pre-bend; the pressed ones are commoner.
    ideas.sort_by_key(|i| i.ways.iter().any(|w| w.action.as_ref().is_some_and(is_pre_bend)));
    ideas
}

/// Whether a change is down when the move is plucked, and only let up.
fn is_pre_bend(action: &Move) -> bool {
    action.strokes.first().is_some_and(|first| match first.arrival {
        Arrival::Squeezed { from, .. } => only_lets_go(from, first.grip.place.stance),
        _ => false,
    })
}

fn only_lets_go(from: Stance, to: Stance) -> bool {
    to.pressed().all(|c| from.travel(c).0 >= to.travel(c).0)
}

fn squeeze(spot: &Spot<'_>, from: Stance, time: Beats) -> Idea {
    let here = spot.first.grip.place.stance;
    let instrument = spot.brief.instrument;
    let words = if only_lets_go(from, here) {
        let held = from.pressed().filter(|c| from.travel(*c) != here.travel(*c));
        let held = words::join(held.map(|c| words::change(instrument, from, c)).collect());
        said!("Pre-bend: pluck with {held} down, then let up", held)
    } else {
        said!(
            "Squeeze into it: {here}",
            here = words::footwork(instrument, from, here)
        )
    };
    Idea::new(Aspect::Feet, words, arriving(spot, Arrival::Squeezed { from, time }))
}

fn lean(spot: &Spot<'_>, through: Stance, time: Beats) -> Idea {
    let here = spot.first.grip.place.stance;
    let feet = words::footwork(spot.brief.instrument, here, through);
    let words = said!("Lean on it: {feet}, and back", feet);
    Idea::new(Aspect::Feet, words, arriving(spot, Arrival::Leaned { through, time }))
}

/// The move with its first stroke arriving otherwise; its kind follows where the arrival is what makes it.
fn arriving(spot: &Spot<'_>, arrival: Arrival) -> Move {
    let mut action = spot.action.clone();
    if let Some(first) = action.strokes.first_mut() {
        first.arrival = arrival;
    }
    let named_by_it = matches!(
        action.kind,
        Kind::Strike | Kind::SlideIn | Kind::Grace | Kind::Squeeze | Kind::Lean | Kind::Carry | Kind::PreBend
    );
    let carries = action.strokes.iter().any(|s| !s.arrival.plucks());
    if named_by_it {
        action.kind = if carries {
            Kind::Carry
        } else {
            Kind::of_arrival(arrival)
        };
    }
    action
}

/// What takes time in an arrival.
fn noun(arrival: Arrival) -> Option<&'static str> {
    match arrival {
        Arrival::Struck => None,
        Arrival::Slid { .. } => Some(key!("slide")),
        Arrival::Squeezed { .. } => Some(key!("squeeze")),
        Arrival::Leaned { .. } => Some(key!("lean")),
        Arrival::Carried { .. } => Some(key!("carry")),
    }
}
