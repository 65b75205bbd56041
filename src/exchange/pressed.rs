//! What feet and knees hold, in words that a player reads: "A+B", "A½", "open".

use crate::solo::{Curve, Performance};
use crate::steel::Instrument;
use crate::theory::{Beats, rank};

/// Travel from which a change counts as pressed half, and from which as pressed fully.
const HALF_FROM: f64 = 0.25;
const FULL_FROM: f64 = 0.75;

/// What is pressed at a moment.
pub(super) fn pressed(performance: &Performance, instrument: &Instrument, at: Beats) -> String {
    let words: Vec<String> = instrument
        .change_ids()
        .zip(&instrument.changes)
        .filter_map(|(id, change)| match performance.travel(id, at).0 {
            t if t >= FULL_FROM => Some(change.name.clone()),
            t if t >= HALF_FROM => Some(format!("{}½", change.name)),
            _ => None,
        })
        .collect();
    if words.is_empty() {
        "open".to_owned()
    } else {
        words.join("+")
    }
}

/// Each moment at which something else has come to be pressed, and what; nothing is pressed before the first.
pub(super) fn pressings(performance: &Performance, instrument: &Instrument) -> Vec<(Beats, String)> {
    let mut moments: Vec<Beats> = performance
        .travels
        .iter()
        .flat_map(Curve::movements)
        .map(|m| m.end)
        .collect();
    moments.push(Beats::ZERO);
    moments.sort_by_cached_key(|one| rank(one.0));
    let mut last = String::from("open");
    let mut found = Vec::new();
    for at in moments {
        let pressed = pressed(performance, instrument, at);
        if pressed != last {
            found.push((at, pressed.clone()));
            last = pressed;
        }
    }
    found
}
