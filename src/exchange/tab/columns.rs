//! Signs gathered into columns and bars.

use super::count::Count;
use super::marks::{Event, Mark};
use super::{Bar, Column};
use crate::theory::{Beats, Hit, Metre, Swing, Timeline};

/// Signs this close together stand in one column: a rake is one stroke.
const TOGETHER: Beats = Beats(0.1);

/// The bars from the first that holds a sign to the last, each with its columns.
pub(super) fn bars(events: &[Event], timeline: &Timeline, rows: usize) -> Vec<Bar> {
    let (Some(first), Some(last)) = (events.first(), events.last()) else {
        return Vec::new();
    };
    let frames = frames(timeline, last.at);
    let from = frames
        .partition_point(|f| f.start <= first.at + TOGETHER.scaled(0.5))
        .saturating_sub(1);
    frames
        .into_iter()
        .enumerate()
        .skip(from)
        .map(|(index, frame)| {
            let columns = columns(events, timeline, &frame, rows);
            Bar {
                number: index + 1,
                start: frame.start,
                length: frame.metre.bar(),
                counts: counts(&columns, &frame, timeline.swing),
                columns,
            }
        })
        .collect()
}

/// The count of each column that stands apart from the one before it.
fn counts(columns: &[Column], frame: &Frame, swing: Swing) -> Vec<Option<String>> {
    let count = Count::of(frame.metre, swing);
    let mut last = None;
    let mut before: Option<&Column> = None;
    let mut label = |column| {
        let apart = before.replace(column).is_none_or(|before| !before.touches(column));
        apart.then(|| count.label(column.at - frame.start, &mut last))
    };
    columns.iter().map(&mut label).collect()
}

struct Frame {
    start: Beats,
    metre: Metre,
}

impl Frame {
    /// Whether `at` belongs to this bar; a sign a hair before the line belongs to the bar it is meant for.
    fn holds(&self, at: Beats) -> bool {
        let after = at + TOGETHER.scaled(0.5);
        !self.comes_after(at) && after < self.start + self.metre.bar()
    }

    /// Whether `at` belongs to a bar before this one.
    fn comes_after(&self, at: Beats) -> bool {
        at + TOGETHER.scaled(0.5) < self.start
    }
}

/// The song's bars up to the one that holds `last`; past the song's end its last metre goes on.
fn frames(timeline: &Timeline, last: Beats) -> Vec<Frame> {
    let mut frames: Vec<Frame> = timeline
        .bars
        .iter()
        .map(|b| Frame {
            start: b.start,
            metre: b.metre,
        })
        .collect();
    let metre = timeline.bars.last().map_or(Metre::COMMON, |b| b.metre);
    let mut end = timeline.length();
    while end <= last {
        frames.push(Frame { start: end, metre });
        end += metre.bar();
    }
    let kept = frames
        .iter()
        .rposition(|f| f.start <= last + TOGETHER.scaled(0.5))
        .map_or(0, |i| i + 1);
    frames.truncate(kept);
    frames
}

fn columns(events: &[Event], timeline: &Timeline, frame: &Frame, rows: usize) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    let blank = |at: Beats| Column {
        at,
        chord: None,
        cells: vec![Vec::new(); rows],
        lasts: Beats::ZERO,
    };
    columns.push(blank(frame.start));
    let first = events.partition_point(|e| frame.comes_after(e.at));
    let own = events.iter().skip(first).take_while(|e| frame.holds(e.at));
    for event in own {
        let fits = columns.last().is_some_and(|c| {
            let near = event.at - c.at < TOGETHER;
            let row = c.cells.get(event.string.index());
            // A string's second pluck never hides in its first one's column.
            near && !(matches!(event.mark, Mark::Pick { .. }) && row.is_some_and(|r| !r.is_empty()))
        });
        if !fits {
            columns.push(blank(event.at));
        }
        if let Some(row) = columns.last_mut().and_then(|c| c.cells.get_mut(event.string.index())) {
            row.push(event.mark.clone());
        }
    }
    for span in timeline
        .spans
        .iter()
        .filter(|s| frame.holds(s.start) && s.hit != Hit::Rest)
    {
        let place = columns.partition_point(|c| c.at + TOGETHER < span.start);
        if columns.get(place).is_none_or(|c| c.at > span.start + TOGETHER) {
            columns.insert(place, blank(span.start));
        }
        if let Some(column) = columns.get_mut(place) {
            column.chord = Some(span.numeral.to_string());
        }
    }
    // The bar's first moment needs a column only where nothing else happens.
    let idle = columns
        .first()
        .is_some_and(|c| c.chord.is_none() && c.cells.iter().all(Vec::is_empty));
    if idle && columns.len() > 1 {
        columns.remove(0);
    }
    let ends: Vec<Beats> = columns
        .iter()
        .skip(1)
        .map(|c| c.at)
        .chain([frame.start + frame.metre.bar()])
        .collect();
    for (column, end) in columns.iter_mut().zip(ends) {
        column.lasts = (end - column.at).max(Beats::ZERO);
    }
    columns
}
