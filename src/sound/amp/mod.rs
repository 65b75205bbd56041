//! The amplifier: drive pedal, tone stack, loudspeaker, echo and reverb, in this order.
//!
//! *Invariant:* silence in comes to silence out, at every setting; a change of setting is heard within a step and
//! never as a click louder than the signal.
//!
//! | file | what it is |
//! |---|---|
//! | `settings` | every knob, with unit and range |
//! | `switch` | a stage going in and out without a click |
//! | `drive` | the drive pedal: a soft clipper that does not alias |
//! | `filter` | second-order filters, and the tone stack made of them |
//! | `cabinet` | the loudspeaker |
//! | `echo` | a delay |
//! | `spring` | a reverb like a spring's |

pub mod cabinet;
pub mod drive;
mod echo;
pub mod filter;
pub mod settings;
mod spring;
mod switch;

use super::rate::{STEP, SampleRate};
use cabinet::Cabinet;
use drive::Clipper;
use echo::Echo;
use filter::ToneStack;
pub use settings::{Amp, Delay, Drive, Reverb, Tone};
use spring::Spring;
use switch::Switch;

/// The amplifier as it runs.
#[derive(Debug, Clone)]
pub struct Amplifier {
    clipper: Clipper,
    tone: ToneStack,
    cabinet: Cabinet,
    echo: Echo,
    spring: Spring,
    driven: Switch,
    speaking: Switch,
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
        let mut amplifier = Self {
            clipper: Clipper::new(),
            tone: ToneStack::new(rate),
            cabinet: Cabinet::new(rate),
            echo: Echo::new(rate),
            spring: Spring::new(rate),
            driven: Switch::new(rate),
            speaking: Switch::new(rate),
            quiet: REST_AFTER,
        };
        amplifier.set(Amp::default());
        amplifier
    }

    /// Takes other settings; numbers outside their range are brought to its end. While something sounds they
    /// are reached smoothly, within a few hundredths of a second.
    pub fn set(&mut self, amp: Amp) {
        let amp = amp.kept();
        if let Some(drive) = amp.drive {
            self.clipper.set(drive);
        }
        if self.driven.turn(amp.drive.is_some()) {
            self.clipper.silence();
        }
        self.tone.set(amp.tone);
        if self.speaking.turn(amp.speaker) {
            self.cabinet.silence();
        }
        self.echo.set(amp.echo);
        self.spring.set(amp.reverb);
        if self.is_at_rest() {
            self.silence();
        }
    }

    /// Whether nothing is heard of it, nor will be without a signal.
    #[must_use]
    pub fn is_at_rest(&self) -> bool {
        self.quiet >= REST_AFTER
    }

    /// Ends every echo at once, and takes every setting as it is wanted.
    pub fn silence(&mut self) {
        self.clipper.silence();
        self.tone.silence();
        self.tone.arrive();
        self.cabinet.silence();
        self.echo.silence();
        self.echo.arrive();
        self.spring.silence();
        self.spring.arrive();
        self.driven.arrive();
        self.speaking.arrive();
        self.quiet = REST_AFTER;
    }

    /// Runs one step, in place.
    pub fn run(&mut self, signal: &mut [f32; STEP]) {
        let silent = signal.iter().all(|x| x.abs() < OVER * 0.01);
        if silent && self.is_at_rest() {
            signal.fill(0.0);
            return;
        }
        self.driven.run(signal, |s| self.clipper.run(s));
        self.tone.run(signal);
        self.speaking.run(signal, |s| self.cabinet.run(s));
        if !self.echo.is_out() {
            self.echo.run(signal);
        }
        if !self.spring.is_out() {
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
