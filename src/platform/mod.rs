//! Wrappers of the browser: each gives a typed face to one of its parts.

pub(crate) mod apart;
pub mod audio;
pub mod compiled;
pub mod decode;
pub mod deflate;
#[cfg(feature = "engine")]
pub mod engine;
pub mod files;
pub mod frames;
pub mod given;
pub mod handed;
pub mod microphone;
pub mod midi_in;
pub mod moment;
pub mod own;
pub mod package;
pub mod panic;
pub mod picture;
pub mod pieces;
pub mod recordings;
pub mod scorm;
pub mod shelf;
pub mod storage;
pub mod takes;
pub mod wake;
pub mod worker;
