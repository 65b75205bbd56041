//! The kit, made of damped tones and noise.
//!
//! Each drum has one voice. A new strike takes over; what still sounded fades within two milliseconds, so that
//! nothing steps. Amounts are by ear: common practice, no source.

use crate::sound::chance::Chance;
use crate::sound::rate::{STEP, SampleRate};
use serde::{Deserialize, Serialize};

/// The drums of the kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Drum {
    Kick,
    Snare,
    Rim,
    Hat,
    Open,
    Ride,
    Crash,
    Tom,
}

impl Drum {
    const ALL: [Self; 8] = [
        Self::Kick,
        Self::Snare,
        Self::Rim,
        Self::Hat,
        Self::Open,
        Self::Ride,
        Self::Crash,
        Self::Tom,
    ];

    /// The drum of that name in a pattern.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|d| format!("{d:?}").eq_ignore_ascii_case(name))
    }

    /// How it is made.
    fn recipe(self) -> Recipe {
        let r = |tone, from: f64, to: f64, tone_s, noise, low: f64, high: f64, noise_s| Recipe {
            tone,
            from,
            to,
            tone_s,
            noise,
            low,
            high,
            noise_s,
        };
        match self {
            Self::Kick => r(0.9, 120.0, 48.0, 0.32, 0.10, 800.0, 3_000.0, 0.02),
            Self::Snare => r(0.32, 230.0, 185.0, 0.16, 0.34, 700.0, 7_000.0, 0.22),
            Self::Rim => r(0.30, 1_650.0, 1_600.0, 0.05, 0.12, 1_500.0, 5_000.0, 0.03),
            Self::Hat => r(0.0, 100.0, 100.0, 0.02, 0.20, 6_500.0, 14_000.0, 0.07),
            Self::Open => r(0.0, 100.0, 100.0, 0.02, 0.18, 6_000.0, 14_000.0, 0.50),
            Self::Ride => r(0.035, 3_350.0, 3_350.0, 0.60, 0.09, 5_000.0, 12_000.0, 0.55),
            Self::Crash => r(0.0, 100.0, 100.0, 0.02, 0.24, 3_000.0, 11_000.0, 1.6),
            Self::Tom => r(0.7, 150.0, 98.0, 0.40, 0.08, 600.0, 3_000.0, 0.03),
        }
    }
}

/// A drum as a gliding tone and a band of noise, each with its time to -60 dB.
#[derive(Debug, Clone, Copy)]
struct Recipe {
    tone: f64,
    from: f64,
    to: f64,
    tone_s: f64,
    noise: f64,
    low: f64,
    high: f64,
    noise_s: f64,
}

/// How fast a tone falls from its first to its last pitch, in seconds.
const FALL_SECONDS: f64 = 0.03;
/// How fast what still sounds goes when the drum is struck again.
const TAKE_OVER_SECONDS: f64 = 0.002;
/// How fast a held cymbal goes, to -60 dB.
const HELD_SECONDS: f64 = 0.08;
/// Level that puts the kit behind the solo.
const LEVEL: f64 = 0.5;
/// Below this a voice is at rest.
const AT_REST: f64 = 1e-6;

#[derive(Debug, Clone)]
struct Voice {
    recipe: Recipe,
    waiting: Option<(usize, f64)>,
    /// The tone, a turning vector.
    x: f64,
    y: f64,
    turn: (f64, f64),
    since: f64,
    tone_decay: f64,
    noise: f64,
    noise_decay: f64,
    /// States of the noise band's two filters, and their speeds.
    under: f64,
    over: f64,
    low: f64,
    high: f64,
    last: f64,
    left_over: f64,
}

impl Voice {
    fn new(recipe: Recipe, rate: f64) -> Self {
        let speed = |hertz: f64| 1.0 - (-std::f64::consts::TAU * hertz / rate).exp();
        Self {
            recipe,
            waiting: None,
            x: 0.0,
            y: 0.0,
            turn: (1.0, 0.0),
            since: 0.0,
            tone_decay: decay(recipe.tone_s, rate),
            noise: 0.0,
            noise_decay: decay(recipe.noise_s, rate),
            under: 0.0,
            over: 0.0,
            low: speed(recipe.low),
            high: speed(recipe.high.min(0.45 * rate)),
            last: 0.0,
            left_over: 0.0,
        }
    }

    fn is_at_rest(&self) -> bool {
        self.waiting.is_none()
            && self.x.abs() + self.y.abs() + self.noise + self.left_over.abs() + self.last.abs() < AT_REST
    }

    fn begin(&mut self, strength: f64, rate: f64) {
        self.left_over += self.last;
        (self.x, self.y) = (self.recipe.tone * strength, 0.0);
        self.noise = self.recipe.noise * strength;
        self.noise_decay = decay(self.recipe.noise_s, rate);
        self.since = 0.0;
        (self.under, self.over) = (0.0, 0.0);
        self.aim(rate);
    }

    /// Sets the tone's speed for the time since the strike.
    fn aim(&mut self, rate: f64) {
        let fallen = (-self.since / FALL_SECONDS).exp();
        let hertz = self.recipe.to + (self.recipe.from - self.recipe.to) * fallen;
        let angle = std::f64::consts::TAU * hertz / rate;
        self.turn = (angle.cos() * self.tone_decay, angle.sin() * self.tone_decay);
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    fn run(&mut self, chance: &mut Chance, rate: f64, out: &mut [f32; STEP]) {
        if self.is_at_rest() {
            self.last = 0.0;
            return;
        }
        self.aim(rate);
        let fade = decay(TAKE_OVER_SECONDS * 3.0, rate);
        for (i, sample) in out.iter_mut().enumerate() {
            if let Some((at, strength)) = self.waiting
                && at == i
            {
                self.waiting = None;
                self.begin(strength, rate);
            }
            let (x, y) = (self.x, self.y);
            self.x = x * self.turn.0 - y * self.turn.1;
            self.y = x * self.turn.1 + y * self.turn.0;
            self.over += self.high * (chance.even() * self.noise - self.over);
            self.under += self.low * (self.over - self.under);
            self.noise *= self.noise_decay;
            self.last = self.y + (self.over - self.under);
            self.left_over *= fade;
            *sample += (LEVEL * (self.last + self.left_over)) as f32;
        }
        self.since += STEP as f64 / rate;
        if self.left_over.abs() < 1e-12 {
            self.left_over = 0.0;
        }
    }
}

fn decay(seconds: f64, rate: f64) -> f64 {
    10.0_f64.powf(-3.0 / (seconds * rate))
}

/// All drums.
#[derive(Debug, Clone)]
pub(super) struct Kit {
    rate: f64,
    chance: Chance,
    voices: [Voice; Drum::ALL.len()],
}

impl Kit {
    pub(super) fn new(rate: SampleRate) -> Self {
        Self {
            rate: rate.0,
            chance: Chance::new(7),
            voices: Drum::ALL.map(|d| Voice::new(d.recipe(), rate.0)),
        }
    }

    pub(super) fn strike(&mut self, drum: Drum, strength: f64, sample: usize) {
        if drum == Drum::Hat {
            self.hold(Drum::Open);
        }
        if let Some(voice) = self.voices.get_mut(drum as usize) {
            voice.waiting = Some((sample, strength));
        }
    }

    pub(super) fn stop_cymbals(&mut self) {
        for drum in [Drum::Open, Drum::Ride, Drum::Crash] {
            self.hold(drum);
        }
    }

    fn hold(&mut self, drum: Drum) {
        let quick = decay(HELD_SECONDS, self.rate);
        if let Some(voice) = self.voices.get_mut(drum as usize) {
            voice.noise_decay = quick;
        }
    }

    pub(super) fn silence(&mut self) {
        self.voices = Drum::ALL.map(|d| Voice::new(d.recipe(), self.rate));
    }

    pub(super) fn is_at_rest(&self) -> bool {
        self.voices.iter().all(Voice::is_at_rest)
    }

    pub(super) fn run(&mut self, out: &mut [f32; STEP]) {
        for voice in &mut self.voices {
            voice.run(&mut self.chance, self.rate, out);
        }
    }
}
