//! The figure of a solo and what becomes of it: stated, brought back with one thing changed, answered.
//!
//! *Invariant:* a return differs from the figure in one thing only; an answer comes to rest before its bar is over.
//!
//! That a figure returns changed and that an answer takes up rhythm or shape and ends on rest: common practice, no
//! source.

use super::slot::Step;
use crate::solo::chance;
use crate::solo::feel::Cell;
use crate::solo::melody::Melody;
use crate::solo::motif::Motif;
use crate::theory::ScaleDegree;

/// Nearest that two hits come to one another where one is moved or added, in felt beats.
const ROOM: f64 = 0.45;
/// What an added or moved hit is away from its neighbour, in felt beats.
const HALF: f64 = 0.5;
/// An answer strikes no more after one of these parts of its bar, and its last note rests for one of these lengths, in
/// felt beats, where the bar leaves room for it: answers that all end alike are heard as a habit. Taste, no source.
const ANSWERED: [f64; 3] = [0.75, 0.75, 0.5];
const REST: [f64; 4] = [1.5, 1.5, 0.75, 3.0];
/// How often an answer takes up the rhythm, and how often the shape; else it goes its own way. Taste, no source.
const TAKES_RHYTHM: f64 = 0.4;
const TAKES_SHAPE: f64 = 0.35;

/// A note that is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Asked {
    /// A degree of the scale of the chord in force: a motif's.
    OfChord(ScaleDegree),
    /// A degree of the key: a melody's.
    OfKey(ScaleDegree),
}

/// When something happens in some felt beats, counted from 1, and which way the top note goes at each hit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rhythm {
    pub(super) hits: Vec<f64>,
    /// One for each hit.
    pub(super) steps: Vec<Step>,
    /// The note wished for at each hit, where there is one; as many as hits.
    pub(super) tones: Vec<Option<Asked>>,
    /// When the last sound is stopped.
    pub(super) until: f64,
    /// Whether its last note is one to rest on.
    pub(super) rests: bool,
}

impl Rhythm {
    /// A cell with a shape; hits beyond the shape go as they like.
    pub(super) fn of(cell: &Cell, shape: &[Step]) -> Self {
        let steps = (0..cell.hits.len()).map(|i| shape.get(i).copied().unwrap_or(0));
        Self {
            hits: cell.hits.clone(),
            steps: steps.collect(),
            tones: vec![None; cell.hits.len()],
            until: cell.until,
            rests: false,
        }
    }

    /// What a motif strikes in the `pulses` felt beats of its bar after the first `gone`; nothing where it is silent.
    pub(super) fn of_motif(motif: &Motif, gone: f64, pulses: u8) -> Option<Self> {
        let end = 1.0 + f64::from(pulses);
        let placed = motif.strikes().map(|(at, tone)| (1.0 + at - gone, tone));
        let inside: Vec<(f64, Option<ScaleDegree>)> = placed.filter(|(hit, _)| (1.0..end).contains(hit)).collect();
        let tones: Vec<_> = inside.iter().map(|(_, tone)| *tone).collect();
        let number = |tone: Option<ScaleDegree>| tone.map(|t| i16::from(t.number()));
        let step = |pair: &[Option<ScaleDegree>]| match pair {
            [a, b] => number(*a).zip(number(*b)).map_or(0, |(a, b)| nearest_way(a, b)),
            _ => 0,
        };
        let steps = std::iter::once(0).chain(tones.windows(2).map(step)).collect();
        (!inside.is_empty()).then(|| Self {
            hits: inside.iter().map(|(hit, _)| *hit).collect(),
            steps,
            tones: tones.into_iter().map(|tone| tone.map(Asked::OfChord)).collect(),
            until: (1.0 + motif.length() - gone).min(end),
            rests: false,
        })
    }

    /// What a melody sings in the `pulses` felt beats of its `bar`th bar after the first `gone`; nothing where it is
    /// silent there.
    pub(super) fn of_melody(melody: &Melody, bar: usize, gone: f64, pulses: u8) -> Option<Self> {
        let end = 1.0 + f64::from(pulses);
        let mut inside = melody.bar(bar);
        inside.retain(|n| (gone..gone + f64::from(pulses)).contains(&n.at));
        let last = inside.last()?;
        Some(Self {
            until: (1.0 + last.at + last.length - gone).min(end),
            hits: inside.iter().map(|n| 1.0 + n.at - gone).collect(),
            steps: inside.iter().map(|n| n.step).collect(),
            tones: inside.iter().map(|n| Some(Asked::OfKey(n.degree))).collect(),
            rests: false,
        })
    }
}

/// The shorter way from one number of a scale to another: up, down or none.
fn nearest_way(from: i16, to: i16) -> Step {
    match (to - from).rem_euclid(7) {
        0 => 0,
        1..=3 => 1,
        _ => -1,
    }
}

/// The one thing that changes when the figure comes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Variation {
    /// The last note goes the other way.
    LastNote,
    /// It starts half a beat later, or earlier.
    Start,
    /// One note is struck twice.
    Doubled,
    /// One note is left out.
    Dropped,
}

impl Variation {
    pub(super) const ALL: [Self; 4] = [Self::LastNote, Self::Start, Self::Doubled, Self::Dropped];

    /// A variation other than the one before.
    pub(super) fn other_than(before: Option<Self>, rng: &mut fastrand::Rng) -> Self {
        let open: Vec<Self> = Self::ALL.into_iter().filter(|v| Some(*v) != before).collect();
        chance::one_of(&open, rng).copied().unwrap_or(Self::LastNote)
    }

    /// The figure with this one thing changed; its last note where there is no room for the change.
    pub(super) fn of(self, figure: &Rhythm) -> Rhythm {
        let changed = match self {
            Self::LastNote => None,
            Self::Start => started_elsewhere(figure),
            Self::Doubled => doubled(figure),
            Self::Dropped => dropped(figure),
        };
        changed.unwrap_or_else(|| last_note_turned(figure))
    }
}

fn last_note_turned(figure: &Rhythm) -> Rhythm {
    let mut new = figure.clone();
    if let Some(step) = new.steps.last_mut() {
        *step = if *step == 0 { 1 } else { -*step };
    }
    if let Some(tone) = new.tones.last_mut() {
        *tone = None;
    }
    new
}

fn started_elsewhere(figure: &Rhythm) -> Option<Rhythm> {
    let first = *figure.hits.first()?;
    let next = figure.hits.get(1).copied().unwrap_or(figure.until);
    let moved = if first + HALF + ROOM <= next {
        first + HALF
    } else if first - HALF >= 1.0 {
        first - HALF
    } else {
        return None;
    };
    let mut new = figure.clone();
    *new.hits.first_mut()? = moved;
    Some(new)
}

/// Strikes once more in the widest gap.
fn doubled(figure: &Rhythm) -> Option<Rhythm> {
    let ends = figure.hits.iter().skip(1).copied().chain([figure.until]);
    let gaps = figure.hits.iter().copied().zip(ends).enumerate();
    let (index, (from, _)) = gaps
        .filter(|(_, (from, to))| from + HALF + ROOM <= *to)
        .max_by(|a, b| (a.1.1 - a.1.0).total_cmp(&(b.1.1 - b.1.0)))?;
    let mut new = figure.clone();
    new.hits.insert(index + 1, from + HALF);
    let step = figure.steps.get(index).copied().unwrap_or(0);
    new.steps.insert(index + 1, step);
    let tone = figure.tones.get(index).copied().flatten();
    new.tones.insert(index + 1, tone);
    Some(new)
}

/// Leaves out the hit before the last: how it begins and where it ends make it known again.
fn dropped(figure: &Rhythm) -> Option<Rhythm> {
    let index = figure.hits.len().checked_sub(2).filter(|i| *i > 0)?;
    let mut new = figure.clone();
    new.hits.remove(index);
    new.steps.remove(index);
    new.tones.remove(index);
    Some(new)
}

/// What answers the figure in a bar of `pulses` felt beats whose own way would be `own`.
pub(super) fn answer(figure: &Rhythm, own: &Cell, pulses: u8, rng: &mut fastrand::Rng) -> Rhythm {
    let turned: Vec<Step> = figure.steps.iter().map(|s| -s).collect();
    let taken = rng.f64();
    if taken < TAKES_RHYTHM {
        let echoed = Rhythm {
            steps: turned,
            tones: vec![None; figure.hits.len()],
            ..figure.clone()
        };
        at_rest(echoed, pulses, rng)
    } else if taken < TAKES_RHYTHM + TAKES_SHAPE {
        let shape = if rng.bool() { &figure.steps } else { &turned };
        at_rest(Rhythm::of(own, shape), pulses, rng)
    } else {
        Rhythm::of(own, &[])
    }
}

/// Says no more once most of the bar is over, and rests on the last note.
fn at_rest(mut rhythm: Rhythm, pulses: u8, rng: &mut fastrand::Rng) -> Rhythm {
    let answered = chance::one_of(&ANSWERED, rng).copied().unwrap_or(1.0);
    let rests = chance::one_of(&REST, rng).copied().unwrap_or(1.0);
    let (first, end) = (1.0, 1.0 + f64::from(pulses));
    let last = first + f64::from(pulses) * answered;
    let kept = rhythm.hits.iter().filter(|h| **h <= last).count().max(1);
    if kept < rhythm.hits.len() || rhythm.hits.len() > 1 {
        rhythm.hits.truncate(kept);
        rhythm.steps.truncate(kept);
        rhythm.tones.truncate(kept);
        let rest = rhythm.hits.last().map_or(end, |h| h + rests);
        rhythm.until = rest.min(end);
    }
    rhythm.rests = true;
    rhythm
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(hits: &[f64], until: f64) -> Rhythm {
        Rhythm {
            hits: hits.to_vec(),
            steps: vec![1; hits.len()],
            tones: vec![None; hits.len()],
            until,
            rests: false,
        }
    }

    #[test]
    fn a_return_differs_in_one_thing() {
        let stated = figure(&[1.0, 2.5, 3.5], 4.75);
        let hits = |v: Variation| v.of(&stated).hits;
        assert_eq!(hits(Variation::LastNote), stated.hits);
        assert_eq!(Variation::LastNote.of(&stated).steps, [1, 1, -1]);
        assert_eq!(hits(Variation::Start), [1.5, 2.5, 3.5]);
        assert_eq!(hits(Variation::Doubled), [1.0, 1.5, 2.5, 3.5]);
        assert_eq!(hits(Variation::Dropped), [1.0, 3.5]);
    }

    #[test]
    fn a_motif_of_the_players_own_is_the_figure() {
        let motif: Motif = "3 5:0.5 1:0.5 - x".parse().unwrap();
        let figure = Rhythm::of_motif(&motif, 0.0, 4).unwrap();
        assert_eq!(
            (figure.hits, figure.steps),
            (vec![1.0, 2.0, 2.5, 4.0], vec![0, 1, 1, 0])
        );
        assert_eq!(figure.tones.iter().flatten().count(), 3);
        let rest = Rhythm::of_motif(&motif, 2.0, 2).unwrap();
        assert_eq!(rest.hits, [2.0]);
    }

    #[test]
    fn where_there_is_no_room_the_last_note_changes() {
        let tight = figure(&[1.0, 1.5], 2.0);
        for variation in Variation::ALL {
            let new = variation.of(&tight);
            assert_eq!((new.hits, new.steps), (vec![1.0, 1.5], vec![1, -1]), "{variation:?}");
        }
    }

    #[test]
    fn no_two_returns_running_change_the_same_thing() {
        let mut rng = fastrand::Rng::with_seed(4);
        let mut before = None;
        for _ in 0..50 {
            let next = Variation::other_than(before, &mut rng);
            assert_ne!(Some(next), before);
            before = Some(next);
        }
    }

    #[test]
    fn an_answer_that_takes_up_the_figure_stops_early_and_rests() {
        let stated = figure(&[1.0, 2.0, 3.5, 4.5], 5.0);
        let own = Cell {
            pulses: 4,
            hits: vec![1.0, 3.0, 4.5],
            until: 5.0,
            role: crate::solo::feel::CellRole::Answer,
            weight: 1.0,
        };
        let mut taken_up = 0;
        let mut ends = std::collections::BTreeSet::new();
        for seed in 0..40 {
            let said = answer(&stated, &own, 4, &mut fastrand::Rng::with_seed(seed));
            assert_eq!(said.hits.len(), said.steps.len());
            if said.rests {
                taken_up += 1;
                assert!(said.hits.iter().all(|h| *h <= 4.0), "{said:?}");
                let shortened = [vec![1.0, 2.0, 3.5], vec![1.0, 2.0], vec![1.0, 3.0]];
                assert!(shortened.contains(&said.hits), "{said:?}");
                ends.insert((said.hits.len(), (said.until * 4.0) as i64));
            } else {
                assert_eq!(said.hits, own.hits);
            }
        }
        assert!((20..40).contains(&taken_up), "{taken_up}");
        assert!(ends.len() > 3, "{ends:?}");
    }
}
