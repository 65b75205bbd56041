//! The solo: what a player does over time, the moves it is made of, and the search that drafts it.
//!
//! *Invariant:* the [`performance::Performance`] is the only truth; pitches, tab, sound and marks are derived from it.

pub mod performance;
pub mod request;

pub use performance::{Block, BlockKind, Curve, Finger, Performance, Pluck, Shape, Touch, Turn, Vibrato};
