//! The stems as the player's parts give them, before they are levelled.

use super::{BLOCK, Brief, Stem, Wave};
use crate::sound::amp::{Amp, Amplifier, drive};
use crate::sound::command::Command;
use crate::sound::mix::Part;
use crate::sound::player::{Parts, Player};
use crate::sound::rate::STEP;
use crate::theory::{Beats, Seconds};

/// How much of the end fades out.
const FADE: Seconds = Seconds(1.0);

/// Where sound is taken off on its way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tap {
    Direct,
    Clean,
    Pedal,
    Driven,
    /// Everything but the steel, on each side.
    Left,
    Right,
}

/// As many as there are of [`Tap`].
const TAPS: usize = 6;

/// Runs the player and sorts what it sounds into stems.
#[derive(Debug)]
pub(super) struct Source {
    player: Player,
    stems: Vec<Stem>,
    gains: [f32; Part::ALL.len()],
    /// The clean amplifier, if a stem needs it.
    clean: Option<Amplifier>,
    /// The drive pedal by itself, and the rest of the driven amplifier behind it.
    pedal: Option<Amplifier>,
    driven: Option<Amplifier>,
    mix_driven: bool,
    lanes: [Lane; TAPS],
    frames: u64,
    done: u64,
    fade: Fade,
}

/// What came off a tap and waits to be given.
#[derive(Debug, Default)]
struct Lane {
    /// Samples still to be dropped, so that what was delayed lies where it belongs.
    late: usize,
    samples: Vec<f32>,
}

impl Source {
    pub(super) fn new(brief: &Brief) -> Self {
        let wants = |stem| brief.stems.contains(&stem);
        let mix = wants(Stem::Mix);
        let driven = wants(Stem::AmpDriven) || (mix && brief.mix_driven);
        let pedal = Amp {
            drive: brief.driven.drive,
            ..Amp::DIRECT
        };
        let rest = Amp {
            drive: None,
            ..brief.driven
        };
        let amplifier = |amp: Amp| {
            let mut amplifier = Amplifier::new(brief.rate);
            amplifier.set(amp);
            // At rest the knobs are where they are set, and do not turn there under the first notes.
            amplifier.silence();
            amplifier
        };
        let mut lanes: [Lane; TAPS] = std::array::from_fn(|_| Lane::default());
        if brief.driven.drive.is_some() {
            for tap in [Tap::Pedal, Tap::Driven] {
                lanes[tap as usize].late = drive::DELAY;
            }
        }
        let mut player = Player::new(brief.rate);
        player.load(brief.score.clone());
        player.set_mix(brief.mix);
        player.command(Command::CountIn { bars: brief.count_in });
        player.play(Beats::ZERO);
        let frames = brief.length().frames;
        Self {
            player,
            stems: brief.stems.clone(),
            gains: brief.mix.gains(),
            clean: (wants(Stem::AmpClean) || (mix && !brief.mix_driven)).then(|| amplifier(brief.clean)),
            pedal: (driven || wants(Stem::DirectDriven)).then(|| amplifier(pedal)),
            driven: driven.then(|| amplifier(rest)),
            mix_driven: brief.mix_driven,
            lanes,
            frames,
            done: 0,
            fade: Fade::new(brief.rate.samples(FADE), frames),
        }
    }

    /// How many samples have been given, of all.
    pub(super) fn done(&self) -> (u64, u64) {
        (self.done, self.frames)
    }

    /// Fills `waves` with the next block of each stem; answers whether there was one.
    pub(super) fn next_block(&mut self, waves: &mut Vec<Wave>) -> bool {
        let left = usize::try_from(self.frames - self.done).unwrap_or(usize::MAX);
        let count = left.min(BLOCK);
        if count == 0 {
            return false;
        }
        while self.lanes.iter().any(|lane| lane.samples.len() < count) {
            self.step();
        }
        waves.resize_with(self.stems.len(), Wave::default);
        for (stem, wave) in self.stems.iter().zip(waves.iter_mut()) {
            wave.channels.resize_with(stem.channels(), Vec::new);
            for (side, channel) in [Tap::Left, Tap::Right].into_iter().zip(&mut wave.channels) {
                self.fill(*stem, side, count, channel);
                self.fade.apply(self.done, channel);
            }
        }
        for lane in &mut self.lanes {
            lane.samples.drain(..count);
        }
        self.done += count as u64;
        true
    }

    /// One channel of a stem, from the taps it is made of.
    fn fill(&self, stem: Stem, side: Tap, count: usize, channel: &mut Vec<f32>) {
        let tap = |tap: Tap| self.lanes[tap as usize].samples.get(..count).unwrap_or_default();
        let only = match stem {
            Stem::DirectClean => Tap::Direct,
            Stem::AmpClean => Tap::Clean,
            Stem::DirectDriven => Tap::Pedal,
            Stem::AmpDriven => Tap::Driven,
            Stem::Backing | Stem::Mix => side,
        };
        channel.clear();
        channel.extend_from_slice(tap(only));
        if stem == Stem::Mix {
            let gain = self.gains[Part::Solo.index()];
            let steel = tap(if self.mix_driven { Tap::Driven } else { Tap::Clean });
            for (sample, steel) in channel.iter_mut().zip(steel) {
                *sample += gain * steel;
            }
        }
    }

    /// Runs everything on by one step.
    fn step(&mut self) {
        let parts = self.player.parts();
        let through = |amplifier: &mut Option<Amplifier>, mut signal: [f32; STEP]| {
            if let Some(amplifier) = amplifier {
                amplifier.run(&mut signal);
            }
            signal
        };
        let clean = through(&mut self.clean, parts.steel);
        let pedal = through(&mut self.pedal, parts.steel);
        let driven = through(&mut self.driven, pedal);
        let (left, right) = self.backing(&parts);
        for (lane, signal) in self
            .lanes
            .iter_mut()
            .zip([parts.steel, clean, pedal, driven, left, right])
        {
            let skip = lane.late.min(STEP);
            lane.late -= skip;
            lane.samples.extend_from_slice(&signal[skip..]);
        }
    }

    fn backing(&self, parts: &Parts) -> ([f32; STEP], [f32; STEP]) {
        let (mut left, mut right) = ([0.0; STEP], [0.0; STEP]);
        for (i, (left, right)) in left.iter_mut().zip(&mut right).enumerate() {
            (*left, *right) = parts.backing(i, &self.gains);
        }
        (left, right)
    }
}

/// The end of every stem: half a cosine down to nothing.
#[derive(Debug, Clone, Copy)]
struct Fade {
    from: u64,
    length: f64,
}

impl Fade {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a second's worth of samples
    fn new(length: f64, frames: u64) -> Self {
        Self {
            from: frames.saturating_sub(length.ceil() as u64),
            length: length.max(1.0),
        }
    }

    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
    fn apply(self, first: u64, samples: &mut [f32]) {
        if first + samples.len() as u64 <= self.from {
            return;
        }
        for (n, sample) in (first..).zip(samples) {
            if n >= self.from {
                let part = ((n - self.from) as f64 / self.length).min(1.0);
                *sample *= (0.5 + 0.5 * (std::f64::consts::PI * part).cos()) as f32;
            }
        }
    }
}
