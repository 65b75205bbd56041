//! Charts and what is said of them.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

mod chart;
mod chart_laws;
mod outside;
