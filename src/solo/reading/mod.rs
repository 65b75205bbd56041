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
use crate::words::Said;
use figures::{Heard, count};

/// Times closer than this are one time.
const EPSILON: Beats = Beats(1e-6);

/// One thing to know of a pass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it is about, in a word or two.
    pub about: &'static str,
    /// What there is to say.
    pub words: Said,
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
    pub words: Said,
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
        about: key!("Arc"),
        words: said!(
            "It begins at fret {start}, is highest on the {degree} in bar {bar} and ends at fret {end}.",
            start = first.grip.place.fret,
            degree,
            bar = bar_number(heard.timeline, at),
            end = last.grip.place.fret
        ),
    })
}

fn register(heard: &Heard<'_>) -> Option<Line> {
    let rests = heard.rests();
    let low = rests.iter().min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let high = highest(heard)?;
    let name = |(at, height): (Beats, Height)| {
        let span = heard.timeline.span_at(at + EPSILON);
        span.map_or_else(Said::default, |s| Said::notes(Meaning::of(height, s).pitch))
    };
    let octaves = (high.1.0 - low.1.0) / 12.0;
    Some(Line {
        about: key!("Register"),
        words: said!(
            "From {low} up to {high}: {octaves} octaves.",
            low = name(*low),
            high = name(high),
            octaves = Said::number(format_args!("{octaves:.1}"))
        ),
    })
}

fn harmony(figures: &Figures) -> Option<Line> {
    let hundredths = |part: f64| (part * 100.0).round();
    let own = hundredths(figures.chord_tones);
    let on = hundredths(figures.resolved);
    let belong = if own < 100.0 {
        said!(
            "{own} % of the notes on strong beats belong to the chord",
            own = own.to_string()
        )
    } else {
        said!("Every note on a strong beat belongs to the chord")
    };
    let go_on = if on < 100.0 {
        said!("{on} % of the notes foreign to it go on by a step", on = on.to_string())
    } else {
        said!("every note foreign to it goes on by a step")
    };
    Some(Line {
        about: key!("Strong beats"),
        words: said!("{belong}; {go_on}.", belong = belong, go_on = go_on),
    })
}

fn figure(heard: &Heard<'_>) -> Option<Line> {
    let returns: Vec<Said> = heard.returns().into_iter().map(|b| Said::from(b + 1)).collect();
    Some(Line {
        about: key!("Figure"),
        words: match returns.len() {
            0 => said!("No rhythm comes back."),
            many => said!(
                many => "A rhythm comes back in bar {returns}.", "A rhythm comes back in bars {returns}.",
                returns = super::words::join(returns)
            ),
        },
    })
}

fn breathing(heard: &Heard<'_>) -> Option<Line> {
    let silences = heard.silences();
    let mut bars: Vec<usize> = silences.iter().map(|s| bar_number(heard.timeline, s.0)).collect();
    bars.dedup();
    Some(Line {
        about: key!("Breathing"),
        words: match bars.len() {
            0 => said!("It never breathes."),
            many => said!(
                many => "It breathes in bar {bars}.", "It breathes in bars {bars}.",
                bars = super::words::join(bars.into_iter().map(Said::from).collect())
            ),
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
