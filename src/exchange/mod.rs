//! Tablature and files, derived from a performance; nothing here is ever the source of anything.

pub mod json;
pub mod lead;
pub mod link;
pub mod midi;
pub mod moment;
pub mod musicxml;
pub mod parcel;
mod pressed;
pub mod tab;
pub mod trust;
pub mod wave;
