//! A performance as a Standard MIDI File: one track a string, bar and changes as pitch bends.
//!
//! *Invariant:* at every tick the bend of a sounding string lies within a cent of what the performance sounds.
//!
//! Source: MIDI 1.0 (the file form, the controllers, registered parameters 0 and 6); MPE, RP-053 (the expressive
//! layout). Note 69 is A4.

mod conductor;
mod lines;
mod plain;
mod strings;
#[cfg(test)]
mod tests;
mod track;

use crate::solo::Performance;
use crate::steel::Instrument;
use crate::theory::{Semitones, Timeline};
use track::Track;

/// Which instrument of General MIDI plays it: 26 counted from 0, the mellow electric guitar. The steel guitar
/// has no number of its own there.
const PROGRAM: u8 = 26;
/// How far a bend reaches each way: the reach a member channel of MPE has until told otherwise.
const BEND_REACH: Semitones = Semitones(48);

/// How a file spreads the strings over channels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Layout {
    /// A channel a string that keeps clear of the drums' channel 10: what most players and programs read.
    PerString,
    /// MIDI Polyphonic Expression: the first channel leads, and each string has one of those after it. With nine
    /// strings or more channel 10 is among them, so a plain player would hear a string as drums.
    Expressive,
    /// One channel and no bends: each pitch that a string comes to rest on is a note of its own.
    Plain,
}

impl Layout {
    /// Every layout.
    pub const ALL: [Self; 3] = [Self::PerString, Self::Expressive, Self::Plain];

    /// A word for file names.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::PerString => "strings",
            Self::Expressive => "mpe",
            Self::Plain => "plain",
        }
    }
}

/// The bytes of a file with what `performance` sounds on `instrument` over `song`, named `title` where it has
/// a name.
///
/// The first track holds tempo, metre, key, a marker for each section and chord and the chords' numbers as
/// lyrics; the second, as lyrics, which pedals and levers are pressed; then comes a track a string.
///
/// ```
/// use leadbar::exchange::midi::{Layout, write};
/// use leadbar::{solo::Performance, steel::Instrument, theory::chart};
/// let song = chart::parse("key G, 96; 1 4 5 1").chart.timeline();
/// let e9 = Instrument::shipped("e9").unwrap();
/// let silence = Performance::silent(song.length(), e9.changes.len());
/// assert!(write(&silence, &e9, &song, None, Layout::PerString).starts_with(b"MThd"));
/// ```
#[must_use]
pub fn write(
    performance: &Performance,
    instrument: &Instrument,
    song: &Timeline,
    title: Option<&str>,
    layout: Layout,
) -> Vec<u8> {
    let mut tracks = vec![conductor::track(song, title), lines::pedals(performance, instrument)];
    tracks.extend(match layout {
        Layout::PerString | Layout::Expressive => strings::tracks(performance, instrument, song.tempo, layout),
        Layout::Plain => vec![plain::track(performance, instrument, song.tempo)],
    });
    Track::file(&tracks, performance.length.max(song.length()))
}
