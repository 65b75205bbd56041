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
mod sounding;
pub mod strain;
pub mod temper;
mod units;

pub use geometry::Spacing;
pub use hold::{Hold, HoldQuery, Inversion, Voice};
pub use instrument::{
    Change, ChangeId, Choice, Control, Gauge, Half, Instrument, InstrumentError, Pull, Stance, StringNumber, StringSet,
    StringSpec, shipped,
};
pub use neck::{Place, Slant};
pub use slant::Lie;
pub use units::{Degrees, Fret, Millimetres, Travel};
