//! An organ that holds the chords behind everything: sines under drawbars, slowly turning.
//!
//! *Invariant:* a note that the next chord has too is never struck again, and no note begins or ends with a step.
//!
//! Amounts are by ear: common practice, no source.

use super::register::at_or_above;
use crate::sound::mix::Ramp;
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::{Cents, Chord, Height, Hertz, Seconds};

/// Notes in a chord.
const NOTES: usize = 4;
/// The lowest note of a chord lies in one octave from this one (D3).
const LOWEST: i16 = 50;
/// Where the middle of a chord likes to be (C4): between bass and solo.
const MIDDLE: f64 = 60.0;
/// How much it likes to be there, against a semitone of moving.
const HOMING: f64 = 0.3;

/// A chord as the organ holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Voicing {
    /// The notes from low to high.
    pub notes: [Option<Height>; NOTES],
}

impl Voicing {
    /// The chord in close position, in that inversion which moves the hand least from the chord before and keeps
    /// it near middle C. A larger chord leaves its fifth out.
    #[must_use]
    pub fn leading(chord: &Chord, before: Option<&Self>) -> Self {
        let tones = chord.tones().count();
        let classes: Vec<_> = chord
            .tones()
            .filter(|(tone, _)| tones <= NOTES || tone.0.steps() != 4)
            .map(|(_, name)| name.class())
            .take(NOTES)
            .collect();
        classes
            .iter()
            .map(|lowest| {
                let floor = at_or_above(*lowest, LOWEST);
                let mut heights: Vec<i16> = classes.iter().map(|class| at_or_above(*class, floor)).collect();
                heights.sort_unstable();
                Self::of(&heights)
            })
            .min_by(|a, b| a.effort(before).total_cmp(&b.effort(before)))
            .unwrap_or(Self { notes: [None; NOTES] })
    }

    fn of(heights: &[i16]) -> Self {
        let mut notes = [None; NOTES];
        for (note, height) in notes.iter_mut().zip(heights) {
            *note = Some(Height(f64::from(*height)));
        }
        Self { notes }
    }

    /// The notes that sound, from low to high.
    fn heights(&self) -> impl Iterator<Item = f64> + Clone {
        self.notes.iter().flatten().map(|h| h.0)
    }

    /// What it takes to come here: the way of each note to the nearest one before, and the distance from home.
    #[allow(clippy::cast_precision_loss)]
    fn effort(&self, before: Option<&Self>) -> f64 {
        let count = self.heights().count().max(1) as f64;
        let away = (self.heights().sum::<f64>() / count - MIDDLE).abs();
        let way = |from: f64, to: &Self| to.heights().map(|h| (h - from).abs()).fold(f64::INFINITY, f64::min);
        let moved = before.map_or(0.0, |b| {
            self.heights().map(|h| way(h, b)).sum::<f64>() + b.heights().map(|h| way(h, self)).sum::<f64>()
        });
        moved + HOMING * count * away
    }
}

/// The drawbars: partials of the note an octave below, each with its amplitude (16', 8', 5 1/3', 4', 2 2/3', 2').
const DRAWBARS: [(f64, f64); 6] = [
    (1.0, 0.45),
    (2.0, 1.0),
    (3.0, 0.3),
    (4.0, 0.55),
    (6.0, 0.12),
    (8.0, 0.14),
];
/// Steps of the table of one period, a power of two.
const TABLE: usize = 2048;
/// Bits of a phase below the table's step.
const FINE: u32 = u32::BITS - TABLE.trailing_zeros();
/// How long a key takes to sound and to fall silent.
const SPEAK: Seconds = Seconds(0.015);
const LET_GO: Seconds = Seconds(0.07);
/// The slow turning: times a second, and what it does to pitch and level.
const TURNING: Hertz = Hertz(0.8);
const SWAY: Cents = Cents(3.0);
const SWELL: f32 = 0.12;
/// Level that puts the organ behind the solo.
const LEVEL: f32 = 0.03;
/// Keys that can sound at once: a chord held and one dying away.
const KEYS: usize = 2 * NOTES;

/// One sounding key.
#[derive(Debug, Clone)]
struct Key {
    height: Height,
    held: bool,
    gain: Ramp,
    /// A part of the period as a part of 2^32.
    phase: u32,
}

/// The organ as it sounds.
#[derive(Debug, Clone)]
pub(super) struct Organ {
    rate: SampleRate,
    /// One period, its first step repeated at the end.
    table: Box<[f32; TABLE + 1]>,
    keys: [Key; KEYS],
    /// From which sample on another chord, or none, is held, and how hard.
    waiting: Option<(usize, Option<Voicing>, f32)>,
    /// The turning's phase in turns.
    turned: f64,
}

impl Organ {
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate,
            table: Box::new(period()),
            keys: std::array::from_fn(|_| Key {
                height: Height(MIDDLE),
                held: false,
                gain: Ramp::at(0.0),
                phase: 0,
            }),
            waiting: None,
            turned: 0.0,
        }
    }

    /// Holds this chord from `sample` of the coming step on.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn hold(&mut self, voicing: Voicing, strength: f64, sample: usize) {
        self.waiting = Some((sample, Some(voicing), strength as f32));
    }

    /// Lets every key go from `sample` of the coming step on.
    pub(super) fn let_go(&mut self, sample: usize) {
        self.waiting = Some((sample, None, 0.0));
    }

    pub(super) fn silence(&mut self) {
        for key in &mut self.keys {
            (key.held, key.gain, key.phase) = (false, Ramp::at(0.0), 0);
        }
        (self.waiting, self.turned) = (None, 0.0);
    }

    pub(super) fn is_at_rest(&self) -> bool {
        self.waiting.is_none() && self.keys.iter().all(|k| k.gain.is_silent())
    }

    #[allow(clippy::cast_precision_loss)]
    pub(super) fn run(&mut self, out: &mut [f32; STEP]) {
        out.fill(0.0);
        if self.is_at_rest() {
            return;
        }
        self.turned = (self.turned + TURNING.0 * STEP as f64 / self.rate.0).fract();
        let (before, after) = match self.waiting {
            Some((sample, ..)) => out.split_at_mut(sample.min(STEP)),
            None => out.split_at_mut(STEP),
        };
        self.sound(before);
        if let Some((_, voicing, strength)) = self.waiting.take() {
            self.press(voicing, strength);
        }
        self.sound(after);
    }

    /// Moves the hands: keys of both chords stay down.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn press(&mut self, voicing: Option<Voicing>, strength: f32) {
        let samples = |time| self.rate.samples(time) as u32;
        let (speak, let_go) = (samples(SPEAK), samples(LET_GO));
        let mut wanted = voicing.map_or([None; NOTES], |v| v.notes);
        for key in self.keys.iter_mut().filter(|k| k.held) {
            match wanted.iter_mut().find(|note| **note == Some(key.height)) {
                Some(note) => *note = None,
                None => {
                    key.held = false;
                    key.gain.go(0.0, let_go);
                }
            }
        }
        for note in wanted.into_iter().flatten() {
            let free = self.keys.iter_mut().filter(|k| !k.held);
            if let Some(key) = free.min_by(|a, b| a.gain.value().total_cmp(&b.gain.value())) {
                (key.height, key.held) = (note, true);
                key.gain.go(LEVEL * strength, speak);
            }
        }
    }

    /// Adds what sounds to a stretch of a step.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn sound(&mut self, out: &mut [f32]) {
        let sway = (std::f64::consts::TAU * self.turned).sin();
        let swell = 1.0 + SWELL * sway as f32;
        for key in self.keys.iter_mut().filter(|k| !k.gain.is_silent()) {
            let pitch = key.height.shifted(Cents(SWAY.0 * sway)).hertz();
            let step = (0.5 * pitch.0 / self.rate.0 * f64::from(u32::MAX)) as u32;
            for sample in out.iter_mut() {
                let (index, fine) = ((key.phase >> FINE) as usize, key.phase & ((1 << FINE) - 1));
                if let Some([a, b]) = self.table.get(index..index + 2) {
                    let part = fine as f32 / (1_u32 << FINE) as f32;
                    *sample += swell * key.gain.next() * (a + part * (b - a));
                }
                key.phase = key.phase.wrapping_add(step);
            }
        }
    }
}

/// One period of the note an octave below.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn period() -> [f32; TABLE + 1] {
    std::array::from_fn(|i| {
        let turn = std::f64::consts::TAU * i as f64 / TABLE as f64;
        DRAWBARS
            .iter()
            .map(|(partial, amplitude)| amplitude * (partial * turn).sin())
            .sum::<f64>() as f32
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn led(chords: &[&str]) -> Vec<Vec<f64>> {
        let mut before = None;
        let mut found = Vec::new();
        for name in chords {
            let chord: Chord = name.parse().expect("a chord");
            let voicing = Voicing::leading(&chord, before.as_ref());
            found.push(voicing.heights().collect());
            before = Some(voicing);
        }
        found
    }

    #[test]
    fn the_hand_moves_by_steps_and_keeps_what_two_chords_share() {
        let all = led(&["A", "D", "E7", "A", "F#m", "Bm7", "E", "Amaj7", "C#m", "D", "Dm", "A"]);
        for pair in all.windows(2) {
            for note in &pair[1] {
                let nearest = pair[0].iter().map(|h| (h - note).abs()).fold(f64::INFINITY, f64::min);
                assert!(nearest <= 3.0, "{pair:?}");
            }
            let shared = |h: &&f64| pair[1].iter().any(|g| (g - **h).rem_euclid(12.0) == 0.0);
            let kept = |h: &&f64| pair[1].contains(h);
            assert_eq!(
                pair[0].iter().filter(shared).count(),
                pair[0].iter().filter(kept).count(),
                "{pair:?}"
            );
        }
    }

    #[test]
    fn every_chord_lies_between_bass_and_solo() {
        for root in ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"] {
            for quality in ["", "m", "7", "maj7", "m7", "dim", "9", "13", "sus4", "6"] {
                let all = led(&[&format!("{root}{quality}")]);
                let notes = &all[0];
                assert!((3..=4).contains(&notes.len()), "{root}{quality}: {notes:?}");
                assert!(
                    notes.iter().all(|h| (50.0..=73.0).contains(h)),
                    "{root}{quality}: {notes:?}"
                );
                assert!(notes.windows(2).all(|w| w[0] < w[1]), "{root}{quality}: {notes:?}");
            }
        }
    }

    #[test]
    fn a_changing_chord_neither_steps_nor_strikes_the_shared_note_again() {
        let mut organ = Organ::new(SampleRate(48_000.0));
        let mut sound = Vec::new();
        let mut before = None;
        for (turn, name) in ["A", "D", "A", "E"].iter().cycle().take(12).enumerate() {
            let voicing = Voicing::leading(&name.parse().expect("a chord"), before.as_ref());
            organ.hold(voicing, 0.8, 5 * (turn % 6));
            before = Some(voicing);
            for _ in 0..20 {
                let mut step = [0.0; STEP];
                organ.run(&mut step);
                sound.extend(step);
            }
        }
        let step = sound
            .windows(2)
            .map(|w: &[f32]| (w[1] - w[0]).abs())
            .fold(0.0, f32::max);
        let peak = sound.iter().fold(0.0, |most: f32, x| most.max(x.abs()));
        // The fastest partial of the highest note turns once in about 23 samples.
        assert!(peak > 0.05 && step < 0.2 * peak, "a step of {step} at a peak of {peak}");
        organ.let_go(0);
        for _ in 0..150 {
            organ.run(&mut [0.0; STEP]);
        }
        assert!(organ.is_at_rest());
    }
}
