//! The amplifier: drive pedal, tone stack, loudspeaker, echo and reverb, in this order.
//!
//! *Invariant:* silence in comes to silence out, at every setting; a change of setting is heard within a step and
//! never as a click louder than the signal.
//!
//! | file | what it is |
//! |---|---|
//! | `drive` | the drive pedal: a soft clipper that does not alias |
//! | `filter` | second-order filters, and the tone stack made of them |
//! | `cabinet` | the loudspeaker |
//! | `echo` | a delay |
//! | `spring` | a reverb like a spring's |

pub mod cabinet;
pub mod drive;
mod echo;
pub mod filter;
mod spring;

use super::mix::Decibels;
use super::score::SampleRate;
use super::string::waveguide::STEP;
use crate::theory::Seconds;
use cabinet::Cabinet;
use drive::Clipper;
use echo::Echo;
use filter::ToneStack;
use serde::{Deserialize, Serialize};
use spring::Spring;

/// Every setting of the amplifier. The amounts of the two shipped sounds are taste, by ear, no source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Amp {
    /// The pedal in front of the amplifier; absent when switched off.
    pub drive: Option<Drive>,
    /// The tone controls.
    pub tone: Tone,
    /// Whether the loudspeaker is heard; without it the sound is that of the bare line.
    pub speaker: bool,
    /// A delay; absent when switched off.
    pub echo: Option<Delay>,
    /// The reverb's level against the dry sound; -90 dB or less is off.
    pub reverb: Decibels,
}

/// The drive pedal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Drive {
    /// Gain into the clipper, 0..=40 dB.
    pub gain: Decibels,
    /// Level after it.
    pub level: Decibels,
}

/// The tone controls, each -12..=12 dB; 0 is flat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct Tone {
    pub bass: Decibels,
    pub middle: Decibels,
    pub treble: Decibels,
}

/// The delay.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Delay {
    /// Between two echoes, 0.02..=1 s.
    pub time: Seconds,
    /// Level of the first echo against the dry sound.
    pub level: Decibels,
    /// Level of each echo against the one before; at most -3 dB, so that they die away.
    pub again: Decibels,
}

impl Amp {
    /// No amplifier: what the pickup hears.
    pub const DIRECT: Self = Self {
        drive: None,
        tone: Tone::FLAT,
        speaker: false,
        echo: None,
        reverb: Decibels(-100.0),
    };

    /// Clean and round, with a little reverb.
    pub const CLEAN: Self = Self {
        drive: None,
        tone: Tone {
            bass: Decibels(1.0),
            middle: Decibels(-2.0),
            treble: Decibels(1.5),
        },
        speaker: true,
        echo: None,
        reverb: Decibels(-15.0),
    };

    /// Driven until it sings, with a short echo.
    pub const DRIVEN: Self = Self {
        drive: Some(Drive {
            gain: Decibels(24.0),
            level: Decibels(-11.0),
        }),
        tone: Tone {
            bass: Decibels(-1.0),
            middle: Decibels(2.0),
            treble: Decibels(0.0),
        },
        speaker: true,
        echo: Some(Delay {
            time: Seconds(0.31),
            level: Decibels(-17.0),
            again: Decibels(-10.0),
        }),
        reverb: Decibels(-19.0),
    };
}

impl Default for Amp {
    fn default() -> Self {
        Self::CLEAN
    }
}

impl Tone {
    /// Nothing raised or cut.
    pub const FLAT: Self = Self {
        bass: Decibels(0.0),
        middle: Decibels(0.0),
        treble: Decibels(0.0),
    };
}

/// The amplifier as it runs.
#[derive(Debug, Clone)]
pub struct Amplifier {
    amp: Amp,
    clipper: Clipper,
    tone: ToneStack,
    cabinet: Cabinet,
    echo: Echo,
    spring: Spring,
    /// Samples since something last came out.
    quiet: usize,
}

/// Quieter than this, all echoes are over: 100 dB under full scale.
const OVER: f32 = 1e-5;

/// Samples of quiet after which nothing more will come: longer than the longest echo and the spring.
const REST_AFTER: usize = 1 << 18;

impl Amplifier {
    /// The amplifier with the default settings.
    #[must_use]
    pub fn new(rate: SampleRate) -> Self {
        let amp = Amp::default();
        let mut amplifier = Self {
            amp,
            clipper: Clipper::new(),
            tone: ToneStack::new(rate),
            cabinet: Cabinet::new(rate),
            echo: Echo::new(rate),
            spring: Spring::new(rate),
            quiet: REST_AFTER,
        };
        amplifier.set(amp);
        amplifier
    }

    /// Takes other settings; numbers outside their range are brought to its end.
    pub fn set(&mut self, amp: Amp) {
        self.amp = amp;
        if let Some(drive) = amp.drive {
            self.clipper.set(drive);
        }
        self.tone.set(amp.tone);
        self.echo.set(amp.echo);
        self.spring.set(amp.reverb);
    }

    /// Whether nothing is heard of it, nor will be without a signal.
    #[must_use]
    pub fn is_at_rest(&self) -> bool {
        self.quiet >= REST_AFTER
    }

    /// Ends every echo at once.
    pub fn silence(&mut self) {
        self.clipper.silence();
        self.tone.silence();
        self.cabinet.silence();
        self.echo.silence();
        self.spring.silence();
        self.quiet = REST_AFTER;
    }

    /// Runs one step, in place.
    pub fn run(&mut self, signal: &mut [f32; STEP]) {
        let silent = signal.iter().all(|x| x.abs() < OVER * 0.01);
        if silent && self.is_at_rest() {
            signal.fill(0.0);
            return;
        }
        if self.amp.drive.is_some() {
            self.clipper.run(signal);
        }
        self.tone.run(signal);
        if self.amp.speaker {
            self.cabinet.run(signal);
        }
        if self.amp.echo.is_some() {
            self.echo.run(signal);
        }
        if self.amp.reverb.gain() > 0.0 {
            self.spring.run(signal);
        }
        if signal.iter().any(|x| x.abs() > OVER) || !silent {
            self.quiet = 0;
        } else {
            self.quiet += STEP;
            if self.is_at_rest() {
                self.silence();
            }
        }
    }
}
