//! How solos are asked for, planned, changed, read and played.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

#[path = "../solo_support/mod.rs"]
mod solo_support;

mod growth;
mod moves;
mod plan;
mod reading;
mod request;
mod revise;
mod slants;
mod sounded;
