//! A chart in a lesson.

use crate::teach::document::Said;
use crate::teach::fault::FaultKind;
use crate::theory::{Timeline, chart};

/// A chart in a lesson.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartBlock {
    /// The chart as written.
    pub text: String,
    /// The chart in time.
    pub timeline: Timeline,
}

/// Reads a chart whose text begins at `line`; its problems are faults of the lesson.
pub(super) fn read(text: &str, line: usize, said: &mut Said) -> Option<ChartBlock> {
    let parsed = chart::parse(text);
    for problem in &parsed.problems {
        said.fault(line + problem.place.line - 1, FaultKind::Told(problem.words.english()));
    }
    let timeline = parsed.chart.timeline();
    (parsed.problems.is_empty() && !timeline.bars.is_empty()).then(|| ChartBlock {
        text: text.trim().to_owned(),
        timeline,
    })
}
