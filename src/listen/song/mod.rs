//! The chart from a recording: tuning, beats and bars, key, chords, what repeats.
//!
//! *Invariant:* the same samples give the same chart; nothing is looked up, everything is heard.
//!
//! | file | what it is |
//! |---|---|
//! | `recording` | samples in the form that is listened to |
//! | `tuning` | how far from concert pitch |
//! | `flux` | where something begins |
//! | `pulse` | lengths of the beat, and beats of one length |
//! | `notes` | which notes sound |
//! | `harmony` | their pitch classes from beat to beat |
//! | `metre` | ways of counting beats and bars |
//! | `states` | what a beat can be heard as |
//! | `evidence` | what each beat says for each chord |
//! | `chords` | the chords and the key |
//! | `sections` | what comes again |
//! | `weights` | what was learned |
//! | `heard` | what comes of it, and its chart |
//! | `correct` | the same song counted, or its chords named, as a player says |

mod chords;
mod correct;
mod evidence;
mod flux;
pub mod harmony;
mod heard;
pub mod metre;
mod notes;
mod pulse;
pub mod recording;
mod sections;
mod states;
pub mod tuning;
mod weights;

pub use correct::{Correction, Part};
pub use heard::{HeardBar, HeardChord, HeardSong};
pub use recording::{Recording, Thinning};
pub use tuning::Tuning;

use super::transform::Bin;
use crate::theory::Seconds;
use crate::words::Said;
use evidence::Evidence;
use flux::Flux;
use metre::Counting;
use notes::Notes;
use thiserror::Error;
use weights::Weights;

/// The shortest recording a pulse can be heard in.
const SHORTEST: Seconds = Seconds(6.0);

/// Parts of the work that each step is, for telling how far it is (measured: notes take most of it).
const STEPS: [f64; 2] = [0.25, 0.65];

/// Why no chart can be made.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("{}", self.said().english())]
pub enum Unheard {
    /// There is too little of it.
    TooShort(f64),
    /// Nothing in it begins in time.
    NoBeat,
    /// The listener was told to stop.
    Stopped,
}

impl Unheard {
    /// What was wrong.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooShort(seconds) => said!(
                "the recording lasts {seconds} s; a chart needs at least {least} s of music",
                seconds = Said::number(format_args!("{seconds:.1}")),
                least = SHORTEST.0
            ),
            Self::NoBeat => said!("no beat was found: the recording is silent, or nothing in it keeps time"),
            Self::Stopped => said!("stopped¦listening"),
        }
    }
}

/// What a recording is described by before it is judged; what is learned is learned from this.
#[derive(Debug)]
pub struct Study {
    tuning: Tuning,
    flux: Flux,
    notes: Notes,
}

impl Study {
    /// Studies a recording. `going` is told how much is done, 0..=1, and answers whether to go on.
    ///
    /// # Errors
    /// When it is too short, or `going` says no.
    #[allow(clippy::cast_precision_loss)]
    pub fn of(recording: &Recording, mut going: impl FnMut(f64) -> bool) -> Result<Self, Unheard> {
        if recording.length().0 < SHORTEST.0 {
            return Err(Unheard::TooShort(recording.length().0));
        }
        let tuning = Tuning::of(recording);
        let mut step = |from: f64, part: f64, done: usize, all: usize| {
            let often = done.is_multiple_of(64);
            if !often || going(from + part * done as f64 / all.max(1) as f64) {
                Ok(())
            } else {
                Err(Unheard::Stopped)
            }
        };
        let flux = Flux::of(recording, |done, all| step(0.0, STEPS[0], done, all))?;
        let notes = Notes::of(recording, tuning, |done, all| step(STEPS[0], STEPS[1], done, all))?;
        Ok(Self { tuning, flux, notes })
    }

    /// How far from concert pitch.
    #[must_use]
    pub fn tuning(&self) -> Tuning {
        self.tuning
    }

    /// Every way of counting it.
    #[must_use]
    pub fn countings(&self) -> Vec<Counting> {
        metre::countings(&self.flux, &self.notes)
    }

    /// The pitch classes of each stretch between neighbouring times.
    #[must_use]
    pub fn colours(&self, beats: &[Seconds]) -> Vec<harmony::Colours> {
        harmony::of_beats(&self.notes, beats)
    }
}

/// Hears a song. `going` is told how much is done, 0..=1, and answers whether to go on.
///
/// # Errors
/// When the recording is too short, has no beat, or `going` says no.
pub fn hear(recording: &Recording, going: impl FnMut(f64) -> bool) -> Result<HeardSong, Unheard> {
    let study = Study::of(recording, going)?;
    let weights = Weights::learned();
    let worth = |way: &Counting| weights.of_counting(&way.figures);
    let ways = study.countings();
    let best = ways.iter().max_by(|a, b| worth(a).total_cmp(&worth(b)));
    let counting = best.ok_or(Unheard::NoBeat)?;
    let mut ends = counting.beats.clone();
    if let [.., before, last] = counting.beats.as_slice() {
        ends.push(*last + (*last - *before));
    }
    let evidence = Evidence::of(&study.colours(&ends));
    Ok(HeardSong::of(study.tuning, counting, evidence))
}
