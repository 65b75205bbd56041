//! Bass and rhythm guitar, on the same strings as the steel.

use super::register::at_or_above;
use crate::solo::{Finger, Touch};
use crate::sound::rate::{STEP, SampleRate};
use crate::sound::string::delay::Table;
use crate::sound::string::loss::Material;
use crate::sound::string::pluck::Stroke;
use crate::sound::string::stiff::Stiffness;
use crate::sound::string::waveguide::{StringState, Waveguide};
use crate::theory::{Chord, Height, Hertz, Seconds};

/// Notes in a strum.
const VOICES: usize = 4;
/// Lowest note of the guitar's chords (D3): above the bass, under the solo.
const LOWEST_STRUM: i16 = 50;
/// Time between two strings of a strum.
const BETWEEN_STRINGS: Seconds = Seconds(0.009);
/// A stopped string falls to -60 dB in this time; a damped stroke in less.
const STOPPED: Seconds = Seconds(0.09);
const CHUCKED: Seconds = Seconds(0.045);
/// Levels that put bass and guitar behind the solo.
const BASS_LEVEL: f32 = 0.22;
const STRUM_LEVEL: f32 = 0.085;

/// One stroke over a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strum {
    /// The notes from low to high; a missing one is not struck.
    pub notes: [Option<Height>; VOICES],
    /// From high to low.
    pub up: bool,
    /// Damped.
    pub chuck: bool,
}

impl Strum {
    /// The chord in close position above D3: its first four tones, the fifth left out of a larger chord.
    #[must_use]
    pub fn of(chord: &Chord, up: bool, chuck: bool) -> Self {
        let tones = chord.tones().count();
        let mut heights: Vec<i16> = chord
            .tones()
            .filter(|(tone, _)| tones <= VOICES || tone.0.steps() != 4)
            .map(|(_, name)| at_or_above(name.class(), LOWEST_STRUM))
            .collect();
        heights.truncate(VOICES);
        if heights.len() < VOICES {
            // Double the lowest an octave up, as a hand on six strings would.
            heights.extend(heights.iter().min().map(|h| h + 12));
        }
        heights.sort_unstable();
        let mut notes = [None; VOICES];
        for (note, height) in notes.iter_mut().zip(heights) {
            *note = Some(Height(f64::from(height)));
        }
        Self { notes, up, chuck }
    }
}

/// A string with what it waits for.
#[derive(Debug, Clone)]
struct Voice {
    rate: f64,
    guide: Waveguide,
    state: StringState,
    /// Samples until the next stroke, its pitch, strength and damping.
    waiting: Option<(usize, Hertz, f64, Option<Seconds>)>,
    /// The plucking place as a part of the period.
    place: f64,
}

impl Voice {
    fn new(rate: SampleRate, place: f64) -> Self {
        let state = state(Hertz(110.0), None);
        Self {
            rate: rate.0,
            guide: Waveguide::new(rate, &state),
            state,
            waiting: None,
            place,
        }
    }

    fn run(&mut self, table: &Table, out: &mut [f32; STEP]) {
        let mut stroke = None;
        match self.waiting {
            Some((after, pitch, strength, damping)) if after < STEP => {
                let period = self.rate / pitch.0;
                let made = Stroke::new(
                    strength,
                    Finger::Thumb,
                    Touch::Plain,
                    self.place * period,
                    period,
                    self.rate,
                );
                stroke = Some((after, made));
                (self.state, self.waiting) = (state(pitch, damping), None);
            }
            Some((after, ..)) => {
                if let Some(w) = &mut self.waiting {
                    w.0 = after - STEP;
                }
            }
            None => {}
        }
        self.guide.run(table, &self.state, stroke.as_slice(), out);
    }

    fn silence(&mut self) {
        self.guide.silence();
        self.waiting = None;
    }

    fn is_at_rest(&self) -> bool {
        self.guide.is_at_rest() && self.waiting.is_none()
    }
}

fn state(pitch: Hertz, damping: Option<Seconds>) -> StringState {
    StringState {
        pitch,
        decay: Material::Wound.decay(pitch),
        damping,
        stiffness: Stiffness::NONE,
        to_pickup: Seconds(0.16 / pitch.0),
    }
}

/// The bass: one note at a time.
#[derive(Debug, Clone)]
pub(super) struct Bass {
    table: Table,
    voice: Voice,
    /// A low-pass that takes the pick's edge off.
    soft: f32,
    softness: f32,
}

impl Bass {
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            table: Table::new(),
            voice: Voice::new(rate, 0.30),
            soft: 0.0,
            softness: one_pole(1_100.0, rate) as f32,
        }
    }

    pub(super) fn pluck(&mut self, height: Height, strength: f64, sample: usize) {
        self.voice.waiting = Some((sample, height.hertz(), strength, None));
    }

    pub(super) fn stop(&mut self) {
        self.voice.state.damping = Some(STOPPED);
    }

    pub(super) fn silence(&mut self) {
        self.voice.silence();
        self.soft = 0.0;
    }

    pub(super) fn is_at_rest(&self) -> bool {
        self.voice.is_at_rest()
    }

    pub(super) fn run(&mut self, out: &mut [f32; STEP]) {
        out.fill(0.0);
        self.voice.run(&self.table, out);
        soften(out, &mut self.soft, self.softness, BASS_LEVEL);
    }
}

/// The rhythm guitar.
#[derive(Debug, Clone)]
pub(super) struct Guitar {
    rate: SampleRate,
    table: Table,
    voices: [Voice; VOICES],
    soft: f32,
    softness: f32,
}

impl Guitar {
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate,
            table: Table::new(),
            voices: std::array::from_fn(|_| Voice::new(rate, 0.24)),
            soft: 0.0,
            softness: one_pole(3_200.0, rate) as f32,
        }
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn strum(&mut self, strum: &Strum, strength: f64, sample: usize) {
        let apart = self.rate.samples(BETWEEN_STRINGS) as usize;
        let damping = strum.chuck.then_some(CHUCKED);
        for (i, (voice, note)) in self.voices.iter_mut().zip(strum.notes).enumerate() {
            let order = if strum.up { VOICES - 1 - i } else { i };
            voice.waiting = note.map(|h| (sample + order * apart, h.hertz(), strength, damping));
            if note.is_none() {
                voice.state.damping = Some(STOPPED);
            }
        }
    }

    pub(super) fn stop(&mut self) {
        for voice in &mut self.voices {
            voice.state.damping = Some(STOPPED);
            voice.waiting = None;
        }
    }

    pub(super) fn silence(&mut self) {
        self.voices.iter_mut().for_each(Voice::silence);
        self.soft = 0.0;
    }

    pub(super) fn is_at_rest(&self) -> bool {
        self.voices.iter().all(Voice::is_at_rest)
    }

    pub(super) fn run(&mut self, out: &mut [f32; STEP]) {
        out.fill(0.0);
        for voice in &mut self.voices {
            voice.run(&self.table, out);
        }
        soften(out, &mut self.soft, self.softness, STRUM_LEVEL);
    }
}

/// The speed of a one-pole low-pass at `hertz`.
fn one_pole(hertz: f64, rate: SampleRate) -> f64 {
    1.0 - (-std::f64::consts::TAU * hertz / rate.0).exp()
}

fn soften(out: &mut [f32; STEP], state: &mut f32, speed: f32, level: f32) {
    for sample in out.iter_mut() {
        *state += speed * (*sample - *state);
        if state.abs() < 1e-15 {
            *state = 0.0;
        }
        *sample = level * *state;
    }
}
