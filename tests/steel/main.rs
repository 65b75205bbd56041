//! The instruments: what they are, how they are tuned, and what lies where.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

mod counts;
mod geometry;
mod instruments;
mod laws;
mod slant;
mod tables;
mod temper;
