//! Tuning by ear's own measure: what the microphone hears, against the targets of the tuning in hand.
//!
//! *Invariant:* what is shown is measured against the same targets that sound and that the tuning sheet lists; a
//! pitch that is not sure is not shown.
//!
//! | file | what it is |
//! |---|---|
//! | `target` | what there is to tune, and how high each should be |
//! | `pointer` | one string against its target |
//! | `pair` | how fast two strings beat, and how fast they should |

mod pair;
mod pointer;
mod target;

pub use pair::{Pair, PairShown};
pub use pointer::{IN_TUNE, Pointer, Shown, Verdict};
pub use target::{Target, targets};
