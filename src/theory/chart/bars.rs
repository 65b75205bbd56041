//! How the chords of a bar share its time.
//!
//! *Invariant:* the lengths of a bar's chords add up to the bar.

use super::model::Slot;
use crate::theory::time::{Beats, Metre};

/// The most chords in a bar.
pub(super) const MOST_CHORDS: usize = 16;

/// Whether the written beats make up a bar; if not, how many there are.
pub(super) fn check(slots: &[Slot], metre: Metre) -> Result<(), u32> {
    let (written, open) = count(slots);
    let wanted = u32::from(metre.count);
    let right = match open {
        0 => written == wanted,
        _ => written < wanted,
    };
    if right { Ok(()) } else { Err(written) }
}

/// The length of each chord. Beats that do not make up the bar (one repeated in another metre) are scaled to it.
pub(super) fn lengths(slots: &[Slot], metre: Metre) -> Vec<Beats> {
    let (written, open) = count(slots);
    let left = u32::from(metre.count).saturating_sub(written);
    let share = match (left, open) {
        (0, _) | (_, 0) => 1.0,
        _ => f64::from(left) / f64::from(open),
    };
    let weights: Vec<f64> = slots
        .iter()
        .map(|s| s.ticks.map_or(share, |t| f64::from(t.0)))
        .collect();
    let total: f64 = weights.iter().sum();
    weights.iter().map(|w| metre.bar().scaled(w / total)).collect()
}

/// The beats written, and the chords without any.
fn count(slots: &[Slot]) -> (u32, u32) {
    slots.iter().fold((0, 0), |(written, open), slot| match slot.ticks {
        Some(ticks) => (written + u32::from(ticks.0), open),
        None => (written, open + 1),
    })
}
