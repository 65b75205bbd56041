//! What the user is doing: the work in hand, the desk it lies on, and the way back.
//!
//! *Invariant:* a [`Session`] changes only by a [`Command`], and every change of the work can be undone.

pub mod address;
pub mod answering;
pub mod attitudes;
pub mod backing_song;
pub mod bars;
pub mod by_hand;
pub mod class;
pub mod command;
pub mod compare;
pub mod copedent;
pub mod delivery;
pub mod desk;
pub mod feels;
pub mod files;
pub mod heading;
pub mod history;
pub mod jobs;
pub mod knobs;
pub mod lanes_view;
pub mod learning;
pub mod lesson_view;
pub mod levels;
pub mod lineage;
pub mod listener;
pub mod listening;
pub mod midi_map;
pub mod neck_view;
pub mod pad;
pub mod passes;
pub mod planning;
pub mod project;
pub mod proposal;
pub mod reading;
pub mod rehearsal;
pub mod revising;
pub mod session;
pub mod shared;
pub mod shelf;
pub mod sketch;
pub mod snapshot;
pub mod songs;
pub mod tuning;
pub mod work;
pub mod workshop;

pub use command::Command;
pub use desk::{Desk, LoopBars, Theme, View};
pub use levels::Levels;
pub use lineage::{Kept, Lineage, Origin, PassId};
pub use passes::{Chosen, Shown};
pub use rehearsal::Rehearsal;
pub use session::Session;
pub use songs::{DEMO_SONGS, DemoSong};
pub use tuning::Tuning;
pub use work::{Rig, Work};
