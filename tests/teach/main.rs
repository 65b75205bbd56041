//! Lessons, exercises, marks and classes.
//!
//! One program and not one for each file: linking them takes longer than most of them run.
#![allow(clippy::expect_used, clippy::unwrap_used)] // a test may fail by panicking

#[path = "../teach_support/mod.rs"]
mod teach_support;

mod class;
mod course;
mod marks;
mod phrases;
