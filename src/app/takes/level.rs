//! How loud the microphone is.

use crate::sound::{Decibels, SampleRate};
use crate::theory::Seconds;

/// From this part of full scale on, a sample counts as cut off.
const FULL: f32 = 0.999;
/// Louder than this there is little room for a harder pluck.
const HOT: Decibels = Decibels(-3.0);
/// Fainter than this, hiss and hum are near.
const FAINT: Decibels = Decibels(-36.0);
/// How fast the reading falls, in decibels a second.
const FALLS: f64 = 20.0;
/// So long a reading looks back for its words.
const LOOKS_BACK: Seconds = Seconds(3.0);
/// The lowest reading.
pub(super) const FLOOR: Decibels = Decibels(-60.0);

/// A reading of the meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// How high the wave goes now, falling slowly.
    pub now: Decibels,
    /// The highest it has been lately.
    pub lately: Decibels,
    /// Whether it has been cut off since the meter was reset.
    pub clipped: bool,
}

impl Default for Level {
    fn default() -> Self {
        Self {
            now: FLOOR,
            lately: FLOOR,
            clipped: false,
        }
    }
}

impl Level {
    /// How far along its scale the reading is, 0..=1.
    #[must_use]
    pub fn part(self) -> f64 {
        ((self.now.0 - FLOOR.0) / -FLOOR.0).clamp(0.0, 1.0)
    }

    /// What to tell the player.
    #[must_use]
    pub fn words(self) -> &'static str {
        if self.clipped {
            key!("Too loud: the wave is cut off. Turn the input down, or move away from the microphone.")
        } else if self.lately.0 > HOT.0 {
            key!("Nearly too loud: turn the input down a little.")
        } else if self.lately.0 <= FLOOR.0 + 1.0 {
            key!("Nothing is heard yet: play a few notes.")
        } else if self.lately.0 < FAINT.0 {
            key!("Faint: move nearer, or turn the input up.")
        } else {
            key!("A good level.")
        }
    }
}

/// Reads the level of what comes in.
#[derive(Debug, Clone, Default)]
pub struct Meter {
    level: Level,
    since: f64,
}

impl Meter {
    /// Takes the next block.
    #[allow(clippy::cast_precision_loss)]
    pub fn take(&mut self, block: &[f32], rate: SampleRate) -> Level {
        let top = block.iter().map(|x| x.abs()).fold(0.0, f32::max);
        let lasted = block.len() as f64 / rate.0;
        let here = Decibels::of_gain(f64::from(top)).0.max(FLOOR.0);
        let level = &mut self.level;
        level.now = Decibels(here.max(level.now.0 - FALLS * lasted));
        self.since += lasted;
        if here >= level.lately.0 || self.since > LOOKS_BACK.0 {
            level.lately = Decibels(here);
            self.since = 0.0;
        }
        level.clipped |= top >= FULL;
        *level
    }

    /// Forgets what was cut off.
    pub fn reset(&mut self) {
        *self = Self::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: SampleRate = SampleRate(48_000.0);

    #[test]
    fn a_reading_rises_at_once_and_falls_slowly() {
        let mut meter = Meter::default();
        let loud = meter.take(&[0.5; 480], RATE);
        assert!((loud.now.0 + 6.02).abs() < 0.01 && !loud.clipped);
        // A tenth of a second of silence.
        let after = meter.take(&[0.0; 4800], RATE);
        assert!((after.now.0 - (loud.now.0 - 2.0)).abs() < 0.01, "{after:?}");
        assert_eq!(after.lately, loud.lately);
    }

    #[test]
    fn what_was_cut_off_is_said_until_the_meter_is_reset() {
        let mut meter = Meter::default();
        assert!(meter.take(&[0.0, 1.0], RATE).clipped);
        let later = meter.take(&[0.1; 480], RATE);
        assert!(later.words().starts_with("Too loud"), "{}", later.words());
        meter.reset();
        assert_eq!(meter.take(&[0.1; 480], RATE).words(), "A good level.");
    }

    #[test]
    fn silence_and_faintness_are_told_apart() {
        let mut meter = Meter::default();
        assert!(meter.take(&[0.0; 480], RATE).words().starts_with("Nothing"));
        assert!(meter.take(&[0.005; 480], RATE).words().starts_with("Faint"));
        assert!(meter.take(&[0.8; 480], RATE).words().starts_with("Nearly"));
        assert!(meter.take(&[f32::NAN; 480], RATE).part() <= 1.0);
    }
}
