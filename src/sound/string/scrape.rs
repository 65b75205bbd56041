//! The bar's noise on a wound string: every winding that passes under it is a small blow.
//!
//! Noise in a band around the rate at which windings pass, louder the faster the bar moves; none while it stands.
//! Source: Pakarinen, Puputti and Välimäki, "Virtual slide guitar", Computer Music Journal 32(3), 42-54, 2008, which
//! makes it of noise and a filter that follow the speed so. Amounts are by ear, no source.

use crate::sound::chance::Chance;
use crate::sound::rate::{STEP, SampleRate};
use crate::sound::string::stiff::CORE;
use crate::steel::Gauge;

/// The level at [`USUAL`] speed, against a firm pluck: it is felt rather than heard.
const LEVEL: f64 = 0.006;
/// A slide of three frets in a third of a second, in metres a second.
const USUAL: f64 = 0.25;
/// How much louder than at that speed it gets at most.
const MOST: f64 = 3.0;
/// Slower than this the bar stands; faster than this it was lifted and put down. In metres a second.
const SLOWEST: f64 = 1e-4;
const FASTEST: f64 = 4.0;
/// The narrowness of the band.
const Q: f64 = 2.5;
/// The lowest band, in hertz, and the highest as a part of the sample rate.
const LOWEST: f64 = 60.0;
const HIGHEST: f64 = 0.35;
/// How fast the level follows the speed, in seconds.
const FOLLOW: f64 = 0.006;
/// Below this it is over.
const OVER: f64 = 1e-7;

/// The noise of one string.
#[derive(Debug, Clone)]
pub(super) struct Scrape {
    rate: f64,
    seed: u64,
    chance: Chance,
    /// The winding wire's diameter, in metres.
    winding: f64,
    level: f64,
    /// The band's centre as the tangent of half its angle, and the filter's two integrators.
    tangent: f64,
    state: [f64; 2],
}

impl Scrape {
    /// A wound string of `gauge` under a bar that stands.
    pub(super) fn new(rate: SampleRate, gauge: Gauge, seed: u64) -> Self {
        Self {
            rate: rate.0,
            seed,
            chance: Chance::new(seed),
            winding: gauge.millimetres().0 / 1000.0 * (1.0 - CORE) / 2.0,
            level: 0.0,
            tangent: 0.0,
            state: [0.0; 2],
        }
    }

    /// Ends it, and begins chance anew.
    pub(super) fn silence(&mut self) {
        self.chance = Chance::new(self.seed);
        (self.level, self.state) = (0.0, [0.0; 2]);
    }

    /// Adds one step with the bar moving at `speed`, in metres a second.
    #[allow(clippy::cast_possible_truncation)]
    pub(super) fn run(&mut self, speed: f64, out: &mut [f32; STEP]) {
        let speed = speed.abs();
        let moves = (SLOWEST..FASTEST).contains(&speed);
        if moves {
            let centre = (speed / self.winding).clamp(LOWEST, HIGHEST * self.rate);
            self.tangent = (std::f64::consts::PI * centre / self.rate).tan();
        } else if self.level < OVER {
            (self.level, self.state) = (0.0, [0.0; 2]);
            return;
        }
        let wanted = if moves { LEVEL * (speed / USUAL).min(MOST) } else { 0.0 };
        let follow = 1.0 / (FOLLOW * self.rate);
        let narrow = 1.0 / Q;
        let share = 1.0 / (1.0 + self.tangent * (self.tangent + narrow));
        for sample in out {
            self.level += follow * (wanted - self.level);
            // A state-variable filter with trapezoidal integrators, steady however its centre moves.
            let high = (self.chance.even() - (narrow + self.tangent) * self.state[0] - self.state[1]) * share;
            let band = self.tangent * high + self.state[0];
            let low = self.tangent * band + self.state[1];
            self.state = [2.0 * band - self.state[0], 2.0 * low - self.state[1]];
            *sample += (self.level * band) as f32;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: f64 = 48_000.0;

    fn scraped(speed: impl Fn(f64) -> f64, seconds: f64) -> Vec<f32> {
        let mut scrape = Scrape::new(SampleRate(RATE), Gauge(30.0), 8);
        let mut sound = Vec::new();
        while (sound.len() as f64) < seconds * RATE {
            let mut step = [0.0; STEP];
            scrape.run(speed(sound.len() as f64 / RATE), &mut step);
            sound.extend(step);
        }
        sound
    }

    /// Power around `frequency`: of Hann windows of 1024 samples, averaged over the whole sound.
    fn power(sound: &[f32], frequency: f64) -> f64 {
        let windows = sound.chunks_exact(1024);
        let count = windows.len() as f64;
        let turn = std::f64::consts::TAU * frequency / RATE;
        windows
            .map(|window| {
                let (mut re, mut im) = (0.0, 0.0);
                for (i, x) in window.iter().enumerate() {
                    let i = i as f64;
                    let hann = 0.5 - 0.5 * (std::f64::consts::TAU * i / 1024.0).cos();
                    re += hann * f64::from(*x) * (turn * i).cos();
                    im += hann * f64::from(*x) * (turn * i).sin();
                }
                re * re + im * im
            })
            .sum::<f64>()
            / count
    }

    #[test]
    fn the_noise_lies_around_the_rate_at_which_windings_pass() {
        for speed in [0.1, 0.25, 0.8] {
            let sound = scraped(|_| speed, 2.0);
            // A .030 string: 0.762 mm, of which the core is half, so that the wire is a quarter.
            let passing = speed / (0.000_762 / 4.0);
            let middle = power(&sound, passing);
            for factor in [0.25, 0.4, 2.5, 4.0] {
                let off = 10.0 * (middle / power(&sound, factor * passing)).log10();
                assert!(
                    off > 6.0,
                    "{speed} m/s: only {off:.1} dB less at {factor} times {passing:.0} Hz"
                );
            }
        }
    }

    #[test]
    fn it_grows_with_the_speed_and_a_bar_that_stands_is_silent() {
        let level = |speed: f64| {
            let sound = scraped(|_| speed, 1.0);
            let power: f64 = sound.iter().map(|x| f64::from(*x).powi(2)).sum();
            10.0 * (power / sound.len() as f64).max(1e-30).log10()
        };
        assert!(level(0.05) + 6.0 < level(0.2) && level(0.2) + 3.0 < level(0.5));
        // 40 dB and more under a firm pluck, which is about 1.
        assert!(level(0.25) < -46.0, "{}", level(0.25));
        assert!(level(0.0) < -200.0 && level(50.0) < -200.0);
        let stopped = scraped(|t| if t < 0.2 { 0.3 } else { 0.0 }, 0.5);
        assert!(stopped[4_000..9_000].iter().any(|x| x.abs() > 1e-4));
        assert!(
            stopped[16_000..].iter().all(|x| *x == 0.0),
            "over soon after the bar stands"
        );
    }

    #[test]
    fn the_same_seed_scrapes_the_same() {
        assert_eq!(scraped(|_| 0.3, 0.1), scraped(|_| 0.3, 0.1));
    }
}
