//! A performance as a MusicXML 4.0 score: a staff of notation over a tab staff with a line a string.
//!
//! What tab and notation can't both say is written in the way that readers were found to keep: a bar slide as
//! `slide`, a pedal or lever that moves while a string rings as `bend`, what is pressed as words over the tab staff
//! and on each note, a bar between frets as the nearest fret and a pitch with a quarter-tone.
//!
//! *Invariant:* in each bar both staves are filled exactly; every pluck is a note on its string and fret.
//!
//! Source: MusicXML 4.0, W3C Music Notation Community Group. A staff's lines count from the bottom, its strings
//! from the top.

mod chords;
mod events;
mod grid;
mod page;
mod score;
#[cfg(test)]
mod tests;

pub(super) use chords::kind;

use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::Timeline;

/// How chords are named in a score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum ChordNames {
    /// By letter, with the number as words: what most programs read.
    #[default]
    Letters,
    /// By number, as MusicXML 4.0 has it; some programs can't write such a file again.
    Numbers,
}

/// The text of a score with what `performance` sounds on `instrument` over `song`, named `title` where it has
/// a name.
///
/// Rhythm is brought to sixteenths, or to triplets where they are nearer.
///
/// ```
/// use leadbar::exchange::musicxml::{ChordNames, write};
/// use leadbar::{solo::Performance, steel::Instrument, theory::chart};
/// let song = chart::parse("key G, 96; 1 4 5 1").chart.timeline();
/// let e9 = Instrument::shipped("e9").unwrap();
/// let silence = Performance::silent(song.length(), e9.changes.len());
/// let score = write(&silence, &e9, &song, Some("Rest & More"), ChordNames::Letters);
/// assert!(score.contains("<work-title>Rest &amp; More</work-title>"));
/// ```
#[must_use]
pub fn write(
    performance: &Performance,
    instrument: &Instrument,
    song: &Timeline,
    title: Option<&str>,
    names: ChordNames,
) -> String {
    score::text(performance, instrument, song, title, names)
}
