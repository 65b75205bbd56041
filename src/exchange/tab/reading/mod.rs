//! Tablature as plain text read back into moves.
//!
//! What [`Tab::text`](super::Tab::text) writes is understood whole; so is what a player types in its form. Where no
//! count stands above the strings, the columns of a bar share its time by their places.
//!
//! *Invariant:* reading never fails: whatever can be understood becomes moves, and every doubt has its line and
//! column.

mod grid;
mod signs;
mod strokes;
#[cfg(test)]
mod tests;

use crate::solo::{Move, Pass, Request};
use crate::steel::Instrument;
use crate::theory::Timeline;
use crate::theory::chart::Place;
use crate::words::Said;
use std::sync::Arc;

/// The longest text that is read, in bytes.
pub const MOST_TEXT: usize = 400_000;
/// The most doubts that are told of one text.
const MOST_PROBLEMS: usize = 100;

/// A doubt about a place in tablature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TabProblem {
    /// Where it is.
    pub place: Place,
    /// What is wrong and what to write.
    pub words: Said,
}

/// What was understood of tablature.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadTab {
    /// The moves, in order of time.
    pub moves: Vec<Move>,
    /// What was not understood, in the text's order.
    pub problems: Vec<TabProblem>,
}

impl ReadTab {
    /// The moves as a pass over `song`.
    #[must_use]
    pub fn into_pass(self, request: Request, song: &Timeline) -> Pass {
        Pass {
            moves: self.moves.into_iter().map(Arc::new).collect(),
            request,
            length: song.length(),
        }
    }
}

/// Reads tablature for an instrument over a song.
///
/// ```
/// use leadbar::{exchange::tab, steel::Instrument, theory::chart};
/// let song = chart::parse("key G, 96; 1 4").chart.timeline();
/// let e9 = Instrument::shipped("e9").unwrap();
/// let text = "bar 1\n\
///             count   1   3\n\
///             4 E   |-3---3---|\n\
///             5 B   |-3---3A--|\n";
/// let read = tab::read(text, &e9, &song);
/// assert!(read.problems.is_empty(), "{:?}", read.problems);
/// assert_eq!(read.moves[1].at.0, 2.0);
/// ```
#[must_use]
pub fn read(text: &str, instrument: &Instrument, song: &Timeline) -> ReadTab {
    let mut problems = Vec::new();
    if text.len() > MOST_TEXT {
        let words = said!("this tab is longer than any song: paste one song at a time");
        problems.push(TabProblem {
            place: Place { line: 1, column: 1 },
            words,
        });
        return ReadTab {
            moves: Vec::new(),
            problems,
        };
    }
    let columns = grid::columns(text, instrument, song, &mut problems);
    let moves = strokes::moves(&columns, instrument, song.length(), &mut problems);
    problems.sort_by_key(|p| p.place);
    problems.truncate(MOST_PROBLEMS);
    ReadTab { moves, problems }
}
