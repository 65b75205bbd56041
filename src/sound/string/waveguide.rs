//! One string: a loop of one period with a loss filter, plucked, damped and heard through a pickup.
//!
//! The loop carries the velocity wave. When its length changes, each reading is scaled by sqrt(1 - dD/dt), which
//! keeps the energy: the same wave packed into less time is higher by that factor.
//! Source: Pakarinen, Puputti, Välimäki, "Virtual slide guitar", Computer Music Journal 32(3), 42-54, 2008.
//!
//! The pickup hears the wave going to the bridge and the one coming back from it, one round trip later and turned
//! over: a comb 1 - z^-(2x/c), whose nulls are the partials with a node over the pickup, n = L / x.
//! Source: Paiva, Pakarinen, Välimäki, Journal of the Audio Engineering Society 60(10), 768-782, 2012.
//!
//! Nothing comes round the loop in less time than its length, so a step is run in blocks of at most that: the
//! readings of a block side by side, then the filters one sample after the other.

use super::delay::{LEAST, Line, TAPS, Table};
use super::loss::{Decay, Loss};
use super::period::PhaseHistory;
use super::pluck::Stroke;
use super::stiff::{Dispersion, Stiffness};
use crate::sound::rate::{STEP, SampleRate};
use crate::theory::{Hertz, Seconds};
use std::ops::Range;

/// The lowest pitch a string can take.
const LOWEST: Hertz = Hertz(25.0);

/// The shortest period in samples, so that pickup and interpolation have room.
const SHORTEST: f64 = 16.0;

/// Part of the old vibration that outlives the finger's landing before a new pluck.
const LEFT_AFTER_LANDING: f32 = 0.2;

/// Below this the string is at rest: 140 dB under full scale.
const AT_REST: f32 = 1e-7;

/// A constant far below hearing that keeps numbers out of the slow denormal range. The pickup does not hear it.
const NOTHING: f32 = 1e-20;

/// What is asked of a string at the end of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringState {
    /// Sounding pitch.
    pub pitch: Hertz,
    /// Decay when nothing touches it.
    pub decay: Decay,
    /// Extra damping by hand or finger: to -60 dB in this time; nothing when it rings freely.
    pub damping: Option<Seconds>,
    /// How far the partials are spread.
    pub stiffness: Stiffness,
    /// Round trip between pickup and bridge.
    pub to_pickup: Seconds,
}

/// Quantities that move evenly over one step.
#[derive(Debug, Clone, Copy, Default)]
struct Settings {
    delay: f64,
    gain: f32,
    pole: f32,
    /// The all-passes' coefficient.
    disperse: f32,
    pickup: f64,
}

impl Settings {
    fn towards(self, end: Self) -> Self {
        #[allow(clippy::cast_precision_loss)]
        let n = STEP as f64;
        #[allow(clippy::cast_possible_truncation)]
        let n32 = n as f32;
        Self {
            delay: (end.delay - self.delay) / n,
            gain: (end.gain - self.gain) / n32,
            pole: (end.pole - self.pole) / n32,
            disperse: (end.disperse - self.disperse) / n32,
            pickup: (end.pickup - self.pickup) / n,
        }
    }
}

/// The filters in the loop, and what they were designed for.
#[derive(Debug, Clone, Copy)]
struct Designed {
    period: f64,
    decay: Decay,
    stiffness: Stiffness,
    loss: Loss,
    dispersion: Dispersion,
}

/// What the filters in the loop remember.
#[derive(Debug, Clone, Copy, Default)]
struct Memory {
    lost: f32,
    spread: [f32; 2],
}

/// A stroke on its way into the string.
#[derive(Debug, Clone, Copy)]
struct Entering {
    stroke: Stroke,
    phase: f64,
    step: f64,
}

/// One string.
#[derive(Debug, Clone)]
pub struct Waveguide {
    rate: f64,
    line: Line,
    history: PhaseHistory,
    now: Settings,
    designed: Option<Designed>,
    memory: Memory,
    entering: Option<Entering>,
    /// Samples since the string was last above [`AT_REST`].
    quiet: usize,
}

impl Waveguide {
    /// A string at rest at `pitch`.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub fn new(rate: SampleRate, state: &StringState) -> Self {
        let frequency = state.pitch.0 / rate.0;
        let mut string = Self {
            rate: rate.0,
            line: Line::new((rate.0 / LOWEST.0).ceil() as usize),
            history: PhaseHistory::steady(frequency, STEP as f64),
            now: Settings::default(),
            designed: None,
            memory: Memory::default(),
            entering: None,
            quiet: usize::MAX,
        };
        string.now = string.settings(1.0 / frequency, 1.0 / frequency, state);
        string
    }

    /// Puts a stroke in, beginning with the next sample. It takes one period.
    pub fn pluck(&mut self, stroke: Stroke) {
        self.entering = Some(Entering {
            stroke,
            phase: 0.0,
            step: self.history.frequency(),
        });
        self.quiet = 0;
    }

    /// Whether nothing is heard of it and nothing will be without a pluck.
    #[must_use]
    pub fn is_at_rest(&self) -> bool {
        self.quiet == usize::MAX
    }

    /// Brings it to rest at once (heard as a click if it rings).
    pub fn silence(&mut self) {
        self.line.clear();
        self.memory = Memory::default();
        self.entering = None;
        self.quiet = usize::MAX;
    }

    /// The string's period in samples at the newest setting.
    #[must_use]
    pub fn period(&self) -> f64 {
        1.0 / self.history.frequency()
    }

    /// The filters, designed anew only when the string has changed.
    #[allow(clippy::float_cmp, reason = "the very same number was seen before")]
    fn design(&mut self, period: f64, state: &StringState) -> Designed {
        let (decay, stiffness) = (state.decay, state.stiffness);
        let known = self
            .designed
            .filter(|d| d.period == period && d.decay == decay && d.stiffness == stiffness);
        let designed = known.unwrap_or_else(|| Designed {
            period,
            decay,
            stiffness,
            loss: Loss::design(period, self.rate, decay),
            dispersion: self.designed.map_or_else(
                || Dispersion::design(period, stiffness),
                |d| d.dispersion.followed(period, stiffness),
            ),
        });
        self.designed = Some(designed);
        designed
    }

    fn settings(&mut self, period: f64, loop_length: f64, state: &StringState) -> Settings {
        let Designed { loss, dispersion, .. } = self.design(period, state);
        let damped = state
            .damping
            .map_or(1.0, |t| 10.0_f64.powf(-3.0 * period / (self.rate * t.0)));
        let longest = self.line.longest();
        // A low-pass and its gain, as one-pole: y = gain x + pole y'.
        #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
        Settings {
            delay: (loop_length - loss.delay - dispersion.delay).clamp(LEAST, longest),
            gain: (loss.input * damped) as f32,
            pole: loss.pole as f32,
            disperse: dispersion.coefficient as f32,
            pickup: (state.to_pickup.0 * self.rate).clamp(1.0, longest - 2.0 * LEAST - STEP as f64),
        }
    }

    /// Runs one step of [`STEP`] samples towards `state`, adding what the pickup hears to `out`.
    ///
    /// `strokes` are put in at their sample of the step (0..[`STEP`]).
    #[cfg_attr(target_arch = "wasm32", target_feature(enable = "simd128"))]
    pub fn run(&mut self, table: &Table, state: &StringState, strokes: &[(usize, Stroke)], out: &mut [f32; STEP]) {
        let frequency = (state.pitch.0 / self.rate).clamp(LOWEST.0 / self.rate, 1.0 / SHORTEST);
        self.history.push(frequency);
        let resting = self.is_at_rest();
        if resting && strokes.is_empty() {
            return;
        }
        let end = self.settings(1.0 / frequency, self.history.period(), state);
        if resting {
            self.now = end;
        }
        let by = self.now.towards(end);
        let pickup = self.now.pickup;
        let (put_in, left) = self.strike(strokes, by.delay);
        // What is read in a block must have been pushed before it.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let room = self.now.delay.min(end.delay) as usize - (LEAST as usize - 1);
        let mut done = 0;
        while done < STEP {
            let upto = (done + room).min(STEP);
            self.go_round(table, &by, done..upto, &put_in, &left);
            done = upto;
        }
        self.now = end;
        self.hear(table, pickup, by.pickup, out);
    }

    /// Runs a block of the step round the loop.
    #[inline]
    fn go_round(
        &mut self,
        table: &Table,
        by: &Settings,
        block: Range<usize>,
        put_in: &[f32; STEP],
        left: &[f32; STEP],
    ) {
        let mut wave = [0.0; STEP];
        let count = block.len();
        // While the string stands still, so does the place it is read at.
        if by.delay.abs() > 0.0 {
            for (i, back) in wave.iter_mut().take(count).enumerate() {
                self.now.delay += by.delay;
                *back = self.line.read_on(&table.place(self.now.delay), i);
            }
        } else {
            self.line.read_step(&table.place(self.now.delay), 0, &mut wave);
        }
        let (mut now, mut memory) = (self.now, self.memory);
        let entering = block.clone().zip(put_in[block.clone()].iter().zip(&left[block]));
        for (sample, (_, (put_in, left))) in wave.iter_mut().zip(entering) {
            now.gain += by.gain;
            now.pole += by.pole;
            now.disperse += by.disperse;
            let lost = now.gain * (*sample * left) + NOTHING + now.pole * memory.lost;
            // Two all-passes: each gives a x + x' - a y'.
            let once = now.disperse * lost + memory.lost - now.disperse * memory.spread[0];
            let twice = now.disperse * once + memory.spread[0] - now.disperse * memory.spread[1];
            memory = Memory {
                lost,
                spread: [once, twice],
            };
            *sample = twice + put_in;
        }
        (self.now, self.memory) = (now, memory);
        self.line.push_all(wave.get(..count).unwrap_or_default());
    }

    /// What the pickup hears of the step that has just gone round.
    #[inline]
    fn hear(&mut self, table: &Table, pickup: f64, by: f64, out: &mut [f32; STEP]) {
        let (mut going, mut coming) = ([0.0; STEP], [0.0; STEP]);
        self.line.copy_step(TAPS / 2, &mut going);
        if by.abs() > 0.0 {
            let mut pickup = pickup;
            for (i, coming) in coming.iter_mut().enumerate() {
                pickup += by;
                *coming = self.line.read_ago(&table.place(LEAST + pickup), STEP - 1 - i);
            }
        } else {
            self.line.read_step(&table.place(LEAST + pickup), STEP - 1, &mut coming);
        }
        for (heard, (going, coming)) in out.iter_mut().zip(going.iter().zip(&coming)) {
            *heard += going - coming;
        }
        self.rest_after(&going);
    }

    /// What enters at each sample of the step, and the part of the old vibration that stays.
    #[inline]
    fn strike(&mut self, strokes: &[(usize, Stroke)], lengthening: f64) -> ([f32; STEP], [f32; STEP]) {
        #[allow(clippy::cast_possible_truncation)]
        let keep_energy = (1.0 - lengthening).max(0.0).sqrt() as f32;
        let (mut put_in, mut left) = ([0.0; STEP], [keep_energy; STEP]);
        if self.entering.is_some() || !strokes.is_empty() {
            for (i, (put_in, left)) in put_in.iter_mut().zip(&mut left).enumerate() {
                for (_, stroke) in strokes.iter().filter(|(at, _)| *at == i) {
                    self.pluck(*stroke);
                }
                let (entering, stays) = self.enter();
                *put_in = entering;
                *left *= stays;
            }
        }
        (put_in, left)
    }

    /// What enters at this sample, and the part of the old vibration that stays.
    fn enter(&mut self) -> (f32, f32) {
        let Some(e) = &mut self.entering else {
            return (0.0, 1.0);
        };
        let put_in = e.stroke.at(e.phase);
        // The landing finger takes the old vibration away over the period, gently at both ends.
        let near = (e.phase.min(1.0 - e.phase) * 8.0).min(1.0);
        #[allow(clippy::cast_possible_truncation)]
        let hold = (near * near * (3.0 - 2.0 * near)) as f32;
        e.phase += e.step;
        if e.phase >= 1.0 {
            self.entering = None;
        }
        (put_in, 1.0 - (1.0 - LEFT_AFTER_LANDING) * hold)
    }

    fn rest_after(&mut self, wave: &[f32; STEP]) {
        if self.entering.is_some() || wave.iter().any(|x| x.abs() > AT_REST) {
            self.quiet = 0;
            return;
        }
        self.quiet = self.quiet.saturating_add(STEP);
        #[allow(clippy::cast_precision_loss)]
        if self.quiet as f64 > self.line.longest() {
            self.silence();
        }
    }
}
