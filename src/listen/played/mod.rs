//! What was really played of a phrase that is known: each note on time, in tune, there at all.
//!
//! *Invariant:* a note is only marked on what can be told from the sound: where two strings share all their partials,
//! no cents are given rather than a guess.
//!
//! The notes are known, so nothing has to be guessed: around each note's time its own partials are looked at, those
//! that no other sounding string has (score-informed analysis: Ewert et al., "Score-informed source separation for
//! musical audio recordings", IEEE Signal Processing Magazine 31(3), 116-124, 2014).
//!
//! | file | what it is |
//! |---|---|
//! | `expected` | the notes that should come, from a performance |
//! | `onsets` | when strings were plucked |
//! | `lines` | one partial of one string |
//! | `marks` | what is said of each note |
//! | `delay` | how late a device hears itself |

mod delay;
mod expected;
mod lines;
mod marks;
mod onsets;

pub use delay::{delay, likely_delays};
pub use expected::{Expected, expected};
pub use marks::{Extra, Intonation, Marks, NoteMark, ON_TIME, mark, tolerance};
