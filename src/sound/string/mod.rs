//! The strings: one digital waveguide each, whose length follows bar and changes.
//!
//! *Invariant:* the loop's phase delay at the fundamental is exactly one period of the asked pitch, whatever the
//! filters inside it, so the pitch heard is the pitch of the model.
//!
//! | file | what it is |
//! |---|---|
//! | `delay` | a delay line read between its samples |
//! | `loss` | the filter that makes partials die away at the asked times |
//! | `pluck` | what a finger puts into the string |
//! | `period` | the length of the loop while the pitch moves |
//! | `stiff` | the all-passes that spread the partials as stiffness does |
//! | `waveguide` | one string |
//! | `scrape` | the bar's noise on wound strings |
//! | `steel` | all strings of an instrument, driven by a performance or by hand |

pub mod delay;
pub mod loss;
pub mod period;
pub mod pluck;
mod scrape;
pub mod steel;
pub mod stiff;
pub mod waveguide;

pub use steel::{Hands, Steel};
pub use stiff::Stiffness;
pub use waveguide::{StringState, Waveguide};
