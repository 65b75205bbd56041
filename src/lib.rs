//! Leadbar: from a number chart to a pedal-steel solo you can see, hear and play.
//!
//! The crate is built in layers; a lower one never imports a higher one, and only
//! `platform` and `ui` know a browser (they exist on wasm32 alone).
//!
//! | layer | what it knows |
//! |---|---|
//! | [`words`] | what is said, before it is known in which language |
//! | [`theory`] | pitch, interval, chord, number, key, chart, time |
//! | [`steel`] | instruments, what a body can hold, places on the neck |
//! | [`solo`] | the performance, moves, the planner, playability, the rules |
//! | [`sound`] | strings, backing, mix: samples from a performance |
//! | [`listen`] | pitch, time and harmony: what a recording or a microphone says |
//! | [`exchange`] | tablature and files, derived from a performance |
//! | [`teach`] | lessons, exercises and their marks |
//! | [`app`] | what the user is doing: state, commands, undo |
//! | `platform` | wrappers of the browser: audio, worker, storage |
//! | `ui` | the views |

// First: its macros mark the words of all the others.
#[macro_use]
pub mod words;

pub mod app;
pub mod exchange;
pub mod listen;
pub mod solo;
pub mod sound;
pub mod steel;
pub mod teach;
pub mod theory;

#[cfg(target_arch = "wasm32")]
pub mod platform;
#[cfg(all(target_arch = "wasm32", feature = "page"))]
pub mod ui;

#[cfg(test)]
mod sample;
