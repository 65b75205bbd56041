//! A reading that stands still enough to tune by.
//!
//! Frames come a hundred times a second and none is free of doubt. The needle shows the middle one of the last few,
//! so that a single wrong frame never moves it, and says when they agree.

use super::tracker::Frame;
use crate::theory::{Cents, Height, Hertz, Seconds};
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;

/// The middle of this much is shown.
const MEMORY: Seconds = Seconds(0.16);

/// What is shown stays this long after the sound has gone.
const LINGER: Seconds = Seconds(0.6);

/// A frame less sure than this is not looked at.
const TRUSTED: f64 = 0.8;

/// The needle is steady when three quarters of what it remembers lie this close together.
const STEADY: Cents = Cents(2.0);

/// Fewest frames a reading is made of.
const FEWEST: usize = 4;

/// What the needle shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What sounds.
    pub pitch: Hertz,
    /// How far it lies above the target; negative is flat.
    pub off: Cents,
    /// Whether it has come to rest.
    pub steady: bool,
    /// When it was last heard.
    pub at: Seconds,
}

/// Reads frames against a target.
///
/// ```
/// use leadbar::listen::pitch::{Frame, Needle};
/// use leadbar::theory::{Hertz, Seconds};
/// let mut needle = Needle::new(Hertz(440.0));
/// for n in 0..20 {
///     let at = Seconds(f64::from(n) * 0.01);
///     needle.hear(&Frame { at, pitch: Some(Hertz(441.0)), confidence: 0.99, level: 0.1 });
/// }
/// let reading = needle.reading().expect("it sounds");
/// assert!((reading.off.0 - 3.93).abs() < 0.01 && reading.steady);
/// ```
#[derive(Debug, Clone)]
pub struct Needle {
    target: Hertz,
    heard: VecDeque<(Seconds, f64)>,
    shown: Option<Reading>,
}

impl Needle {
    /// A needle for `target`.
    #[must_use]
    pub fn new(target: Hertz) -> Self {
        Self {
            target,
            heard: VecDeque::new(),
            shown: None,
        }
    }

    /// Which of `targets` a pitch is nearest to, by its place in the list.
    #[must_use]
    pub fn nearest(pitch: Hertz, targets: &[Hertz]) -> Option<usize> {
        let away = |target: &Hertz| cents(pitch, *target).abs();
        (0..targets.len()).min_by(|a, b| away(&targets[*a]).total_cmp(&away(&targets[*b])))
    }

    /// Takes one frame.
    pub fn hear(&mut self, frame: &Frame) {
        let trusted = frame.pitch.filter(|_| frame.confidence >= TRUSTED);
        let Some(pitch) = trusted else {
            self.shown = self.shown.filter(|shown| frame.at.0 - shown.at.0 < LINGER.0);
            return;
        };
        self.heard.push_back((frame.at, cents(pitch, self.target)));
        while self.heard.front().is_some_and(|(at, _)| frame.at.0 - at.0 > MEMORY.0) {
            self.heard.pop_front();
        }
        if self.heard.len() >= FEWEST {
            self.shown = Some(self.read(frame.at));
        }
    }

    /// What it shows; nothing when nothing was heard lately.
    #[must_use]
    pub fn reading(&self) -> Option<Reading> {
        self.shown
    }

    fn read(&self, at: Seconds) -> Reading {
        let mut sorted: Vec<f64> = self.heard.iter().map(|(_, off)| *off).collect();
        sorted.sort_by(f64::total_cmp);
        let last = sorted.len() - 1;
        let off = sorted[last / 2];
        let spread = sorted[last - last / 8] - sorted[last / 8];
        Reading {
            pitch: Hertz(self.target.0 * (off / 1200.0).exp2()),
            off: Cents(off),
            steady: spread < STEADY.0,
            at,
        }
    }
}

/// How far `pitch` lies above `target`.
fn cents(pitch: Hertz, target: Hertz) -> f64 {
    match (Height::of(pitch), Height::of(target)) {
        (Some(pitch), Some(target)) => pitch.above(target).0,
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(n: u32, pitch: Option<f64>) -> Frame {
        Frame {
            at: Seconds(f64::from(n) * 0.01),
            pitch: pitch.map(Hertz),
            confidence: if pitch.is_some() { 0.95 } else { 0.0 },
            level: 0.1,
        }
    }

    #[test]
    fn one_wrong_frame_does_not_move_the_needle() {
        let mut needle = Needle::new(Hertz(220.0));
        for n in 0..20 {
            needle.hear(&frame(n, Some(if n == 15 { 440.0 } else { 220.0 })));
        }
        assert_eq!(needle.reading().map(|r| r.off), Some(Cents(0.0)));
    }

    #[test]
    fn a_gliding_pitch_is_not_steady() {
        let mut needle = Needle::new(Hertz(220.0));
        for n in 0..20 {
            needle.hear(&frame(n, Some(220.0 + f64::from(n) * 0.2)));
        }
        assert_eq!(needle.reading().map(|r| r.steady), Some(false));
    }

    #[test]
    fn what_was_heard_lingers_and_goes() {
        let mut needle = Needle::new(Hertz(220.0));
        (0..20).for_each(|n| needle.hear(&frame(n, Some(220.0))));
        needle.hear(&frame(50, None));
        assert!(needle.reading().is_some());
        needle.hear(&frame(100, None));
        assert_eq!(needle.reading(), None);
    }

    #[test]
    fn the_nearest_target_is_found_by_pitch_not_by_hertz() {
        let targets = [Hertz(100.0), Hertz(200.0)];
        assert_eq!(Needle::nearest(Hertz(142.0), &targets), Some(1));
        assert_eq!(Needle::nearest(Hertz(140.0), &targets), Some(0));
        assert_eq!(Needle::nearest(Hertz(140.0), &[]), None);
    }
}
