//! Change one thing: from any move of a pass, the single changes that can be made there.
//!
//! How: `arrival`, `attack`, `place`, `idiom`, `time` and `colour` have ideas, each a concrete change in the trade's terms;
//! `proof` keeps those a body can play without clashing; the menu takes them in turn, so that its first dozen shows
//! every side of the move.
//!
//! *Invariant:* an offer changes one move (and at most where its neighbour before stops, and whether the one after,
//! carried on from it, is plucked); every other move of the pass stays the very same, and a locked move is never
//! touched. An offer is no less playable than the pass was.

mod arrival;
mod attack;
mod colour;
mod idiom;
mod place;
mod proof;
mod time;

use super::moves::{Kind, Move};
use super::pass::Pass;
use super::plan::{Brief, Workshop};
use super::playable::Breach;
use super::stroke::{Arrival, Stroke};
use crate::theory::Beats;
use crate::words::Said;
use proof::Proof;
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::sync::Arc;

/// What an offer changes about a move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Aspect {
    /// Where a slide starts.
    Start,
    /// How long a slide, squeeze, lean or carry takes.
    Time,
    /// How a slide, squeeze, lean or carry is shaped.
    Shape,
    /// What feet and knees do.
    Feet,
    /// What kind of move it is.
    Idiom,
    /// Where on the neck.
    Place,
    /// Which strings.
    Strings,
    /// How many times.
    Repeats,
    /// How long it sounds.
    Ring,
    /// When it comes.
    When,
    /// Vibrato and volume.
    Colour,
    /// Whether it is played at all.
    Rest,
}

impl Aspect {
    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Start => key!("Where it starts"),
            Self::Time => key!("How long it takes"),
            Self::Shape => key!("How it gets there"),
            Self::Feet => key!("Pedals and levers"),
            Self::Idiom => key!("Another move"),
            Self::Place => key!("Where on the neck"),
            Self::Strings => key!("Which strings"),
            Self::Repeats => key!("How many times"),
            Self::Ring => key!("Ring or block"),
            Self::When => key!("When"),
            Self::Colour => key!("Vibrato and volume"),
            Self::Rest => key!("Leave it out"),
        }
    }
}

/// Some moves of a pass replaced by others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// The first move replaced, from 0.
    pub from: usize,
    /// How many are replaced.
    pub count: usize,
    /// What stands there instead.
    pub moves: Vec<Arc<Move>>,
}

impl Change {
    /// `action` put in the place of the move at `index`, whether or not a body can play it; the move before it is cut
    /// short where it must be. Nothing where a locked move would be touched, or a move would vanish.
    #[must_use]
    pub fn by_hand(pass: &Pass, index: usize, action: Move) -> Option<Self> {
        pass.moves.get(index).filter(|own| !own.locked)?;
        change_to(pass, index, Some(action).filter(|a| !a.strokes.is_empty()))
    }

    /// The pass with the change in it; what the change does not name is shared with `pass`.
    #[must_use]
    pub fn made_in(&self, pass: &Pass) -> Pass {
        let mut moves = pass.moves.clone();
        let from = self.from.min(moves.len());
        let to = (from + self.count).min(moves.len());
        moves.splice(from..to, self.moves.iter().cloned());
        Pass { moves, ..pass.clone() }
    }
}

/// One thing that could be otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// The move it is about, from 0.
    pub index: usize,
    /// What it changes about the move.
    pub aspect: Aspect,
    /// The change as a player would ask for it.
    pub words: Said,
    /// The change itself.
    pub change: Change,
}

impl Offer {
    /// The pass with this one thing changed.
    #[must_use]
    pub fn made_in(&self, pass: &Pass) -> Pass {
        self.change.made_in(pass)
    }
}

/// One way to carry out an idea.
struct Way {
    words: Said,
    /// The move as it would be; nothing leaves it out.
    action: Option<Move>,
}

/// Something to try: the first of its ways that holds is offered.
struct Idea {
    aspect: Aspect,
    ways: Vec<Way>,
}

impl Idea {
    fn new(aspect: Aspect, words: Said, action: Move) -> Self {
        let action = Some(action);
        Self {
            aspect,
            ways: vec![Way { words, action }],
        }
    }
}

/// A move where it stands.
struct Spot<'a> {
    brief: &'a Brief<'a>,
    workshop: &'a Workshop<'a>,
    action: &'a Move,
    before: Option<&'a Move>,
    first: &'a Stroke,
    last: &'a Stroke,
    /// When the next move begins, or the song ends.
    end: Beats,
    /// Whether the pass ends with it.
    closes: bool,
}

/// Works out what could be changed in passes over one song on one instrument.
pub struct Reviser<'a> {
    brief: Brief<'a>,
    /// Fitted out with the first idea that is asked for: to judge a change it takes none.
    workshop: RefCell<Option<Workshop<'a>>>,
    proof: Proof<'a>,
}

impl<'a> Reviser<'a> {
    /// A reviser of passes made for `brief`; its request says which changes are avoided.
    #[must_use]
    pub fn new(brief: &Brief<'a>) -> Self {
        Self {
            brief: *brief,
            workshop: RefCell::default(),
            proof: Proof::new(brief.timeline, brief.instrument, brief.limits),
        }
    }

    /// What it works with.
    #[must_use]
    pub fn brief(&self) -> &Brief<'a> {
        &self.brief
    }

    /// At most `most` single changes of the move at `index`, the likeliest to be wanted first, no two alike.
    /// None for a locked move and for an index the pass has not.
    #[must_use]
    pub fn offers(&self, pass: &Pass, index: usize, most: usize) -> Vec<Offer> {
        self.proven(pass, index, most, true)
    }

    /// Offers that hold. Where they are to mend something, a neighbour that could not be joined in time before need
    /// not be joined now.
    fn proven(&self, pass: &Pass, index: usize, most: usize, joined: bool) -> Vec<Offer> {
        let before = self.proof.faults(pass, self.proof.near(&pass.moves, index..index + 1));
        let mut offers: Vec<Offer> = Vec::new();
        for idea in self.ideas(pass, index) {
            if offers.len() >= most {
                break;
            }
            let proven = idea.ways.into_iter().find_map(|way| {
                let change = change_to(pass, index, way.action)?;
                // Some ways lead back to where the move stands.
                if pass.moves.get(change.from..change.from + change.count) == Some(&change.moves[..]) {
                    return None;
                }
                let holds = |change: &Change, words: &Said| {
                    let new = offers.iter().all(|o| o.change != *change && o.words != *words);
                    new && self.proof.holds(pass, change, &before, joined)
                };
                let found = holds(&change, &way.words).then_some((change.clone(), way.words.clone()));
                let (change, words) = found.or_else(|| {
                    let change = with_next_plucked(pass, change)?;
                    let words = said!("{way}; pluck the next", way = way.words);
                    holds(&change, &words).then_some((change, words))
                })?;
                Some(Offer {
                    index,
                    aspect: idea.aspect,
                    words,
                    change,
                })
            });
            offers.extend(proven);
        }
        offers
    }

    /// What a body can't do near a change that it could do, or had not to do, before.
    #[must_use]
    pub fn breaches_of(&self, pass: &Pass, change: &Change) -> Vec<Breach> {
        let after = change.made_in(pass);
        let near = |pass: &Pass, count: usize| {
            let stretch = self.proof.near(&pass.moves, change.from..change.from + count);
            self.proof.faults(pass, stretch).breaches
        };
        let before = near(pass, change.count);
        let mut breaches = near(&after, change.moves.len());
        breaches.retain(|breach| !before.contains(breach));
        breaches
    }

    /// At most `most` single changes that end `breach` without making another: of the move in which it lies, then of
    /// its neighbours.
    #[must_use]
    pub fn mends(&self, pass: &Pass, breach: &Breach, most: usize) -> Vec<Offer> {
        let within = pass.moves.partition_point(|m| m.at <= breach.at + EPSILON);
        let here = within.saturating_sub(1);
        let places = [Some(here), Some(here + 1), here.checked_sub(1)];
        let whole = self.proof.faults(pass, 0..pass.moves.len());
        let mut found = Vec::new();
        for index in places.into_iter().flatten().filter(|i| *i < pass.moves.len()) {
            for offer in self.proven(pass, index, usize::MAX, false) {
                if found.len() >= most {
                    return found;
                }
                let after = offer.made_in(pass);
                let left = self.proof.faults(&after, 0..after.moves.len());
                if !left.breaches.contains(breach) && left.no_worse_than(&whole) {
                    found.push(offer);
                }
            }
        }
        found
    }

    /// Everything worth trying at a move, in the order of the menu.
    fn ideas(&self, pass: &Pass, index: usize) -> Vec<Idea> {
        let Some(action) = pass.moves.get(index).filter(|m| !m.locked) else {
            return Vec::new();
        };
        let (Some(first), Some(last)) = (action.strokes.first(), action.strokes.last()) else {
            return Vec::new();
        };
        let mut workshop = self.workshop.borrow_mut();
        let workshop = workshop.get_or_insert_with(|| Workshop::empty(&self.brief));
        if let Some(span) = self.brief.timeline.span_at(action.at + EPSILON) {
            workshop.learn(&span.chord);
        }
        let spot = Spot {
            brief: &self.brief,
            workshop,
            action,
            before: index.checked_sub(1).and_then(|i| pass.moves.get(i)).map(Arc::as_ref),
            first,
            last,
            end: pass.moves.get(index + 1).map_or(pass.length, |m| m.at),
            closes: index + 1 == pass.moves.len(),
        };
        let instead = workshop.instead(action, spot.end, spot.last_before().as_ref(), spot.closes);
        in_turn([
            arrival::starts(&spot),
            arrival::times(&spot),
            time::repeats(&spot),
            arrival::feet(&spot),
            idiom::others(&spot, &instead),
            place::led(&spot).into_iter().collect(),
            place::elsewhere(&spot),
            place::strings(&spot, &instead),
            time::ring(&spot),
            time::when(&spot),
            colour::vibrato(&spot),
            time::rest(&spot),
            arrival::shapes(&spot),
            colour::volume(&spot),
            attack::begun(&spot),
            attack::let_fall(&spot).into_iter().collect(),
        ])
    }
}

impl Spot<'_> {
    /// The stroke that goes before the move, with times from the start of the song.
    fn last_before(&self) -> Option<Stroke> {
        self.before.and_then(|m| m.timed().last())
    }
}

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// The first of each list, then the second of each, and so on.
fn in_turn<const N: usize>(lists: [Vec<Idea>; N]) -> Vec<Idea> {
    let mut lists = lists.map(Vec::into_iter);
    let mut all = Vec::new();
    loop {
        let before = all.len();
        all.extend(lists.iter_mut().filter_map(Iterator::next));
        if all.len() == before {
            return all;
        }
    }
}

/// The change that puts `action` in the place of the move at `index`: a move that comes earlier cuts the one before it
/// short. Nothing when that one is locked, or would vanish.
fn change_to(pass: &Pass, index: usize, action: Option<Move>) -> Option<Change> {
    let replaced = |moves| Change {
        from: index,
        count: 1,
        moves,
    };
    let Some(action) = action else {
        return Some(replaced(Vec::new()));
    };
    let before = index.checked_sub(1).and_then(|i| pass.moves.get(i));
    match before.filter(|b| b.end() > action.at + EPSILON) {
        None => Some(replaced(vec![Arc::new(action)])),
        Some(before) if before.locked => None,
        Some(before) => {
            let cut = time::cut_short(before, action.at)?;
            Some(Change {
                from: index - 1,
                count: 2,
                moves: vec![Arc::new(cut), Arc::new(action)],
            })
        }
    }
}

/// The change, and the move after it plucked where it was carried on from what is no more. Nothing where it was not
/// carried, or is locked.
fn with_next_plucked(pass: &Pass, change: Change) -> Option<Change> {
    let after = change.from + change.count;
    let next = pass.moves.get(after).filter(|m| !m.locked)?;
    let mut plucked = Move::clone(next);
    let first = plucked.strokes.first_mut().filter(|s| !s.arrival.plucks())?;
    first.arrival = Arrival::Struck;
    if plucked.strokes.iter().all(|s| s.arrival.plucks()) {
        plucked.kind = Kind::Strike;
    }
    let mut moves = change.moves;
    moves.push(Arc::new(plucked));
    Some(Change {
        count: change.count + 1,
        moves,
        ..change
    })
}
