//! How the steel, the band and what is recorded sound.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

#[path = "../sound_support/mod.rs"]
mod sound_support;

mod amp;
mod band;
mod pitch;
mod player;
mod recording;
mod render;
mod string;
