//! What is written of each sounding note: where it is picked, where it slides to, how far it is bent.

use crate::exchange::pressed::pressed;
use crate::solo::{Cause, Motion, Note, Performance, Touch, notes};
use crate::steel::{Fret, Instrument, StringNumber};
use crate::theory::{Beats, Height, Tempo};

/// A glide shorter than this many frets is no slide of its own.
const LEAST_SLIDE: f64 = 0.3;
/// A bend by less than this many semitones is not written.
const LEAST_BEND: f64 = 0.1;

/// One written note.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Written {
    pub at: Beats,
    /// When it stops sounding, or slides on.
    pub end: Beats,
    pub string: StringNumber,
    pub fret: Fret,
    pub height: Height,
    /// Whether it is reached by a slide from the string's note before it.
    pub slid_to: bool,
    /// Whether it slides on to the string's next note.
    pub slides_on: bool,
    /// By how many semitones pedals and levers bend it, one after the other.
    pub bends: Vec<f64>,
    pub harmonic: bool,
    /// What is pressed as it begins.
    pub pressed: String,
}

/// All written notes in order of time.
pub(super) fn events(performance: &Performance, instrument: &Instrument, tempo: Tempo) -> Vec<Written> {
    let all = notes(performance, instrument, tempo);
    let mut found: Vec<Written> = all
        .iter()
        .flat_map(|note| written(note, performance, instrument))
        .collect();
    found.sort_by(|a, b| a.at.0.total_cmp(&b.at.0).then(a.string.cmp(&b.string)));
    found
}

fn written(note: &Note, performance: &Performance, instrument: &Instrument) -> Vec<Written> {
    let one = |at: Beats, fret: Fret, height: Height| Written {
        at,
        end: note.end,
        string: note.string(),
        fret,
        height,
        slid_to: false,
        slides_on: false,
        bends: Vec::new(),
        harmonic: note.pluck.touch != Touch::Plain,
        pressed: pressed(performance, instrument, at),
    };
    let mut found = vec![one(
        note.start(),
        performance.fret_on(instrument, note.string(), note.start()),
        note.height,
    )];
    for motion in &note.motions {
        let Some(last) = found.last_mut() else { break };
        match motion.cause {
            Cause::Bar { from, to } if (to.0 - from.0).abs() >= LEAST_SLIDE && motion.end < note.end => {
                (last.slides_on, last.end) = (true, motion.end);
                found.push(Written {
                    slid_to: true,
                    ..one(motion.end, to, motion.to)
                });
            }
            Cause::Bar { .. } => {}
            Cause::Change { .. } => last.bends.extend(bend(motion)),
        }
    }
    found
}

/// How far a movement bends its note, to a hundredth of a semitone.
fn bend(motion: &Motion) -> Option<f64> {
    let by = motion.to.above(motion.from).0.round() / 100.0;
    (by.abs() >= LEAST_BEND).then_some(by)
}
