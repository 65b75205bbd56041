//! Moves: the idioms a pass is made of.
//!
//! A move is its kind and its strokes; the strokes' figures (from which fret, how long, how far a change goes,
//! which strings, what rings) are the move's parameters, in the trade's terms.
//!
//! *Invariant:* a move says nothing of the moves beside it; how it joins them is [`super::weave`]'s work.

use super::stroke::{Arrival, Grip, Stroke};
use crate::theory::Beats;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The idioms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A chord or note struck and held.
    Strike,
    /// The bar glides into the chord from some frets away.
    SlideIn,
    /// Plucked before the chord, then squeezed into it by pedal or lever.
    Squeeze,
    /// Leaned on a change and let back while it rings; a half pedal is half a lean.
    Lean,
    /// Ringing strings carried to the next chord by the changes or the bar, without a pluck.
    Carry,
    /// The same chord in its next inversions, up or down the neck like stairs.
    Climb,
    /// Two strings in thirds or sixths along the scale.
    Walk,
    /// Pairs of chord tones at one fret.
    DoubleStop,
    /// Single notes along one string.
    Run,
    /// The strings of a chord one after another, left ringing.
    Roll,
    /// Struck and blocked, again and again.
    Blocked,
    /// One note on two strings, repeated.
    Unison,
    /// The last chord, left to ring out.
    RingOut,
    /// From a fret away in a flash, before the note is known as another.
    Grace,
    /// The thumb drawn over neighbouring strings.
    Rake,
    /// Touched above the bar, so that an octave or more above it sounds.
    Harmonic,
    /// Plucked unheard, then opened on the volume pedal.
    Swell,
    /// Held, then the bar slides away down the neck until nothing is left.
    FallOff,
    /// Plucked with a change already down, which is then let up.
    PreBend,
    /// The foot rocks from one pair of pedals to the next and back.
    PedalRoll,
    /// Two strings walk the scale, led by pairs of pedals.
    PedalWalk,
    /// Half steps up or down to a tone of the chord.
    Chromatic,
    /// Pairs of strings run along the scale across the neck.
    DoubleRun,
    /// Open strings run along the scale, without the bar.
    OpenRun,
    /// A short word on high strings, answered in the same shape on lower ones.
    CallAnswer,
    /// The bar turned between straight and slanted under ringing strings.
    Slant,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 26] = [
        Self::Strike,
        Self::SlideIn,
        Self::Squeeze,
        Self::Lean,
        Self::Carry,
        Self::Climb,
        Self::Walk,
        Self::DoubleStop,
        Self::Run,
        Self::Roll,
        Self::Blocked,
        Self::Unison,
        Self::RingOut,
        Self::Grace,
        Self::Rake,
        Self::Harmonic,
        Self::Swell,
        Self::FallOff,
        Self::PreBend,
        Self::PedalRoll,
        Self::PedalWalk,
        Self::Chromatic,
        Self::DoubleRun,
        Self::OpenRun,
        Self::CallAnswer,
        Self::Slant,
    ];

    /// What a single stroke is, by how it arrives.
    #[must_use]
    pub fn of_arrival(arrival: Arrival) -> Self {
        match arrival {
            Arrival::Struck => Self::Strike,
            Arrival::Slid { .. } => Self::SlideIn,
            Arrival::Squeezed { .. } => Self::Squeeze,
            Arrival::Leaned { .. } => Self::Lean,
            Arrival::Carried { .. } => Self::Carry,
        }
    }

    /// What a player calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Strike => key!("Hold and ring"),
            Self::SlideIn => key!("Slide in"),
            Self::Squeeze => key!("Squeeze"),
            Self::Lean => key!("Lean and release"),
            Self::Carry => key!("Carry"),
            Self::Climb => key!("Climb by inversions"),
            Self::Walk => key!("Harmonised walk"),
            Self::DoubleStop => key!("Double stops"),
            Self::Run => key!("Single-string run"),
            Self::Roll => key!("Roll"),
            Self::Blocked => key!("Blocked"),
            Self::Unison => key!("Repeated unison"),
            Self::RingOut => key!("Ring out"),
            Self::Grace => key!("Grace slide"),
            Self::Rake => key!("Rake"),
            Self::Harmonic => key!("Harmonic"),
            Self::Swell => key!("Swell"),
            Self::FallOff => key!("Fall-off"),
            Self::PreBend => key!("Pre-bend"),
            Self::PedalRoll => key!("Rolling pedals"),
            Self::PedalWalk => key!("Walk on two pedals"),
            Self::Chromatic => key!("Chromatic walk"),
            Self::DoubleRun => key!("Double-stop run"),
            Self::OpenRun => key!("Open-string run"),
            Self::CallAnswer => key!("Call and answer"),
            Self::Slant => key!("Slant"),
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// An idiom at a moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Move {
    /// The idiom.
    pub kind: Kind,
    /// When it starts, from the start of the song.
    pub at: Beats,
    /// How long it lasts, its silence included.
    pub length: Beats,
    /// Its strokes in order; their times count from `at`. Never empty.
    pub strokes: Vec<Stroke>,
    /// Whether the player wants it left as it is.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub locked: bool,
}

impl Move {
    /// Its strokes with times from the start of the song.
    pub fn timed(&self) -> impl Iterator<Item = Stroke> + '_ {
        self.strokes.iter().map(|s| Stroke {
            at: s.at + self.at,
            until: s.until + self.at,
            ..*s
        })
    }

    /// When something new is heard, from the start of the song: a bend let up and a note that falls away belong to
    /// the stroke before.
    pub fn beats(&self) -> impl Iterator<Item = Beats> + '_ {
        let tail = matches!(self.kind, Kind::PreBend | Kind::FallOff);
        let heard = if tail { 1 } else { self.strokes.len() };
        self.timed().take(heard).map(|s| s.at)
    }

    /// Where it ends up, if it has a stroke.
    #[must_use]
    pub fn last_grip(&self) -> Option<Grip> {
        self.strokes.last().map(|s| s.grip)
    }

    /// When it ends.
    #[must_use]
    pub fn end(&self) -> Beats {
        self.at + self.length
    }
}
