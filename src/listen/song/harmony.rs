//! What sounds from beat to beat, in pitch classes.

use super::notes::{LOWEST_NOTE, NOTES, Notes, Sounding};
use crate::theory::Seconds;

/// Registers that are told apart: bass, middle, high.
pub(super) const REGISTERS: usize = 3;

/// Figures of one stretch: each register's twelve pitch classes.
pub const FIGURES: usize = 12 * REGISTERS;

/// Where each register begins to be heard, is heard fully, begins to fade and is gone, in MIDI note numbers.
const BOUNDS: [[usize; 4]; REGISTERS] = [[26, 28, 44, 52], [44, 52, 62, 70], [60, 68, 88, 90]];

/// The pitch classes of a stretch, register by register from C, each register's strongest class being 1.
pub type Colours = [f32; FIGURES];

/// Pitch classes of what sounds.
#[allow(clippy::cast_precision_loss)]
pub(super) fn colours(sounding: &Sounding) -> Colours {
    let mut out = [0.0; FIGURES];
    for (register, [a, b, c, d]) in BOUNDS.into_iter().enumerate() {
        for (n, strength) in sounding.iter().enumerate().take(NOTES) {
            let note = n + LOWEST_NOTE;
            let rise = (note as f32 - a as f32) / (b - a) as f32;
            let fall = (d as f32 - note as f32) / (d - c) as f32;
            out[12 * register + note % 12] += strength * rise.min(fall).clamp(0.0, 1.0);
        }
    }
    for register in out.chunks_mut(12) {
        let most = register.iter().copied().fold(0.0, f32::max);
        if most > 1e-6 {
            register.iter_mut().for_each(|x| *x = (*x / most).sqrt());
        }
    }
    out
}

/// The colours of each stretch between neighbouring beats.
pub(super) fn of_beats(notes: &Notes, beats: &[Seconds]) -> Vec<Colours> {
    beats
        .windows(2)
        .map(|pair| colours(&notes.between(pair[0], pair[1])))
        .collect()
}

/// How alike two stretches are, -1..=1.
pub(super) fn alike(a: &[f32], b: &[f32]) -> f32 {
    let dot: f32 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    let (aa, bb): (f32, f32) = (a.iter().map(|x| x * x).sum(), b.iter().map(|x| x * x).sum());
    dot / (aa * bb).sqrt().max(1e-6)
}
