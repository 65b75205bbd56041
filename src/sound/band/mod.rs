//! The band: drums, bass, rhythm guitar and organ, played from the chart.
//!
//! *Invariant:* what the band plays is a list of strikes fixed when the score is loaded; the same seed gives the
//! same list.
//!
//! | file | what it is |
//! |---|---|
//! | `pattern` | grooves as data, read from text |
//! | `arrange` | a groove laid along a song: pushes, holds, chokes, rests |
//! | `drums` | the kit, synthesised |
//! | `organ` | chords held with smooth leading, and their sound |
//! | `plucked` | bass and guitar, on the same strings as the steel |
//! | `register` | where in the compass a note is taken |

mod arrange;
mod drums;
mod organ;
pub mod pattern;
mod plucked;
mod register;

pub use arrange::{Strike, StrikeKind, arrange};
pub use drums::Drum;
pub use organ::Voicing;
pub use pattern::{Pattern, PatternError};

use super::rate::{STEP, SampleRate};
use super::score::Score;
use super::transport::Stretch;
use crate::theory::Beats;
use drums::Kit;
use organ::Organ;
use plucked::{Bass, Guitar};

/// The sound of the parts for one step.
#[derive(Debug, Clone)]
pub(super) struct BandStep {
    pub(super) drums: [f32; STEP],
    pub(super) bass: [f32; STEP],
    pub(super) rhythm: [f32; STEP],
    pub(super) organ: [f32; STEP],
}

impl BandStep {
    pub(super) const SILENT: Self = Self {
        drums: [0.0; STEP],
        bass: [0.0; STEP],
        rhythm: [0.0; STEP],
        organ: [0.0; STEP],
    };
}

/// The players and what they have before them.
#[derive(Debug, Clone)]
pub(super) struct Band {
    strikes: Vec<Strike>,
    next: usize,
    kit: Kit,
    bass: Bass,
    guitar: Guitar,
    organ: Organ,
}

impl Band {
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            strikes: Vec::new(),
            next: 0,
            kit: Kit::new(rate),
            bass: Bass::new(rate),
            guitar: Guitar::new(rate),
            organ: Organ::new(rate),
        }
    }

    pub(super) fn load(&mut self, score: &Score) {
        self.strikes = arrange(&score.timeline, score.pattern.as_ref(), score.seed);
        self.next = 0;
    }

    pub(super) fn seek(&mut self, to: Beats) {
        self.next = self.strikes.partition_point(|s| s.at < to);
    }

    /// Hands the strikes of a stretch to the players.
    pub(super) fn play(&mut self, stretch: &Stretch, beats_a_sample: f64) {
        while let Some(strike) = self.strikes.get(self.next).filter(|s| s.at < stretch.to) {
            let sample = stretch.sample(strike.at, beats_a_sample, STEP);
            match strike.kind {
                StrikeKind::Drum(drum) => self.kit.strike(drum, strike.strength, sample),
                StrikeKind::Bass(height) => self.bass.pluck(height, strike.strength, sample),
                StrikeKind::BassStop => self.bass.stop(),
                StrikeKind::Strum(strum) => self.guitar.strum(&strum, strike.strength, sample),
                StrikeKind::StrumStop => self.guitar.stop(),
                StrikeKind::Hold(voicing) => self.organ.hold(voicing, strike.strength, sample),
                StrikeKind::LetGo => self.organ.let_go(sample),
                StrikeKind::CymbalStop => self.kit.stop_cymbals(),
            }
            self.next += 1;
        }
    }

    /// Hands on strings and cymbals, and off the keys.
    pub(super) fn stop(&mut self) {
        self.bass.stop();
        self.guitar.stop();
        self.organ.let_go(0);
        self.kit.stop_cymbals();
    }

    pub(super) fn silence(&mut self) {
        self.kit.silence();
        self.bass.silence();
        self.guitar.silence();
        self.organ.silence();
    }

    pub(super) fn is_at_rest(&self) -> bool {
        self.kit.is_at_rest() && self.bass.is_at_rest() && self.guitar.is_at_rest() && self.organ.is_at_rest()
    }

    pub(super) fn run(&mut self, out: &mut BandStep) {
        self.kit.run(&mut out.drums);
        self.bass.run(&mut out.bass);
        self.guitar.run(&mut out.rhythm);
        self.organ.run(&mut out.organ);
    }
}
