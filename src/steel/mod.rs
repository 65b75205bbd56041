//! The instrument: what is strung, what the changes do, what a body can hold, and where chords lie.
//!
//! *Invariant:* this layer knows [`crate::theory`] and nothing above it.

pub mod advice;
pub mod body;
pub mod geometry;
pub mod hold;
pub mod instrument;
pub mod neck;
pub mod slant;
pub mod strain;
pub mod temper;

pub use geometry::Millimetres;
pub use hold::{Hold, HoldQuery, Inversion, Voice};
pub use instrument::{
    Change, ChangeId, Choice, Control, Gauge, Half, Instrument, InstrumentError, Pull, Spacing, StringNumber,
    StringSet, StringSpec, shipped,
};
pub use neck::{Fret, Place, Stance, Travel};
pub use slant::{Lie, Slant};
