//! The temperament that suits given music: weighted least squares over the intervals it sounds.
//!
//! Unknown are the cents of every string and of every pull. Each interval heard asks for its just size, by its
//! weight; each tone asks, by the wish to stay [near](Quest::nearness), for equal temperament; strings of one
//! note class ask, faintly, for pure octaves. One string is given. Source: the method of least squares, the normal
//! equations solved by Cholesky's factors.

use super::{Scheme, Temper, Tone, Trim, ruling};
use crate::steel::instrument::{ChangeId, Instrument, StringNumber};
use crate::steel::{Fret, Stance};
use crate::theory::{Cents, Hertz, Ratio};
use nalgebra::{Cholesky, DMatrix, DVector};
use std::collections::{BTreeMap, BTreeSet};

/// How much a pure octave between open strings counts beside all the music together.
const OCTAVES: f64 = 0.02;
/// What holds a tone that is never heard at its place in the just scale, or between that and equal temperament as
/// the wish to stay near has it, so that nothing is left undecided.
const IDLE: f64 = 1e-6;
/// Two strings heard together, and the ratio they ask for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The lower note.
    pub low: Tone,
    /// The higher note.
    pub high: Tone,
    /// Where the bar is.
    pub fret: Fret,
    /// Its just size.
    pub ratio: Ratio,
    /// How much it counts: how long and how loud it sounds. Positive.
    pub weight: f64,
}

/// The string that is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchor {
    /// Which.
    pub string: StringNumber,
    /// Its cents off equal temperament.
    pub at: Cents,
}

/// What is asked of a temperament.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quest {
    /// What stays where it is.
    pub anchor: Anchor,
    /// How much equal temperament counts beside pure chords: 0 not at all, 1 as much.
    pub nearness: f64,
    /// How far the body gives: see [`Instrument::give`].
    pub drop: Cents,
}

/// A temperament found, and what is left of the beats.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The targets.
    pub temper: Temper,
    /// Strings the music sounds with nothing pulling them.
    pub heard_strings: BTreeSet<StringNumber>,
    /// Pulls the music sounds.
    pub heard_pulls: BTreeSet<(ChangeId, StringNumber)>,
    /// Root mean square of what the intervals are off their just sizes, by weight.
    pub impurity: Cents,
    /// Root mean square of what the tones are off equal temperament over the anchor, by weight.
    pub departure: Cents,
}

impl Wanted {
    /// How far the interval is off its just size under a temperament; positive is too wide.
    #[must_use]
    pub fn off(&self, instrument: &Instrument, temper: &Temper, drop: Cents) -> Option<Cents> {
        let heard = |tone: Tone| temper.heard(instrument, tone, drop).0;
        Some(Cents(heard(self.high) - heard(self.low) - self.asks(instrument)?))
    }

    /// How fast it beats under a temperament.
    #[must_use]
    pub fn beats(&self, instrument: &Instrument, temper: &Temper, drop: Cents) -> Option<Hertz> {
        let hertz = |tone: Tone| {
            let equal = equal_height(instrument, tone, self.fret)?;
            Some(equal.shifted(temper.heard(instrument, tone, drop)).hertz())
        };
        Some(self.ratio.beats(hertz(self.low)?, hertz(self.high)?))
    }

    /// What the interval asks of the two targets' difference: its just size less its equal one.
    fn asks(&self, instrument: &Instrument) -> Option<f64> {
        let low = equal_height(instrument, self.low, self.fret)?;
        let high = equal_height(instrument, self.high, self.fret)?;
        Some(self.ratio.cents().0 - high.above(low).0)
    }
}

/// The height of a tone in equal temperament: whole notes, whatever the player's own offsets are.
fn equal_height(instrument: &Instrument, tone: Tone, fret: Fret) -> Option<crate::theory::Height> {
    let open = instrument.strings.get(tone.string.index())?.pitch.number()?.height();
    let pulled: f64 = ruling(instrument, tone).map(|r| r.way()).sum();
    Some(open.shifted(Cents(fret.0 * 100.0 + pulled)))
}

/// How far a tone falls as the body gives under the changes pressed, in cents.
fn fallen(instrument: &Instrument, tone: Tone, drop: Cents) -> f64 {
    let travel = |id| instrument.travel(tone.stance, id);
    instrument.fallen(drop, tone.string, travel).0
}

/// Finds the temperament. Intervals of strings the instrument has not, or of no weight, are passed over; an
/// unknown anchor leaves equal temperament.
#[must_use]
pub fn solve(instrument: &Instrument, wanted: &[Wanted], quest: &Quest) -> Solution {
    let unknowns = Unknowns::of(instrument, quest.anchor);
    let total: f64 = wanted.iter().map(|w| w.weight).filter(|w| *w > 0.0).sum();
    let mut system = Normal::new(unknowns.count());
    for want in wanted.iter().filter(|w| w.weight > 0.0) {
        let Some(asks) = want.asks(instrument) else { continue };
        let weight = want.weight / total;
        let (low, high) = (unknowns.row(instrument, want.low), unknowns.row(instrument, want.high));
        let fallen = fallen(instrument, want.high, quest.drop) - fallen(instrument, want.low, quest.drop);
        system.add(&high.minus(&low), asks + fallen, weight);
        for row in [low, high] {
            system.add(&row, quest.anchor.at.0, weight * quest.nearness.max(0.0) / 2.0);
        }
    }
    for (one, other) in octaves(instrument) {
        let (one, other) = (
            unknowns.row(instrument, open(one)),
            unknowns.row(instrument, open(other)),
        );
        system.add(&other.minus(&one), 0.0, OCTAVES);
    }
    let just = Scheme::Just.temper(instrument);
    for tone in idle_tones(instrument) {
        let over_anchor = just.off(instrument, tone) - just.string(quest.anchor.string);
        let place = quest.anchor.at.0 + over_anchor.0 / (1.0 + quest.nearness.max(0.0));
        system.add(&unknowns.row(instrument, tone), place, IDLE);
    }
    let temper = system.solved().map_or_else(
        || Temper::equal(instrument),
        |found| unknowns.temper(instrument, &found),
    );
    judged(instrument, wanted, quest, temper)
}

/// What a temperament, found or given, does for the music.
#[must_use]
pub fn judged(instrument: &Instrument, wanted: &[Wanted], quest: &Quest, temper: Temper) -> Solution {
    let (mut total, mut impure, mut away) = (0.0, 0.0, 0.0);
    let mut heard_strings = BTreeSet::new();
    let mut heard_pulls = BTreeSet::new();
    for want in wanted.iter().filter(|w| w.weight > 0.0) {
        let Some(off) = want.off(instrument, &temper, quest.drop) else {
            continue;
        };
        total += want.weight;
        impure += want.weight * off.0 * off.0;
        for tone in [want.low, want.high] {
            let from_anchor = temper.off(instrument, tone).0 - quest.anchor.at.0;
            away += want.weight * from_anchor * from_anchor / 2.0;
            let pulls: Vec<_> = ruling(instrument, tone).map(|r| (r.change, tone.string)).collect();
            if pulls.is_empty() {
                heard_strings.insert(tone.string);
            }
            heard_pulls.extend(pulls);
        }
    }
    let mean = |sum: f64| Cents(if total > 0.0 { (sum / total).sqrt() } else { 0.0 });
    Solution {
        impurity: mean(impure),
        departure: mean(away),
        temper,
        heard_strings,
        heard_pulls,
    }
}

fn open(string: StringNumber) -> Tone {
    Tone {
        string,
        stance: Stance::OPEN,
    }
}

/// Neighbours among the open strings of one note class.
fn octaves(instrument: &Instrument) -> Vec<(StringNumber, StringNumber)> {
    let mut last = BTreeMap::new();
    let mut pairs = Vec::new();
    for (string, spec) in instrument.string_numbers().zip(&instrument.strings) {
        if let Some(before) = last.insert(spec.pitch.name.class().number(), string) {
            pairs.push((before, string));
        }
    }
    pairs
}

/// Every string open, and with each change that pulls it.
fn idle_tones(instrument: &Instrument) -> impl Iterator<Item = Tone> {
    let pulled = instrument
        .change_ids()
        .zip(&instrument.changes)
        .flat_map(|(id, change)| {
            change.pulls.iter().map(move |pull| Tone {
                string: pull.string,
                stance: Stance::OPEN.with(id),
            })
        });
    instrument.string_numbers().map(open).chain(pulled)
}

/// A sum of unknowns, and a known part.
#[derive(Debug, Clone, Default)]
struct Row {
    parts: Vec<(usize, f64)>,
    known: f64,
}

impl Row {
    fn minus(&self, other: &Self) -> Self {
        let mut parts = self.parts.clone();
        parts.extend(other.parts.iter().map(|(index, by)| (*index, -by)));
        Self {
            parts,
            known: self.known - other.known,
        }
    }
}

/// Which unknown is which.
#[derive(Debug)]
struct Unknowns {
    anchor: Anchor,
    strings: Vec<StringNumber>,
    pulls: Vec<(ChangeId, StringNumber)>,
}

impl Unknowns {
    fn of(instrument: &Instrument, anchor: Anchor) -> Self {
        let pulls = instrument
            .change_ids()
            .zip(&instrument.changes)
            .flat_map(|(id, change)| change.pulls.iter().map(move |pull| (id, pull.string)));
        Self {
            anchor,
            strings: instrument.string_numbers().filter(|s| *s != anchor.string).collect(),
            pulls: pulls.collect(),
        }
    }

    fn count(&self) -> usize {
        self.strings.len() + self.pulls.len()
    }

    /// A tone's cents as a sum of unknowns.
    fn row(&self, instrument: &Instrument, tone: Tone) -> Row {
        let mut row = Row::default();
        match self.strings.iter().position(|s| *s == tone.string) {
            Some(index) => row.parts.push((index, 1.0)),
            None => row.known = self.anchor.at.0,
        }
        for rules in ruling(instrument, tone) {
            let which = (rules.change, tone.string);
            if let Some(index) = self.pulls.iter().position(|p| *p == which) {
                row.parts.push((self.strings.len() + index, rules.part));
            }
        }
        row
    }

    fn temper(&self, instrument: &Instrument, found: &DVector<f64>) -> Temper {
        let mut temper = Temper::equal(instrument);
        let cents = |index: usize| Cents(found.get(index).copied().unwrap_or(0.0));
        for (string, target) in instrument.string_numbers().zip(&mut temper.strings) {
            *target = self
                .strings
                .iter()
                .position(|s| *s == string)
                .map_or(self.anchor.at, cents);
        }
        let trims = self.pulls.iter().enumerate().map(|(index, (change, string))| Trim {
            change: *change,
            string: *string,
            by: cents(self.strings.len() + index),
        });
        temper.trims = trims.collect();
        temper
    }
}

/// The normal equations, gathered row by row.
#[derive(Debug)]
struct Normal {
    matrix: DMatrix<f64>,
    right: DVector<f64>,
}

impl Normal {
    fn new(count: usize) -> Self {
        Self {
            matrix: DMatrix::zeros(count, count),
            right: DVector::zeros(count),
        }
    }

    /// `weight` times (`row` - `asks`)^2 joins what is to be least.
    fn add(&mut self, row: &Row, asks: f64, weight: f64) {
        let asks = asks - row.known;
        for (i, a) in &row.parts {
            self.right[*i] += weight * a * asks;
            for (j, b) in &row.parts {
                self.matrix[(*i, *j)] += weight * a * b;
            }
        }
    }

    fn solved(self) -> Option<DVector<f64>> {
        Some(Cholesky::new(self.matrix)?.solve(&self.right))
    }
}
