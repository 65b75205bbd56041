//! A reverb like a spring's: a chirp that comes again, darker each time.
//!
//! A spring is dispersive: low frequencies below its transition run along it faster than high ones, so a click
//! becomes a chirp. A chain of stretched all-passes (c + z^-k) / (1 + c z^-k) does the same up to rate / 2k; k is
//! a multiple of four, so that four samples side by side never wait for each other.
//! Source of the structure: Välimäki, Parker, Abel, "Parametric spring reverberation effect", Journal of the Audio
//! Engineering Society 58(7/8), 2010. Two springs of different length, in parallel; the amounts are by ear.

use super::settings::Reverb;
use super::switch::way;
use crate::sound::mix::Ramp;
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::Seconds;

/// All-passes in one spring.
const CHAIN: usize = 14;
/// Samples that are run side by side.
const LANES: usize = 4;
/// The chirp ends near this frequency, in hertz: exactly there at 48 kHz.
const TRANSITION: f64 = 6000.0;
/// The longest stretch in lanes, for 192 kHz.
const LONGEST: usize = 4;
/// The all-passes' coefficient.
const COEFFICIENT: f32 = 0.6;
/// The round trip along each spring.
const TRIPS: [Seconds; 2] = [Seconds(0.056), Seconds(0.067)];
/// How much of the way to a new sample is gone in one at 48 kHz: dark above about 4 kHz.
const DARKER: f32 = 0.4;
/// A constant far below hearing that keeps numbers out of the slow denormal range.
const NOTHING: f32 = 1e-18;
/// Spring by spring, the sign with which it is heard.
const SIGNS: [f32; 2] = [1.0, -1.0];

/// The reverb as it runs.
#[derive(Debug, Clone)]
pub(super) struct Spring {
    rate: SampleRate,
    springs: [Coil; 2],
    /// What enters springs at rest swells up, or they would tell of it as of a blow.
    entering: Ramp,
    level: Ramp,
}

impl Spring {
    /// A reverb at rest, unheard.
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate,
            springs: TRIPS.map(|trip| Coil::new(rate, trip)),
            entering: Ramp::at(0.0),
            level: Ramp::at(0.0),
        }
    }

    /// Turns the knobs.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn set(&mut self, reverb: Option<Reverb>) {
        let way = way(self.rate);
        let Some(reverb) = reverb else {
            self.level.go(0.0, way);
            return;
        };
        if self.is_out() {
            self.silence();
            self.entering = Ramp::at(0.0);
            self.entering.go(1.0, way);
        }
        self.level.go(reverb.level.gain() as f32, way);
        for (coil, trip) in self.springs.iter_mut().zip(TRIPS) {
            // To -60 dB after the decay's time: by this much in each round trip.
            coil.left.go(10.0_f64.powf(-3.0 * trip.0 / reverb.decay.0) as f32, way);
        }
    }

    /// Whether nothing is heard of it, nor will be until it is set.
    pub(super) fn is_out(&self) -> bool {
        self.level.is_silent()
    }

    /// Brings the springs to rest.
    pub(super) fn silence(&mut self) {
        self.springs.iter_mut().for_each(Coil::silence);
    }

    /// Takes its new place at once, while nothing sounds.
    pub(super) fn arrive(&mut self) {
        self.entering.arrive();
        self.level.arrive();
        self.springs.iter_mut().for_each(|coil| coil.left.arrive());
    }

    /// Adds the reverb to one step.
    #[cfg_attr(target_arch = "wasm32", target_feature(enable = "simd128"))]
    pub(super) fn run(&mut self, signal: &mut [f32; STEP]) {
        let mut wet = [0.0; STEP];
        let mut entering = *signal;
        entering.iter_mut().for_each(|x| *x *= self.entering.next());
        for (coil, sign) in self.springs.iter_mut().zip(SIGNS) {
            let heard = coil.run(&entering);
            wet.iter_mut().zip(heard).for_each(|(w, h)| *w += sign * h);
        }
        for (sample, wet) in signal.iter_mut().zip(wet) {
            *sample += self.level.next() * wet;
        }
    }
}

/// One spring.
#[derive(Debug, Clone)]
struct Coil {
    line: Vec<f32>,
    write: usize,
    chain: [Stretched; CHAIN],
    /// The all-passes' stretch in lanes: 1, 2 or 4.
    far: usize,
    /// The part that is left after each round trip.
    left: Ramp,
    dark: f32,
}

/// One step, in lanes.
type Lanes = [[f32; LANES]; STEP / LANES];

/// What one all-pass remembers: what went in and came out, the stretch before.
#[derive(Debug, Clone, Copy)]
struct Stretched {
    input: [[f32; LANES]; LONGEST],
    output: [[f32; LANES]; LONGEST],
}

impl Stretched {
    const SILENT: Self = Self {
        input: [[0.0; LANES]; LONGEST],
        output: [[0.0; LANES]; LONGEST],
    };

    /// Runs one step, in place, with a delay of `FAR` lanes inside, a divisor of the lanes in a step.
    #[inline]
    fn run<const FAR: usize>(&mut self, signal: &mut Lanes) {
        for round in signal.chunks_exact_mut(FAR) {
            for ((now, input), output) in round.iter_mut().zip(&mut self.input).zip(&mut self.output) {
                let y: [f32; LANES] = std::array::from_fn(|k| COEFFICIENT * (now[k] - output[k]) + input[k]);
                (*input, *output, *now) = (*now, y, y);
            }
        }
    }
}

impl Coil {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn new(rate: SampleRate, trip: Seconds) -> Self {
        // At least a step long, so that a step can be run at once.
        let length = (rate.samples(trip) as usize).max(STEP);
        Self {
            line: vec![0.0; length],
            write: 0,
            chain: [Stretched::SILENT; CHAIN],
            far: match rate.0 / (2.0 * TRANSITION * LANES as f64) {
                far if far < 1.5 => 1,
                far if far < 3.0 => 2,
                _ => LONGEST,
            },
            left: Ramp::at(0.0),
            dark: 0.0,
        }
    }

    fn silence(&mut self) {
        self.line.fill(0.0);
        self.chain.fill(Stretched::SILENT);
        self.dark = 0.0;
    }

    /// What comes out of the far end during one step while `signal` goes in.
    #[inline]
    fn run(&mut self, signal: &[f32; STEP]) -> [f32; STEP] {
        let mut heard = [0.0; STEP];
        let (mut read, length) = (self.write, self.line.len());
        for out in &mut heard {
            *out = self.line.get(read).copied().unwrap_or(0.0);
            read = if read + 1 == length { 0 } else { read + 1 };
        }
        let mut entering: Lanes = [[0.0; LANES]; STEP / LANES];
        for ((slot, x), back) in entering.as_flattened_mut().iter_mut().zip(signal).zip(heard) {
            self.dark += DARKER * (x + self.left.next() * back - self.dark) + NOTHING;
            *slot = self.dark;
        }
        for link in &mut self.chain {
            match self.far {
                1 => link.run::<1>(&mut entering),
                2 => link.run::<2>(&mut entering),
                _ => link.run::<LONGEST>(&mut entering),
            }
        }
        for x in entering.as_flattened() {
            if let Some(slot) = self.line.get_mut(self.write) {
                *slot = *x;
            }
            self.write = if self.write + 1 == length { 0 } else { self.write + 1 };
        }
        heard
    }
}
