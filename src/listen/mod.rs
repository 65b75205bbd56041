//! Listening: what a recording or a microphone says of pitch, time and harmony.
//!
//! *Invariant:* the same samples give the same answer, however a stream of them is cut; nothing here knows where they
//! come from.

pub mod pitch;
pub mod played;
pub mod song;
mod transform;
