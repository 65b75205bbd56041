//! What is heard in a recording.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

#[path = "../sound_support/mod.rs"]
mod sound_support;

mod pitch;
mod played;
mod song;
