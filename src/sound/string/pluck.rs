//! What a finger puts into the string.
//!
//! A string pulled aside at one place and let go moves, as a velocity wave, in a rectangular pulse whose width is
//! the round trip between the place and the bridge: partial n gets sin(n pi p / L) / n. The finger rounds the
//! edges. A harmonic is the same with the string touched at a node, which leaves every n-th partial.
//! Source of the spectrum: the ideal plucked string, any text on musical acoustics.

use crate::solo::{Finger, Touch};

/// One pluck, ready to be put in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Height of the pulse.
    amplitude: f32,
    /// Width of the pulse as a part of the period, 0..0.5.
    width: f64,
    /// Length of each rounded edge as a part of the period.
    edge: f64,
    /// Where on the rising edge the pulse passes its mean, so that the stroke starts and ends at nothing.
    start: f64,
    /// Every which partial sounds; 1 for a plain pluck.
    node: u8,
}

/// How long the edge of a firm pluck takes, in seconds, by finger. Metal picks on the fingers, a broader one
/// on the thumb; common practice by ear, no source.
fn edge_seconds(finger: Finger) -> f64 {
    match finger {
        Finger::Thumb => 0.000_34,
        Finger::Index | Finger::Middle => 0.000_20,
        Finger::Ring => 0.000_26,
    }
}

/// A harmonic is quieter than a plain note by this factor for each node, roughly what the touch takes.
const HARMONIC_GAIN: f32 = 1.4;

impl Stroke {
    /// A pluck of `strength` 0..=1 at a place whose round trip to the bridge takes `to_bridge` samples, on a
    /// string of `period` samples at `rate` samples a second.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn new(strength: f64, finger: Finger, touch: Touch, to_bridge: f64, period: f64, rate: f64) -> Self {
        let strength = strength.clamp(0.0, 1.0);
        let node = match touch {
            Touch::Plain => 1,
            Touch::Harmonic(frets) => node_at(frets),
        };
        let width = (to_bridge / period).clamp(0.02, 0.5);
        // A soft touch leaves the string more slowly.
        let edge = edge_seconds(finger) * (2.2 - 1.2 * strength) * rate / period;
        let edge = edge.min(width).max(1.5 / period);
        let gain = if node > 1 { HARMONIC_GAIN } else { 1.0 };
        Self {
            amplitude: gain * (0.15 + 0.85 * strength) as f32 * strength.sqrt() as f32,
            width,
            edge,
            start: edge * crossing(width),
            node,
        }
    }

    /// The velocity put in at `phase` (0..1) of the one period a pluck takes; zero at both ends and on the mean.
    #[must_use]
    pub fn at(&self, phase: f64) -> f32 {
        let nodes = f64::from(self.node);
        let sum: f64 = (0..self.node)
            .map(|k| self.pulse((phase + f64::from(k) / nodes).fract()))
            .sum();
        #[allow(clippy::cast_possible_truncation)]
        {
            self.amplitude * (sum / nodes) as f32
        }
    }

    /// A periodic pulse of mean zero whose rising edge passes zero at phase 0.
    fn pulse(&self, phase: f64) -> f64 {
        let at = (phase + self.start).fract();
        let rise = smooth(at / self.edge);
        let fall = smooth((at - self.width) / self.edge);
        rise - fall - self.width
    }
}

fn smooth(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// Where x^2 (3 - 2x) equals `level`, 0..=0.5, by bisection.
fn crossing(level: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..24 {
        let middle = 0.5 * (low + high);
        if smooth(middle) < level {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The partial that a touch this many frets above the bar leaves: an octave is the second, and so on.
/// A place that is no node damps the string; it is taken as the octave.
fn node_at(frets: u8) -> u8 {
    match frets {
        7 | 19 => 3,
        5 | 24 => 4,
        4 | 9 | 16 => 5,
        _ => 2,
    }
}
