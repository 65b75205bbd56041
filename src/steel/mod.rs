//! The instrument: what is strung, what the changes do, what a body can hold, and where chords lie.
//!
//! *Invariant:* this layer knows [`crate::theory`] and nothing above it.

pub mod instrument;
pub mod neck;

pub use instrument::{Change, ChangeId, Control, Instrument, Pull, StringNumber, StringSet, StringSpec};
pub use neck::{Fret, Place, Stance, Travel};
