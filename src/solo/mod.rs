//! The solo: what a player does over time, the moves it is made of, and the search that drafts it.
//!
//! *Invariant:* the [`performance::Performance`] is the only truth; pitches, tab, sound and marks are derived from it.

pub(crate) mod chance;
pub mod feel;
mod lengths;
pub mod limits;
pub mod melody;
pub mod motif;
pub mod moves;
pub mod notes;
pub mod pass;
pub mod performance;
pub mod plan;
pub mod playable;
pub mod reach;
pub mod reading;
pub mod reasons;
pub mod request;
pub mod revise;
pub mod rules;
pub mod sounded;
pub mod stroke;
pub mod weave;
mod words;

pub use feel::Feel;
pub use limits::{Level, Limits};
pub use melody::Melody;
pub use motif::Motif;
pub use moves::{Kind, Move};
pub use notes::{Cause, End, Meaning, Motion, Note, notes};
pub use pass::Pass;
pub use performance::{
    BarMovement, Block, BlockKind, Curve, Finger, Movement, Performance, Pluck, Shape, Touch, Turn, Vibrato,
};
pub use plan::{Brief, Draft, PlanError, draft};
pub use playable::Breach;
pub use request::{Blend, Ending, Entry, Request};
pub use revise::{Aspect, Change, Offer, Reviser};
pub use sounded::{Sounded, sounded};
