//! Sound: samples from a performance, the same code live and offline.
//!
//! *Invariant:* the same score, commands and sample rate give the same samples, however the output is cut
//! into buffers; nothing here reads a clock, and the audio loop neither allocates nor branches on the outside.

pub mod amp;
pub mod band;
mod chance;
mod click;
pub mod command;
pub mod comp;
pub mod limiter;
pub mod loudness;
pub mod mix;
pub mod player;
pub mod rate;
pub mod render;
pub mod score;
pub mod string;
pub mod tape;
mod transport;

pub use amp::Amp;
pub use command::{Command, LiveEvent, Report};
pub use loudness::{Loudness, Lufs};
pub use mix::{Decibels, Fader, Mix, Part};
pub use player::Player;
pub use rate::SampleRate;
pub use score::{Score, Speed};
