//! The knobs: every setting of the amplifier as a number with its unit and its range.
//!
//! *Invariant:* nothing about the amplifier that can be set is kept anywhere else, and [`Amp::kept`] brings any
//! number, even one that is none, into its range.

use crate::sound::mix::Decibels;
use crate::theory::{Hertz, Seconds};
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

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
    /// The spring; absent when switched off.
    pub reverb: Option<Reverb>,
}

/// The drive pedal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Drive {
    /// Gain into the clipper, in [`Self::GAIN`].
    pub gain: Decibels,
    /// Level after it, in [`Self::LEVEL`].
    pub level: Decibels,
}

/// The tone controls, each in [`Self::RANGE`]; 0 is flat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Tone {
    /// All below [`Self::BASS_AT`].
    pub bass: Decibels,
    /// Around [`Self::MIDDLE_AT`].
    pub middle: Decibels,
    /// All above [`Self::TREBLE_AT`].
    pub treble: Decibels,
}

/// The delay.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Delay {
    /// Between two echoes, in [`Self::TIME`].
    pub time: Seconds,
    /// Level of the first echo against the dry sound, in [`Self::LEVEL`].
    pub level: Decibels,
    /// Level of each echo against the one before, in [`Self::AGAIN`]: they die away.
    pub again: Decibels,
}

/// The spring reverb.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Reverb {
    /// Level against the dry sound, in [`Self::LEVEL`].
    pub level: Decibels,
    /// How long it rings, to -60 dB at low frequencies, in [`Self::DECAY`].
    pub decay: Seconds,
}

impl Amp {
    /// No amplifier: what the pickup hears.
    pub const DIRECT: Self = Self {
        drive: None,
        tone: Tone::FLAT,
        speaker: false,
        echo: None,
        reverb: None,
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
        reverb: Some(Reverb::USUAL),
    };

    /// Driven until it sings, with a short echo.
    pub const DRIVEN: Self = Self {
        drive: Some(Drive::USUAL),
        tone: Tone {
            bass: Decibels(-1.0),
            middle: Decibels(2.0),
            treble: Decibels(0.0),
        },
        speaker: true,
        echo: Some(Delay::USUAL),
        reverb: Some(Reverb {
            level: Decibels(-19.0),
            ..Reverb::USUAL
        }),
    };

    /// The same with every number brought into its range.
    #[must_use]
    pub fn kept(self) -> Self {
        Self {
            drive: self.drive.map(Drive::kept),
            tone: self.tone.kept(),
            speaker: self.speaker,
            echo: self.echo.map(Delay::kept),
            reverb: self.reverb.map(Reverb::kept),
        }
    }
}

impl Default for Amp {
    fn default() -> Self {
        Self::CLEAN
    }
}

impl Drive {
    /// From a pedal that only just rounds the loudest notes to one that makes a square wave of a firm pluck.
    pub const GAIN: RangeInclusive<Decibels> = Decibels(0.0)..=Decibels(40.0);
    /// What the clipper gives is as loud at every gain, so this is mostly cut.
    pub const LEVEL: RangeInclusive<Decibels> = Decibels(-30.0)..=Decibels(6.0);
    /// What the pedal gives when it is first switched on: singing, and about as loud as without it.
    pub const USUAL: Self = Self {
        gain: Decibels(24.0),
        level: Decibels(-11.0),
    };

    fn kept(self) -> Self {
        Self {
            gain: level(self.gain, &Self::GAIN),
            level: level(self.level, &Self::LEVEL),
        }
    }
}

impl Default for Drive {
    fn default() -> Self {
        Self::USUAL
    }
}

impl Tone {
    /// The most each control cuts and raises.
    pub const RANGE: RangeInclusive<Decibels> = Decibels(-12.0)..=Decibels(12.0);
    /// Where the bass control has half its effect. The three places are common practice, by ear, no source.
    pub const BASS_AT: Hertz = Hertz(160.0);
    /// Where the middle control has all its effect.
    pub const MIDDLE_AT: Hertz = Hertz(650.0);
    /// Where the treble control has half its effect.
    pub const TREBLE_AT: Hertz = Hertz(2400.0);
    /// Nothing raised or cut.
    pub const FLAT: Self = Self {
        bass: Decibels(0.0),
        middle: Decibels(0.0),
        treble: Decibels(0.0),
    };

    fn kept(self) -> Self {
        Self {
            bass: level(self.bass, &Self::RANGE),
            middle: level(self.middle, &Self::RANGE),
            treble: level(self.treble, &Self::RANGE),
        }
    }
}

impl Default for Tone {
    fn default() -> Self {
        Self::FLAT
    }
}

impl Delay {
    /// From a doubling to a second.
    pub const TIME: RangeInclusive<Seconds> = Seconds(0.02)..=Seconds(1.0);
    /// From hardly heard to as loud as the note.
    pub const LEVEL: RangeInclusive<Decibels> = Decibels(-40.0)..=Decibels(0.0);
    /// From a single echo to a long row of them.
    pub const AGAIN: RangeInclusive<Decibels> = Decibels(-40.0)..=Decibels(-3.0);
    /// What it is when it is first switched on: short, behind the note.
    pub const USUAL: Self = Self {
        time: Seconds(0.31),
        level: Decibels(-17.0),
        again: Decibels(-10.0),
    };

    fn kept(self) -> Self {
        Self {
            time: time(self.time, &Self::TIME),
            level: level(self.level, &Self::LEVEL),
            again: level(self.again, &Self::AGAIN),
        }
    }
}

impl Default for Delay {
    fn default() -> Self {
        Self::USUAL
    }
}

impl Reverb {
    /// From hardly heard to as loud as the note.
    pub const LEVEL: RangeInclusive<Decibels> = Decibels(-40.0)..=Decibels(0.0);
    /// From a short splash to a long one.
    pub const DECAY: RangeInclusive<Seconds> = Seconds(0.4)..=Seconds(4.0);
    /// What it is when it is first switched on.
    pub const USUAL: Self = Self {
        level: Decibels(-15.0),
        decay: Seconds(1.0),
    };

    fn kept(self) -> Self {
        Self {
            level: level(self.level, &Self::LEVEL),
            decay: time(self.decay, &Self::DECAY),
        }
    }
}

impl Default for Reverb {
    fn default() -> Self {
        Self::USUAL
    }
}

/// A number within a range; what is no number becomes its lower end.
fn within(x: f64, least: f64, most: f64) -> f64 {
    x.max(least).min(most)
}

fn level(x: Decibels, range: &RangeInclusive<Decibels>) -> Decibels {
    Decibels(within(x.0, range.start().0, range.end().0))
}

fn time(x: Seconds, range: &RangeInclusive<Seconds>) -> Seconds {
    Seconds(within(x.0, range.start().0, range.end().0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_sounds_lie_within_the_ranges() {
        for amp in [Amp::DIRECT, Amp::CLEAN, Amp::DRIVEN] {
            assert_eq!(amp.kept(), amp);
        }
    }

    #[test]
    fn any_number_is_brought_into_its_range() {
        let wild = |x: f64| Amp {
            drive: Some(Drive {
                gain: Decibels(x),
                level: Decibels(x),
            }),
            tone: Tone {
                bass: Decibels(x),
                middle: Decibels(x),
                treble: Decibels(x),
            },
            speaker: true,
            echo: Some(Delay {
                time: Seconds(x),
                level: Decibels(x),
                again: Decibels(x),
            }),
            reverb: Some(Reverb {
                level: Decibels(x),
                decay: Seconds(x),
            }),
        };
        let (low, high) = (wild(-1e9).kept(), wild(1e9).kept());
        assert_eq!((low.tone.bass, high.tone.treble), (Decibels(-12.0), Decibels(12.0)));
        assert_eq!(
            high.echo.map(|e| (e.time, e.again)),
            Some((Seconds(1.0), Decibels(-3.0)))
        );
        assert_eq!(low.reverb.map(|r| r.decay), Some(Seconds(0.4)));
        assert_eq!(wild(f64::NAN).kept(), low);
    }

    #[test]
    fn a_setting_that_was_not_written_is_the_usual_one() {
        let read: Amp = serde_json::from_str(r#"{"drive": {"gain": 30}, "reverb": null}"#).expect("readable");
        assert_eq!(
            read,
            Amp {
                drive: Some(Drive {
                    gain: Decibels(30.0),
                    ..Drive::USUAL
                }),
                reverb: None,
                ..Amp::CLEAN
            }
        );
    }
}
