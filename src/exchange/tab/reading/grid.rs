//! Lines of text gathered into systems, and their signs into columns with their moments.

use super::super::count::Count;
use super::TabProblem;
use super::signs::{Sign, signs};
use crate::steel::{Instrument, StringNumber};
use crate::theory::chart::Place;
use crate::theory::{Beats, Timeline, TimelineBar, rank};
use crate::words::Said;
use std::collections::BTreeMap;

/// How long what stands right against a column takes to arrive.
const CLOSE_BY: Beats = Beats(0.2);
/// Without a count, columns are taken to stand on this grid.
const GRID: Beats = Beats(0.25);

/// What stands at one moment.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    pub at: Beats,
    /// Whether it stands right against the column before it.
    pub joined: bool,
    /// The signs, each with its place in the text, from string 1 down.
    pub signs: Vec<(StringNumber, Sign, Place)>,
}

/// All columns of a text in order of time.
pub(super) fn columns(
    text: &str,
    instrument: &Instrument,
    song: &Timeline,
    problems: &mut Vec<TabProblem>,
) -> Vec<Column> {
    let mut reader = Reader {
        instrument,
        song,
        problems,
        bar: 1,
        counted: (0, None),
        found: Vec::new(),
    };
    let mut system = System::default();
    for (index, line) in text.lines().enumerate() {
        let line = Line {
            number: index + 1,
            text: line,
        };
        if let Some(row) = line.row(instrument) {
            system.rows.push(row);
            continue;
        }
        if !system.rows.is_empty() {
            reader.system(&std::mem::take(&mut system));
        }
        line.head(&mut system);
    }
    reader.system(&system);
    let mut found = reader.found;
    found.sort_by_cached_key(|one| rank(one.at.0));
    found
}

/// One line of the text.
struct Line<'a> {
    /// Counted from 1.
    number: usize,
    text: &'a str,
}

/// A string's line.
struct Row<'a> {
    line: usize,
    string: StringNumber,
    /// The characters before the first bar line, that included.
    margin: usize,
    body: &'a str,
}

/// Strings' lines that belong together, with what stands above them.
#[derive(Default)]
struct System<'a> {
    bar: Option<usize>,
    /// The count's labels by character, counted from 0, and their line.
    count: Option<(usize, BTreeMap<usize, &'a str>)>,
    rows: Vec<Row<'a>>,
}

impl<'a> Line<'a> {
    /// The line as a string's: a number, perhaps a name, and a bar line.
    fn row(&self, instrument: &Instrument) -> Option<Row<'a>> {
        let (head, body) = self.text.split_once('|')?;
        let number = head
            .split_whitespace()
            .next()?
            .trim_end_matches([':', '.'])
            .parse()
            .ok()?;
        let string = StringNumber::new(number).filter(|s| s.index() < instrument.strings.len())?;
        Some(Row {
            line: self.number,
            string,
            margin: head.chars().count() + 1,
            body,
        })
    }

    /// Takes the line as the head of a system: its bar, or the count. Anything else is words for the reader.
    fn head(&self, system: &mut System<'a>) {
        let mut words = self.text.split_whitespace();
        match words.next() {
            Some("bar") => system.bar = words.next().and_then(|n| n.parse().ok()),
            Some("count") => {
                let labels = words_by_place(self.text).into_iter().skip(1).collect();
                system.count = Some((self.number, labels));
            }
            _ => {}
        }
    }
}

/// The words of a line by the character they begin at, counted from 0.
fn words_by_place(text: &str) -> Vec<(usize, &str)> {
    let mut words = Vec::new();
    let mut place = 0;
    for word in text.split(' ') {
        if !word.is_empty() {
            words.push((place, word));
        }
        place += word.chars().count() + 1;
    }
    words
}

struct Reader<'a> {
    instrument: &'a Instrument,
    song: &'a Timeline,
    problems: &'a mut Vec<TabProblem>,
    /// The bar that the next system begins in, where it does not say.
    bar: usize,
    /// The last number counted, and in which bar: a bar may go on in the next system.
    counted: (usize, Option<u32>),
    found: Vec<Column>,
}

/// A run of signs of one string: the character it begins at, and the run.
type Run<'t> = (usize, &'t str);

impl Reader<'_> {
    fn system(&mut self, system: &System<'_>) {
        let Some(first) = system.rows.first() else { return };
        let lines = bar_lines(first);
        for row in &system.rows {
            if bar_lines(row) != lines {
                self.doubt(
                    row.line,
                    1,
                    said!("the bar lines of this string do not stand under those of the others"),
                );
                return;
            }
        }
        let start = system.bar.unwrap_or(self.bar);
        let mut from = first.margin;
        let last = first.margin + first.body.chars().count();
        for (index, to) in lines.iter().copied().chain([last]).enumerate() {
            let number = start + index;
            let signs = self.signs_between(system, from, to);
            if !signs.is_empty() || to < last {
                self.bar = number + usize::from(to < last);
            }
            self.bar_columns(system, number, signs, from..to);
            from = to + 1;
        }
    }

    /// The signs of all strings between two characters, by the character they begin at.
    fn signs_between(
        &mut self,
        system: &System<'_>,
        from: usize,
        to: usize,
    ) -> BTreeMap<usize, Vec<(StringNumber, Sign, Place, usize)>> {
        let mut found: BTreeMap<usize, Vec<_>> = BTreeMap::new();
        for row in &system.rows {
            for (start, run) in runs(row).into_iter().filter(|(start, _)| (from..to).contains(start)) {
                let read = signs(run, start, row.string, self.instrument);
                let ends: Vec<usize> = read
                    .iter()
                    .skip(1)
                    .map(|(at, _)| *at)
                    .chain([start + run.chars().count()])
                    .collect();
                for ((at, sign), end) in read.into_iter().zip(ends) {
                    let place = Place {
                        line: row.line,
                        column: at + 1,
                    };
                    match sign {
                        Ok(sign) => found.entry(at).or_default().push((row.string, sign, place, end)),
                        Err(words) => self.problems.push(TabProblem { place, words }),
                    }
                }
            }
        }
        found
    }

    /// Gives the signs of one bar their moments.
    fn bar_columns(
        &mut self,
        system: &System<'_>,
        number: usize,
        signs: BTreeMap<usize, Vec<(StringNumber, Sign, Place, usize)>>,
        span: std::ops::Range<usize>,
    ) {
        let Some(line) = signs.values().flatten().map(|(_, _, place, _)| place.line).min() else {
            return;
        };
        let Some(bar) = number.checked_sub(1).and_then(|i| self.song.bars.get(i)) else {
            self.doubt(
                line,
                span.start + 1,
                said!(
                    "there is no bar {number}: the song has {bars}",
                    number,
                    bars = self.song.bars.len()
                ),
            );
            return;
        };
        let count = Count::of(bar.metre, self.song.swing);
        if self.counted.0 != number {
            self.counted = (number, None);
        }
        let mut last_number = self.counted.1;
        let mut labels = BTreeMap::new();
        if let Some((line, written)) = &system.count {
            for (place, label) in written.range(span.clone()) {
                match count.moment(label, &mut last_number) {
                    Some(at) if at < bar.metre.bar() => {
                        labels.insert(*place, at);
                    }
                    _ => self.doubt(
                        *line,
                        place + 1,
                        said!("\"{label}\" is no count of this bar: write 1, 2& or 3.33", label),
                    ),
                }
            }
        }
        self.counted.1 = last_number;
        let mut end_before = None;
        let mut last = Beats::ZERO;
        for (place, signs) in signs {
            let joined = end_before == Some(place);
            let from_bar = match labels.get(&place) {
                Some(at) => *at,
                None if joined => last + CLOSE_BY,
                None => by_place(bar, place, &span),
            };
            end_before = signs.iter().map(|(_, _, _, end)| *end).max();
            last = from_bar;
            let signs = signs
                .into_iter()
                .map(|(string, sign, place, _)| (string, sign, place))
                .collect();
            self.found.push(Column {
                at: bar.start + from_bar,
                joined,
                signs,
            });
        }
    }

    fn doubt(&mut self, line: usize, column: usize, words: Said) {
        self.problems.push(TabProblem {
            place: Place { line, column },
            words,
        });
    }
}

/// Where the bar lines of a row stand, in characters of its line, without the first.
fn bar_lines(row: &Row<'_>) -> Vec<usize> {
    row.body
        .chars()
        .enumerate()
        .filter(|(_, c)| *c == '|')
        .map(|(i, _)| row.margin + i)
        .collect()
}

/// The runs of signs of a row.
fn runs<'t>(row: &Row<'t>) -> Vec<Run<'t>> {
    let mut found = Vec::new();
    let mut place = row.margin;
    for run in row.body.split(['-', '|', ' ', '\t']) {
        if !run.is_empty() {
            found.push((place, run));
        }
        place += run.chars().count() + 1;
    }
    found
}

/// The moment of a column by its place in the bar, on the grid.
#[allow(clippy::cast_precision_loss)]
fn by_place(bar: &TimelineBar, place: usize, span: &std::ops::Range<usize>) -> Beats {
    let (at, room) = (
        place.saturating_sub(span.start + 1),
        span.len().saturating_sub(1).max(1),
    );
    let whole = bar.metre.bar();
    let steps = (whole.0 * at as f64 / room as f64 / GRID.0).round();
    GRID.scaled(steps).min(whole - GRID).max(Beats::ZERO)
}
