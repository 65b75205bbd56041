//! A bar typed as tab: its text as it is, and what typing makes of the pass.
//!
//! *Invariant:* only that bar changes. A stroke that is not retyped keeps its strength, vibrato, time and shape; a bar
//! that a locked move reaches into is not typed.

use super::EPSILON;
use crate::exchange::tab::{self, Bar, Characters, Column, Signs, Tab, TabProblem};
use crate::solo::moves::Kind;
use crate::solo::stroke::{Attack, Stroke};
use crate::solo::{Change, Limits, Move, Pass};
use crate::steel::Instrument;
use crate::theory::chart::Place;
use crate::theory::{Beats, Hit, Timeline};
use crate::words::Said;
use std::ops::Range;
use std::sync::Arc;

/// Strokes this close together are the same stroke typed again: finer than any count.
const SAME: Beats = Beats(0.03);
/// Wide enough for any bar.
const ONE_LINE: Characters = Characters(4000);

/// A bar of a pass.
#[derive(Debug, Clone, Copy)]
pub struct TypedBar<'a> {
    /// The pass.
    pub pass: &'a Pass,
    /// The bar, from 0.
    pub bar: usize,
    /// The song.
    pub song: &'a Timeline,
    /// The instrument.
    pub instrument: &'a Instrument,
}

/// What typing makes of a bar.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadBar {
    /// The change; nothing when the bar is as it was, or can't be typed.
    pub change: Option<Change>,
    /// What was not understood, by line and column of the typed text.
    pub problems: Vec<TabProblem>,
}

impl TypedBar<'_> {
    /// The bar as text, its chord numbers and count above the strings.
    #[must_use]
    pub fn text(&self, limits: &Limits) -> String {
        let mut tab = self.tab(limits);
        let own = tab.bars.iter().find(|b| b.number == self.bar + 1).cloned();
        tab.bars = vec![own.unwrap_or_else(|| self.silent())];
        tab.legend.clear();
        tab.text(ONE_LINE)
    }

    /// Reads the bar from text.
    #[must_use]
    pub fn read(&self, text: &str, limits: &Limits) -> ReadBar {
        let refused = |words: Said| ReadBar {
            change: None,
            problems: vec![TabProblem {
                place: Place { line: 1, column: 1 },
                words,
            }],
        };
        let Some(span) = self.span() else {
            return refused(said!("this song has no such bar"));
        };
        let touched = self.touched(&span);
        let moves = self.pass.moves.get(touched.clone()).unwrap_or_default();
        if moves.iter().any(|m| m.locked) {
            return refused(said!("a locked move reaches into this bar: unlock it first"));
        }
        if text.trim_end() == self.text(limits).trim_end() {
            return ReadBar {
                change: None,
                problems: Vec::new(),
            };
        }
        let (read, mut problems) = self.understood(text, limits);
        let inside = |m: &Move| m.at >= span.start - SAME && m.at < span.end - EPSILON;
        if read.iter().any(|m| !inside(m) && m.at >= span.end - EPSILON) {
            problems.push(TabProblem {
                place: Place { line: 1, column: 1 },
                words: said!(
                    "only bar {bar} is typed here: what stands after it is left out",
                    bar = self.bar + 1
                ),
            });
        }
        let typed: Vec<Move> = read.into_iter().filter(inside).collect();
        let new = self.joined(moves, typed, &span);
        let change = Change {
            from: touched.start,
            count: touched.len(),
            moves: new,
        };
        let same = change.moves == moves;
        ReadBar {
            change: (!same).then_some(change),
            problems,
        }
    }

    fn tab(&self, limits: &Limits) -> Tab {
        let performance = self.pass.performance(self.instrument, limits, self.song.tempo);
        Tab::of(&performance, self.instrument, self.song, Signs::Letters)
    }

    /// When the bar begins and ends.
    fn span(&self) -> Option<Range<Beats>> {
        let bar = self.song.bars.get(self.bar)?;
        Some(bar.start..bar.start + bar.metre.bar())
    }

    /// The moves that have a stroke in the bar.
    fn touched(&self, span: &Range<Beats>) -> Range<usize> {
        let moves = &self.pass.moves;
        let reaches = |m: &Arc<Move>| m.timed().any(|s| s.at >= span.start - EPSILON);
        let first = moves.iter().position(reaches).unwrap_or(moves.len());
        let after = moves.partition_point(|m| m.at < span.end - EPSILON);
        first..after.max(first)
    }

    /// A bar in which nothing is played, with its chords and felt beats to type on.
    fn silent(&self) -> Bar {
        let (start, length) = self
            .span()
            .map_or((Beats::ZERO, Beats(4.0)), |s| (s.start, s.end - s.start));
        let pulse = self.song.bars.get(self.bar).map_or(Beats(1.0), |b| b.metre.pulse());
        let moments: Vec<Beats> = std::iter::successors(Some(start), |at| Some(*at + pulse))
            .take_while(|at| *at < start + length - EPSILON)
            .collect();
        let chord = |at: Beats| {
            let span = self.song.spans.iter().find(|s| (s.start - at).0.abs() < EPSILON.0);
            span.filter(|s| s.hit != Hit::Rest).map(|s| s.numeral.to_string())
        };
        Bar {
            number: self.bar + 1,
            start,
            length,
            counts: moments.iter().map(|at| Some(tab::counted(self.song, *at))).collect(),
            columns: moments
                .iter()
                .map(|at| Column {
                    at: *at,
                    chord: chord(*at),
                    cells: vec![Vec::new(); self.instrument.strings.len()],
                    lasts: pulse,
                })
                .collect(),
        }
    }

    /// The typed text read behind the bar before it, so that what rings in is known.
    fn understood(&self, text: &str, limits: &Limits) -> (Vec<Move>, Vec<TabProblem>) {
        let mut before = self.tab(limits);
        before.bars.retain(|b| b.number == self.bar);
        before.legend.clear();
        let context = before.text(ONE_LINE);
        let own = text.lines().any(|line| line.trim_start().starts_with("bar "));
        let head = if own {
            String::new()
        } else {
            format!("bar {}\n", self.bar + 1)
        };
        let whole = format!("{context}\n{head}{text}");
        let above = whole.lines().count() - text.lines().count();
        let mut read = tab::read(&whole, self.instrument, self.song);
        read.problems.retain(|p| p.place.line > above);
        for problem in &mut read.problems {
            problem.place.line -= above;
        }
        (read.moves, read.problems)
    }

    /// What stands where the touched moves stood: what they played before the bar, what is typed, and what they play
    /// after it.
    fn joined(&self, moves: &[Arc<Move>], typed: Vec<Move>, span: &Range<Beats>) -> Vec<Arc<Move>> {
        let old: Vec<Stroke> = moves.iter().flat_map(|m| m.timed()).collect();
        let before = moves
            .first()
            .and_then(|m| part(m, |at| at < span.start - EPSILON, span.start));
        let end = moves.last().map_or(span.end, |m| m.end()).max(span.end);
        let after = moves.last().and_then(|m| part(m, |at| at >= span.end - EPSILON, end));
        let rests_at = after.as_ref().map_or(span.end, |m| m.at);
        let nexts: Vec<Beats> = typed.iter().skip(1).map(|m| m.at).chain([rests_at]).collect();
        let typed = typed.into_iter().zip(nexts).map(|(action, next)| {
            let whole = moves.iter().find(|own| retyped(own, &action));
            whole.map_or_else(|| Arc::new(kept(action, next, &old)), Arc::clone)
        });
        before
            .map(Arc::new)
            .into_iter()
            .chain(typed)
            .chain(after.map(Arc::new))
            .collect()
    }
}

/// Whether two strokes are the same one, typed again.
fn same(old: &Stroke, new: &Stroke) -> bool {
    (old.at - new.at).0.abs() < SAME.0
        && old.grip == new.grip
        && std::mem::discriminant(&old.arrival) == std::mem::discriminant(&new.arrival)
        && signed(old.attack) == signed(new.attack)
}

/// How a stroke is begun as far as tab has a sign for it: a swell has none.
fn signed(attack: Attack) -> Attack {
    match attack {
        Attack::Swelled => Attack::Plain,
        attack => attack,
    }
}

/// Whether a move has been typed again as it stands.
fn retyped(own: &Move, typed: &Move) -> bool {
    own.strokes.len() == typed.strokes.len() && own.timed().zip(typed.timed()).all(|(old, new)| same(&old, &new))
}

/// A typed move that ends by `next`, its strokes as they were before where they are the same.
fn kept(typed: Move, next: Beats, old: &[Stroke]) -> Move {
    let at = typed.at;
    let own = |s: Stroke| {
        let known = old.iter().find(|o| same(o, &s)).copied();
        let until = known.map_or(s.until, |o| o.until).min(next);
        let known = known.unwrap_or(s);
        Stroke {
            at: known.at - at,
            until: (until - at).max(known.at - at + super::SHORTEST),
            ..known
        }
    };
    Move {
        strokes: typed.timed().map(own).collect(),
        length: next - at,
        ..typed
    }
}

/// The strokes of a move for which `wanted` holds, as a move that ends at `end`.
fn part(action: &Move, wanted: impl Fn(Beats) -> bool, end: Beats) -> Option<Move> {
    let strokes: Vec<Stroke> = action.timed().filter(|s| wanted(s.at)).collect();
    let first = strokes.first()?;
    let at = first.at;
    if strokes.len() == action.strokes.len() && action.end() <= end {
        return Some(action.clone());
    }
    let kind = match strokes.as_slice() {
        [only] => Kind::of_arrival(only.arrival),
        _ => action.kind,
    };
    let strokes = strokes.iter().map(|s| Stroke {
        at: s.at - at,
        until: s.until.min(end) - at,
        ..*s
    });
    Some(Move {
        kind,
        at,
        length: end - at,
        strokes: strokes.collect(),
        locked: false,
    })
}
