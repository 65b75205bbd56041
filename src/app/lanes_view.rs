//! The lanes of a performance, ready to draw: the bar's path, a ribbon for each pedal and lever, a row for each string.
//!
//! Time is in beats from the start of the song, height in frets, travel or parts of a row; a drawing only scales them.
//!
//! *Invariant:* every pluck is one [`Ring`]; points of a line never go back in time.

mod path;
mod ribbon;
mod rings;
mod spots;
#[cfg(test)]
mod tests;

pub use path::{Axis, FretLabel, Stroke};
pub use ribbon::Ribbon;
pub use rings::{Fate, Ring, StringRow};
pub use spots::{Spot, SpotKind};

use super::appearance::Called;
use crate::solo::{Performance, notes};
use crate::steel::Instrument;
use crate::theory::{Beats, Hit, Timeline, rank};

/// A fret is written again after this many times the room of a label.
const REPEAT: f64 = 6.0;

/// What a tone is to its chord; drawn by shape, never by hue alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// The root: solid.
    Root,
    /// Another tone of the chord: outlined.
    Tone,
    /// Foreign to the chord, a tension or a passing note: dotted.
    Tension,
}

impl Role {
    /// The word by which it is drawn.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Root => "root",
            Self::Tone => "tone",
            Self::Tension => "tension",
        }
    }
}

/// A bar line.
#[derive(Debug, Clone, PartialEq)]
pub struct BarLine {
    /// When.
    pub at: Beats,
    /// The bar's number from 1.
    pub number: usize,
    /// The section that begins here.
    pub section: Option<String>,
    /// The felt beats inside the bar, without its first.
    pub pulses: Vec<Beats>,
}

/// A chord over the lanes.
#[derive(Debug, Clone, PartialEq)]
pub struct ChordMark {
    /// When it begins.
    pub at: Beats,
    /// When it ends.
    pub end: Beats,
    /// Its number and its letters; empty for a rest.
    pub called: Called,
}

/// One performance as lanes.
#[derive(Debug, Clone, PartialEq)]
pub struct LanesView {
    /// The length of the picture: the song's or the performance's, whichever is longer.
    pub length: Beats,
    /// Bar lines from the first.
    pub bars: Vec<BarLine>,
    /// Chords in order of time.
    pub chords: Vec<ChordMark>,
    /// The frets that the path moves in.
    pub axis: Axis,
    /// The bar's path, of a slanted bar its end over string 1.
    pub path: Vec<Stroke>,
    /// Where the bar is slanted and heard: its end over the last string.
    pub near: Vec<Stroke>,
    /// Frets to be written on the path, longest stay first.
    labels: Vec<FretLabel>,
    /// Pedals and levers in use, in the instrument's order.
    pub ribbons: Vec<Ribbon>,
    /// The strings from 1 (top) downwards.
    pub rows: Vec<StringRow>,
}

impl LanesView {
    /// The lanes of `performance` over `timeline`.
    #[must_use]
    pub fn of(performance: &Performance, instrument: &Instrument, timeline: &Timeline) -> Self {
        let notes = notes(performance, instrument, timeline.tempo);
        let path = path::strokes(performance, &notes, timeline.tempo);
        let near = path::near(performance, &notes);
        Self {
            length: timeline.length().max(performance.length),
            bars: bar_lines(timeline),
            chords: chord_marks(timeline),
            axis: Axis::around(path.iter().chain(&near)),
            labels: path::labels(performance, instrument, &notes),
            path,
            near,
            ribbons: ribbon::ribbons(performance, instrument),
            rows: rings::rows(instrument, &notes, timeline),
        }
    }

    /// The frets to write on the path so that no two stand closer than `room`; long stays come first.
    #[must_use]
    pub fn labels(&self, room: Beats) -> Vec<&FretLabel> {
        let mut kept: Vec<&FretLabel> = Vec::new();
        for label in &self.labels {
            if kept.iter().all(|k| (k.at - label.at).0.abs() >= room.0) {
                kept.push(label);
            }
        }
        kept.sort_by_cached_key(|one| rank(one.at.0));
        // The same fret again soon after says nothing new.
        let mut written: Vec<&FretLabel> = Vec::new();
        for label in kept {
            let again = written
                .last()
                .is_some_and(|w| w.text == label.text && (label.at - w.at).0 < room.0 * REPEAT);
            if !again {
                written.push(label);
            }
        }
        written
    }
}

fn bar_lines(timeline: &Timeline) -> Vec<BarLine> {
    timeline
        .bars
        .iter()
        .enumerate()
        .map(|(index, bar)| BarLine {
            at: bar.start,
            number: index + 1,
            section: bar.section.clone(),
            pulses: pulses(bar.start, bar.metre.bar(), bar.metre.pulse()),
        })
        .collect()
}

fn pulses(start: Beats, length: Beats, pulse: Beats) -> Vec<Beats> {
    std::iter::successors(Some(start + pulse), |at| Some(*at + pulse))
        .take_while(|at| *at < start + length)
        .collect()
}

fn chord_marks(timeline: &Timeline) -> Vec<ChordMark> {
    timeline
        .spans
        .iter()
        .map(|span| ChordMark {
            at: span.start,
            end: span.end(),
            called: if span.hit == Hit::Rest {
                Called::default()
            } else {
                Called::of(span)
            },
        })
        .collect()
}
