//! The solo: what a player does over time, the moves it is made of, and the search that drafts it.
//!
//! *Invariant:* the [`performance::Performance`] is the only truth; pitches, tab, sound and marks are derived from it.

pub mod notes;
pub mod performance;
pub mod request;

pub use notes::{Cause, End, Meaning, Motion, Note, notes};
pub use performance::{Block, BlockKind, Curve, Finger, Movement, Performance, Pluck, Shape, Touch, Turn, Vibrato};
