//! A whole pass read as a listener hears it: its arc, its register, what stands on the strong beats, what returns, where
//! it breathes, how hard each bar is, and what would be heard as dull, with a change that would help.
//!
//! *Invariant:* read off the pass and the song; never stored, so it can't go stale. A change offered is one of
//! [`Reviser::offers`], so it can be played.

mod dull;
mod figures;

pub use figures::Figures;

use super::notes::Meaning;
use super::pass::Pass;
use super::revise::{Offer, Reviser};
use crate::theory::{Beats, Height, Timeline};
use figures::{Heard, count};

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// One thing to know of a pass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it is about, in a word or two.
    pub about: &'static str,
    /// What there is to say.
    pub words: String,
}

/// How hard a bar is to play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difficulty {
    /// The bar, from 0.
    pub bar: usize,
    /// 0 nothing to do ..= 1 as much as a hand, a foot and a bar can do. Common practice, no source.
    pub part: f64,
}

/// Something a listener would find dull.
#[derive(Debug, Clone, PartialEq)]
pub struct Dull {
    /// When it begins to be so.
    pub at: Beats,
    /// What it is.
    pub words: String,
    /// A change that would help, where there is one.
    pub help: Option<Offer>,
}

/// A pass as a listener hears it.
#[derive(Debug, Clone, PartialEq)]
pub struct PassReading {
    /// Arc, register, chord tones, figure, breathing.
    pub lines: Vec<Line>,
    /// How hard each bar is.
    pub difficulty: Vec<Difficulty>,
    /// What would be heard as dull, the worst first.
    pub dull: Vec<Dull>,
    /// The same in numbers.
    pub figures: Figures,
}

/// Reads a pass. `reviser` must be one for the song and instrument of the pass.
#[must_use]
pub fn read(pass: &Pass, reviser: &Reviser<'_>) -> PassReading {
    let brief = reviser.brief();
    let performance = pass.performance(brief.instrument, brief.limits, brief.timeline.tempo);
    let heard = Heard::new(pass, &performance, brief.instrument, brief.timeline);
    let figures = Figures::of(pass, &performance, brief.instrument, brief.timeline);
    let lines = [
        arc(&heard),
        register(&heard),
        harmony(&figures),
        figure(&heard),
        breathing(&heard),
    ];
    PassReading {
        lines: lines.into_iter().flatten().collect(),
        difficulty: heard.bars.clone().map(|bar| difficulty(&heard, bar)).collect(),
        dull: dull::found(&heard, reviser),
        figures,
    }
}

fn bar_number(timeline: &Timeline, at: Beats) -> usize {
    timeline.bar_index_at(at + EPSILON).map_or(1, |b| b + 1)
}

/// The highest rest of the pass, the first of equals.
fn highest(heard: &Heard<'_>) -> Option<(Beats, Height)> {
    let rests = heard.rests();
    let top = rests.iter().map(|r| r.1.0).fold(f64::MIN, f64::max);
    rests.into_iter().find(|r| r.1.0 >= top - 0.5)
}

fn arc(heard: &Heard<'_>) -> Option<Line> {
    let strokes = || heard.pass.moves.iter().flat_map(|m| m.timed());
    let (first, last) = (strokes().next()?, strokes().last()?);
    let (at, height) = highest(heard)?;
    let degree = Meaning::of(height, heard.timeline.span_at(at + EPSILON)?).degree();
    Some(Line {
        about: "Arc",
        words: format!(
            "It begins at fret {}, is highest on the {degree} in bar {} and ends at fret {}.",
            first.grip.place.fret,
            bar_number(heard.timeline, at),
            last.grip.place.fret
        ),
    })
}

fn register(heard: &Heard<'_>) -> Option<Line> {
    let rests = heard.rests();
    let low = rests.iter().min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let high = highest(heard)?;
    let name = |(at, height): (Beats, Height)| {
        let span = heard.timeline.span_at(at + EPSILON);
        span.map_or(String::new(), |s| Meaning::of(height, s).pitch.to_string())
    };
    let octaves = (high.1.0 - low.1.0) / 12.0;
    Some(Line {
        about: "Register",
        words: format!("From {} up to {}: {octaves:.1} octaves.", name(*low), name(high)),
    })
}

fn harmony(figures: &Figures) -> Option<Line> {
    let hundredths = |part: f64| (part * 100.0).round();
    let own = hundredths(figures.chord_tones);
    let on = hundredths(figures.resolved);
    let belong = if own < 100.0 {
        format!("{own} % of the notes on strong beats belong to the chord")
    } else {
        "Every note on a strong beat belongs to the chord".to_owned()
    };
    let go_on = if on < 100.0 {
        format!("{on} % of the notes foreign to it go on by a step")
    } else {
        "every note foreign to it goes on by a step".to_owned()
    };
    Some(Line {
        about: "Strong beats",
        words: format!("{belong}; {go_on}."),
    })
}

/// `bar 3`, `bars 1 and 2`.
fn in_bars(bars: Vec<String>) -> String {
    let word = if bars.len() == 1 { "bar" } else { "bars" };
    format!("{word} {}", super::words::join(bars))
}

fn figure(heard: &Heard<'_>) -> Option<Line> {
    let returns: Vec<String> = heard.returns().into_iter().map(|b| (b + 1).to_string()).collect();
    Some(Line {
        about: "Figure",
        words: if returns.is_empty() {
            "No rhythm comes back.".to_owned()
        } else {
            format!("A rhythm comes back in {}.", in_bars(returns))
        },
    })
}

fn breathing(heard: &Heard<'_>) -> Option<Line> {
    let silences = heard.silences();
    let mut bars: Vec<String> = silences
        .iter()
        .map(|s| bar_number(heard.timeline, s.0).to_string())
        .collect();
    bars.dedup();
    Some(Line {
        about: "Breathing",
        words: if bars.is_empty() {
            "It never breathes.".to_owned()
        } else {
            format!("It breathes in {}.", in_bars(bars))
        },
    })
}

/// Strokes, bar travel and footwork of a bar that each count as all a player can do. Common practice, no source.
const MOST_STROKES: f64 = 8.0;
const MOST_TRAVEL: f64 = 24.0;
const MOST_FOOTWORK: f64 = 8.0;

fn difficulty(heard: &Heard<'_>, bar: usize) -> Difficulty {
    let strokes = count(heard.rhythm(bar).len());
    let Some((from, to)) = heard.timeline.bars.get(bar).map(|b| (b.start, b.start + b.metre.bar())) else {
        return Difficulty { bar, part: 0.0 };
    };
    let inside = |at: Beats| at >= from - EPSILON && at < to - EPSILON;
    let movements = heard.performance.bar.movements().filter(|m| inside(m.start));
    let travel: f64 = movements.map(|m| (m.to - m.from).abs()).sum();
    let lanes = heard.performance.travels.iter();
    let feet: usize = lanes.map(|l| l.movements().filter(|m| inside(m.start)).count()).sum();
    // The same work is harder in less time: a bar of two seconds counts as written.
    let seconds = (to - from).at(heard.timeline.tempo).0.max(0.25);
    let work = strokes / MOST_STROKES + travel / MOST_TRAVEL + count(feet) / MOST_FOOTWORK;
    Difficulty {
        bar,
        part: (work / 2.0 * 2.0 / seconds).clamp(0.0, 1.0),
    }
}
