//! Pitch: spelled names, note numbers and continuous height.
//!
//! *Invariant:* a spelled note keeps its spelling; only [`PitchClass`], [`NoteNumber`] and [`Height`] forget it.

mod name;
mod naming;
mod sounding;
mod units;

pub use name::{Accidental, Letter, NoteName, PitchError};
pub use naming::Naming;
pub use sounding::Pitch;
pub use units::{Cents, Height, Hertz, NoteNumber, PitchClass, Semitones};
