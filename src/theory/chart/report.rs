//! What the reader has to say about a text: problems and remarks, with their places and repairs.
//!
//! *Invariant:* a fix's range lies on character borders of the text it was made for.

use super::model::Chart;
use crate::words::Said;
use std::ops::Range;

/// The most problems (and the most remarks) told of one text; a text with more is no chart.
const MOST_SAID: usize = 100;

/// A place in a text, counted as a reader counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Character in the line, from 1.
    pub column: usize,
}

/// A repair: text that takes the place of a range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// The bytes replaced.
    pub range: Range<usize>,
    /// What stands there instead.
    pub text: String,
    /// What it does, as a button says it.
    pub label: Said,
}

impl Fix {
    /// The whole text after the repair; unchanged where the range is not of this text.
    ///
    /// ```
    /// let text = "key A; 1 7 4";
    /// let parsed = leadbar::theory::chart::parse(text);
    /// assert_eq!(parsed.remarks[0].fixes[0].apply(text), "key A; 1 b7 4");
    /// ```
    #[must_use]
    pub fn apply(&self, text: &str) -> String {
        match (text.get(..self.range.start), text.get(self.range.end..)) {
            (Some(before), Some(after)) => [before, &self.text, after].concat(),
            _ => text.to_owned(),
        }
    }
}

/// Something to be said about a place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where it is.
    pub place: Place,
    /// The bytes it speaks of.
    pub range: Range<usize>,
    /// What is wrong, or worth a second look, and what to write.
    pub words: Said,
    /// Repairs on offer; more than one where the text may mean several things.
    pub fixes: Vec<Fix>,
}

/// What was understood of a text.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// The chart, as far as it was understood.
    pub chart: Chart,
    /// The bytes of each written bar, in the text's order:
    /// [`TimelineBar::written`](super::timeline::TimelineBar::written) counts in it.
    pub bars: Vec<Range<usize>>,
    /// What could not be understood, in the text's order.
    pub problems: Vec<Problem>,
    /// What was understood but may not be meant, in the text's order.
    pub remarks: Vec<Problem>,
}

/// A doubt before its place is counted.
struct Raw {
    range: Range<usize>,
    words: Said,
    fixes: Vec<Fix>,
}

/// The doubts gathered while reading.
#[derive(Default)]
pub(super) struct Doubts {
    problems: Vec<Raw>,
    remarks: Vec<Raw>,
}

impl Doubts {
    pub(super) fn problem(&mut self, range: Range<usize>, words: Said) {
        self.fixable(range, words, Vec::new());
    }

    /// A problem with repairs, each a label and the text that takes the place of the range.
    pub(super) fn fixable(&mut self, range: Range<usize>, words: Said, fixes: Vec<(Said, String)>) {
        let fixes = here(&range, fixes);
        keep(&mut self.problems, Raw { range, words, fixes });
    }

    /// A problem whose repair takes the place of more than the range.
    pub(super) fn mended(&mut self, range: Range<usize>, words: Said, fixes: Vec<Fix>) {
        keep(&mut self.problems, Raw { range, words, fixes });
    }

    pub(super) fn remark(&mut self, range: Range<usize>, words: Said, fixes: Vec<(Said, String)>) {
        let fixes = here(&range, fixes);
        keep(&mut self.remarks, Raw { range, words, fixes });
    }

    /// A remark whose repair takes the place of more than the range.
    pub(super) fn remark_mended(&mut self, range: Range<usize>, words: Said, fix: Fix) {
        let fixes = vec![fix];
        keep(&mut self.remarks, Raw { range, words, fixes });
    }

    pub(super) fn has_problems(&self) -> bool {
        !self.problems.is_empty()
    }

    pub(super) fn into_parsed(self, text: &str, chart: Chart, bars: Vec<Range<usize>>) -> Parsed {
        Parsed {
            chart,
            bars,
            problems: placed(text, self.problems),
            remarks: placed(text, self.remarks),
        }
    }
}

fn keep(list: &mut Vec<Raw>, raw: Raw) {
    if list.len() < MOST_SAID {
        list.push(raw);
    }
}

/// Repairs of the range itself.
fn here(range: &Range<usize>, fixes: Vec<(Said, String)>) -> Vec<Fix> {
    let fix = |(label, text)| Fix {
        range: range.clone(),
        text,
        label,
    };
    fixes.into_iter().map(fix).collect()
}

/// Gives each doubt its line and column, in one walk through the text.
fn placed(text: &str, mut raw: Vec<Raw>) -> Vec<Problem> {
    raw.sort_by_key(|r| r.range.start);
    let mut at = 0;
    let mut place = Place { line: 1, column: 1 };
    raw.into_iter()
        .map(|Raw { range, words, fixes }| {
            for c in text.get(at..range.start).unwrap_or_default().chars() {
                if c == '\n' {
                    place = Place {
                        line: place.line + 1,
                        column: 1,
                    };
                } else {
                    place.column += 1;
                }
            }
            at = range.start.max(at);
            Problem {
                place,
                range,
                words,
                fixes,
            }
        })
        .collect()
}
