//! What may be asked of a [`Player`](super::Player), and what it tells.

use super::amp::Amp;
use super::mix::Mix;
use super::rate::SampleRate;
use super::score::{Score, Speed};
use crate::solo::{BlockKind, Finger, Touch};
use crate::steel::{ChangeId, Fret, Lie, StringNumber, StringSet, Travel};
use crate::theory::Beats;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::Arc;

/// A request to the player. Commands act in the order they come, within 32 samples.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Command {
    /// Take this score. Playing goes on at the same place; the mix, loop and speed stay.
    Load(Arc<Score>),
    /// Count in, then play from this moment of the song.
    Play {
        /// Where to start, in beats from the start of the song.
        from: Beats,
    },
    /// Stop; what rings is stopped as a hand would.
    Stop,
    /// Play this stretch over and over, or stop doing so.
    Loop(Option<Range<Beats>>),
    /// Play faster or slower, at the same pitch.
    Speed(Speed),
    /// Set all levels and mutes.
    Mix(Mix),
    /// Set the steel's amplifier.
    Amp(Amp),
    /// How many bars are counted before playing starts; 0..=4.
    CountIn {
        /// Bars.
        bars: u8,
    },
    /// Take off the recording and put on another one of this rate, which is then fed block by block.
    Tape(Option<SampleRate>),
    /// Let what was played by hand sound in the place of the steel, or no longer: a recording of this rate, in the song's
    /// own time, which is then fed block by block.
    StandIn(Option<SampleRate>),
    /// Something done by hand on the neck. Heard only while stopped: the performance rules while playing.
    Live(LiveEvent),
}

/// Something done by hand on the neck or the pedals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LiveEvent {
    /// A string is plucked.
    Pluck {
        /// Which.
        string: StringNumber,
        /// How hard, 0..=1.
        strength: f64,
        /// By which finger.
        finger: Finger,
        /// Plain or harmonic.
        touch: Touch,
    },
    /// Several strings are plucked together, as hard as given.
    Grip {
        /// Which.
        strings: StringSet,
        /// How hard, 0..=1.
        strength: f64,
    },
    /// The bar moves here.
    Bar {
        /// Its place.
        fret: Fret,
    },
    /// The bar is laid here, slanted perhaps.
    Lay {
        /// Where it crosses the outer strings.
        lie: Lie,
    },
    /// A pedal or lever is pressed this far.
    Press {
        /// Which.
        change: ChangeId,
        /// How far.
        travel: Travel,
    },
    /// The volume pedal is pressed this far.
    Volume {
        /// How far, 0..=1; 0.7 is where it rests.
        part: f64,
    },
    /// Strings are stopped.
    Block {
        /// Which.
        strings: StringSet,
        /// By what.
        kind: BlockKind,
    },
}

/// What the player tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Report {
    /// Where the song is, about every 20 ms while playing.
    Position {
        /// The moment of the song; before the starting place while counting in.
        at: Beats,
        /// The sample since the player was made at which it is heard.
        frame: u64,
        /// Whether the count-in is still running.
        counting_in: bool,
    },
    /// The song has ended, or was stopped.
    Ended,
    /// A command could not be obeyed; the words are for the user, in English, to be looked up.
    Failed {
        /// What was wrong and what to do.
        words: String,
    },
}
