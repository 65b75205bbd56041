//! One string: a loop of one period with a loss filter, plucked, damped and heard through a pickup.
//!
//! The loop carries the velocity wave. When its length changes, each reading is scaled by sqrt(1 - dD/dt), which
//! keeps the energy: the same wave packed into less time is higher by that factor.
//! Source: Pakarinen, Puputti, Välimäki, "Virtual slide guitar", Computer Music Journal 32(3), 42-54, 2008.
//!
//! The pickup hears the wave going to the bridge and the one coming back from it, one round trip later and turned
//! over: a comb 1 - z^-(2x/c), whose nulls are the partials with a node over the pickup, n = L / x.
//! Source: Paiva, Pakarinen, Välimäki, Journal of the Audio Engineering Society 60(10), 768-782, 2012.

use super::delay::{LEAST, Line, TAPS, Table};
use super::loss::{Decay, Loss};
use super::period::PhaseHistory;
use super::pluck::Stroke;
use crate::sound::score::SampleRate;
use crate::theory::{Hertz, Seconds};

/// Samples between two settings of pitch and loss; everything moves in straight lines between.
pub const STEP: usize = 32;

/// The lowest pitch a string can take.
const LOWEST: Hertz = Hertz(25.0);

/// The shortest period in samples, so that pickup and interpolation have room.
const SHORTEST: f64 = 16.0;

/// Part of the old vibration that outlives the finger's landing before a new pluck.
const LEFT_AFTER_LANDING: f32 = 0.2;

/// Below this the string is at rest: 140 dB under full scale.
const AT_REST: f32 = 1e-7;

/// Smaller than this is nothing: keeps numbers out of the slow denormal range.
const NOTHING: f32 = 1e-15;

/// What is asked of a string at the end of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringState {
    /// Sounding pitch.
    pub pitch: Hertz,
    /// Decay when nothing touches it.
    pub decay: Decay,
    /// Extra damping by hand or finger: to -60 dB in this time; nothing when it rings freely.
    pub damping: Option<Seconds>,
    /// Round trip between pickup and bridge.
    pub to_pickup: Seconds,
}

/// Quantities that move evenly over one step.
#[derive(Debug, Clone, Copy, Default)]
struct Settings {
    delay: f64,
    gain: f32,
    pole: f32,
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
            pickup: (end.pickup - self.pickup) / n,
        }
    }

    fn advance(&mut self, by: &Self) {
        self.delay += by.delay;
        self.gain += by.gain;
        self.pole += by.pole;
        self.pickup += by.pickup;
    }
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
    /// The newest loss and what it was designed for.
    designed: Option<(f64, Decay, Loss)>,
    filtered: f32,
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
            filtered: 0.0,
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
        self.filtered = 0.0;
        self.entering = None;
        self.quiet = usize::MAX;
    }

    /// The string's period in samples at the newest setting.
    #[must_use]
    pub fn period(&self) -> f64 {
        1.0 / self.history.frequency()
    }

    /// The loss, designed anew only when the string has changed.
    fn loss(&mut self, period: f64, decay: Decay) -> Loss {
        match self.designed {
            #[allow(clippy::float_cmp, reason = "the very same number was seen before")]
            Some((for_period, for_decay, loss)) if for_period == period && for_decay == decay => loss,
            _ => {
                let loss = Loss::design(period, self.rate, decay);
                self.designed = Some((period, decay, loss));
                loss
            }
        }
    }

    fn settings(&mut self, period: f64, loop_length: f64, state: &StringState) -> Settings {
        let loss = self.loss(period, state.decay);
        let damped = state
            .damping
            .map_or(1.0, |t| 10.0_f64.powf(-3.0 * period / (self.rate * t.0)));
        // A low-pass and its gain, as one-pole: y = gain x + pole y'.
        #[allow(clippy::cast_possible_truncation)]
        Settings {
            delay: (loop_length - loss.delay).clamp(LEAST, self.line.longest()),
            gain: (loss.input * damped) as f32,
            pole: loss.pole as f32,
            pickup: (state.to_pickup.0 * self.rate).clamp(1.0, self.line.longest() - 2.0 * LEAST),
        }
    }

    /// Runs one step of [`STEP`] samples towards `state`, adding what the pickup hears to `out`.
    ///
    /// `strokes` are put in at their sample of the step (0..[`STEP`]).
    #[cfg_attr(target_arch = "wasm32", target_feature(enable = "simd128"))]
    pub fn run(&mut self, table: &Table, state: &StringState, strokes: &[(usize, Stroke)], out: &mut [f32; STEP]) {
        let highest = 1.0 / SHORTEST;
        let frequency = (state.pitch.0 / self.rate).clamp(LOWEST.0 / self.rate, highest);
        self.history.push(frequency);
        if self.is_at_rest() && strokes.is_empty() {
            // Nothing sounds: only the length has to be right when the next stroke comes.
            self.now = self.settings(1.0 / frequency, self.history.period(), state);
            return;
        }
        let end = self.settings(1.0 / frequency, self.history.period(), state);
        let by = self.now.towards(end);
        #[allow(clippy::cast_possible_truncation)]
        let keep_energy = (1.0 - by.delay).max(0.0).sqrt() as f32;
        // While the string stands still, so do the places it is read at.
        let moves = by.delay.abs() > 0.0;
        let pickup_moves = by.pickup.abs() > 0.0;
        let mut back_at = table.place(end.delay);
        let mut pickup_at = table.place(LEAST + end.pickup);
        let mut loudest = 0.0_f32;
        for (i, heard) in out.iter_mut().enumerate() {
            for (_, stroke) in strokes.iter().filter(|(at, _)| *at == i) {
                self.pluck(*stroke);
            }
            self.now.advance(&by);
            let (entering, left) = self.enter();
            if moves {
                back_at = table.place(self.now.delay);
            }
            if pickup_moves {
                pickup_at = table.place(LEAST + self.now.pickup);
            }
            let back = self.line.read_at(&back_at) * keep_energy * left;
            self.filtered = self.now.gain * back + self.now.pole * self.filtered;
            if self.filtered.abs() < NOTHING {
                self.filtered = 0.0;
            }
            let wave = self.filtered + entering;
            self.line.push(wave);
            loudest = loudest.max(wave.abs());
            *heard += self.line.read_whole(TAPS / 2) - self.line.read_at(&pickup_at);
        }
        self.now = end;
        self.rest_after(loudest);
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

    fn rest_after(&mut self, loudest: f32) {
        if loudest > AT_REST || self.entering.is_some() {
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
