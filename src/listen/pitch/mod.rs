//! The pitch of one string: how high it sounds, ten milliseconds at a time.
//!
//! *Invariant:* a frame says what it heard at its own time, and how sure it is; it never guesses a pitch outside its
//! compass.
//!
//! Two steps. The period first, by the difference function with its running mean (de Cheveigné and Kawahara, "YIN",
//! Journal of the Acoustical Society of America 111(4), 1917-1930, 2002), which finds the octave. Then the partials
//! near it, each by the frequency its phase moves at (reassignment: Auger and Flandrin, IEEE Transactions on Signal
//! Processing 43(5), 1068-1089, 1995), put together as those of a stiff string, which are spread.
//!
//! | file | what it is |
//! |---|---|
//! | `yin` | the period |
//! | `partials` | the pitch, from the partials |
//! | `tracker` | a stream of frames |
//! | `needle` | a steady reading against a target |
//! | `beating` | how fast two strings beat |

pub mod beating;
pub mod needle;
pub(super) mod partials;
pub mod tracker;
mod yin;

pub use beating::{Beating, Coincidence};
pub use needle::{Needle, Reading};
pub use tracker::{Compass, Frame, Tracker};
