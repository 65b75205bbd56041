//! Lessons, exercises and their marks.
//!
//! *Invariant:* a mark is computed from the answer by the planner's own rules; nothing here keeps a second opinion
//! on music, and nothing here knows a page, a clock or a chance of its own.

pub mod assignment;
pub mod attempt;
pub mod class;
pub mod course;
mod document;
pub mod evidence;
pub mod exercise;
mod fault;
pub mod lesson;
pub mod progress;
pub mod qr;
pub mod review;
pub mod rows;
pub mod scorm;

pub use assignment::{Assignment, Given, Handed, Item, Score};
pub use attempt::Attempt;
pub use class::Class;
pub use course::Course;
pub use evidence::Evidence;
pub use exercise::{Answer, Exercise, Mark, Task};
pub use fault::{Fault, FaultKind};
pub use lesson::{Lesson, Live};
pub use progress::Progress;
