//! Pedals and levers: travel against time.

use crate::exchange::tab::control_words;
use crate::solo::{Curve, Performance};
use crate::steel::{ChangeId, Control, Instrument, Travel};
use crate::theory::Beats;
use crate::words::Said;

/// Points along one movement.
const MOVE_POINTS: u32 = 8;
/// What the first stroke needs is drawn as pressed so long before it: nobody holds it through bars of rest.
const READY: Beats = Beats(1.0);

/// One pedal or lever in use.
#[derive(Debug, Clone, PartialEq)]
pub struct Ribbon {
    /// Which change.
    pub change: ChangeId,
    /// Its letter.
    pub name: String,
    /// What works it.
    pub control: Control,
    /// Where it is, in a few words.
    pub place: Said,
    /// The stretches in which it is pressed at all, each from released to released.
    pub presses: Vec<Vec<(Beats, Travel)>>,
}

/// A ribbon for each change that is pressed at any time.
pub(super) fn ribbons(performance: &Performance, instrument: &Instrument) -> Vec<Ribbon> {
    let first = performance.plucks.first().map_or(Beats::ZERO, |p| p.at);
    let from = (first - READY).max(Beats::ZERO);
    instrument
        .change_ids()
        .zip(&instrument.changes)
        .zip(&performance.travels)
        .filter_map(|((id, change), curve)| {
            let presses = presses(curve, from, performance.length);
            (!presses.is_empty()).then(|| Ribbon {
                change: id,
                name: change.name.clone(),
                control: change.control,
                place: control_words(change.control),
                presses,
            })
        })
        .collect()
}

fn presses(curve: &Curve, from: Beats, length: Beats) -> Vec<Vec<(Beats, Travel)>> {
    let from = curve.movements().next().map_or(from, |m| m.start.min(from));
    let mut points = vec![(from, curve.first)];
    for m in curve.movements() {
        points.push((m.start, m.from));
        let gone = (m.end - m.start).0;
        points.extend((1..MOVE_POINTS).map(|i| {
            let at = Beats(m.start.0 + gone * f64::from(i) / f64::from(MOVE_POINTS));
            (at, if gone > 0.0 { curve.value(at) } else { m.to })
        }));
        points.push((m.end, m.to));
    }
    let last = points.last().map_or(curve.first, |p| p.1);
    points.push((length, last));
    let mut presses: Vec<Vec<(Beats, Travel)>> = Vec::new();
    let mut open = false;
    for pair in points.windows(2) {
        let ((a, from), (b, to)) = (pair[0], pair[1]);
        let pressed = from > 1e-6 || to > 1e-6;
        if pressed && !open {
            presses.push(vec![(a, Travel(from))]);
        }
        if let (true, Some(press)) = (pressed, presses.last_mut()) {
            press.push((b, Travel(to)));
        }
        open = pressed;
    }
    presses
}
