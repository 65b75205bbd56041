//! Music theory: pure values, no state, no knowledge of any instrument.
//!
//! *Invariant:* this layer imports nothing of the crate, and no raw integer with a meaning crosses its border.

pub mod chart;
pub mod chord;
pub mod clock;
pub mod degree;
pub mod interval;
pub mod just;
pub mod key;
pub mod numeral;
pub mod pitch;
pub mod quality;
mod rank;
pub mod roman;
pub mod scale;
pub mod time;

pub use chart::Chart;
pub use chart::timeline::{ChordSpan, Hit, Timeline, TimelineBar};
pub use chord::{Chord, ChordTone};
pub use clock::{Anchor, SongClock};
pub use degree::{DegreeError, ScaleDegree};
pub use interval::Interval;
pub use just::{Limit, Ratio, just_tone};
pub use key::{Key, Mode, Signature};
pub use numeral::Numeral;
pub use pitch::{
    Accidental, Cents, Height, Hertz, Letter, Naming, NoteName, NoteNumber, Pitch, PitchClass, PitchError, Semitones,
};
pub use quality::Quality;
pub use rank::rank;
pub use scale::{Scale, ScaleKind};
pub use time::{Beats, Metre, Seconds, Swing, Tempo};
