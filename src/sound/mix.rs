//! Levels: how loud each part is, and smooth ways from one level to another.

use serde::{Deserialize, Serialize};

/// A level in decibels; 0 leaves a signal as it is.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Decibels(pub f64);

impl Decibels {
    /// The level of an amplitude against 1; -200 dB for nothing.
    #[must_use]
    pub fn of_gain(amplitude: f64) -> Self {
        Self(20.0 * amplitude.abs().max(1e-10).log10())
    }

    /// The factor on the amplitude, 10^(dB / 20); nothing below -90 dB.
    #[must_use]
    pub fn gain(self) -> f64 {
        if self.0 < -90.0 {
            0.0
        } else {
            10.0_f64.powf(self.0.min(24.0) / 20.0)
        }
    }
}

/// The parts that can be levelled and muted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Part {
    Solo,
    Drums,
    Bass,
    Rhythm,
    Organ,
    Click,
    Recording,
}

impl Part {
    /// All of them, in the order of a mixer.
    pub const ALL: [Self; 7] = [
        Self::Solo,
        Self::Drums,
        Self::Bass,
        Self::Rhythm,
        Self::Organ,
        Self::Click,
        Self::Recording,
    ];

    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Solo => key!("steel"),
            Self::Drums => key!("drums"),
            Self::Bass => key!("bass"),
            Self::Rhythm => key!("rhythm"),
            Self::Organ => key!("organ"),
            Self::Click => key!("click"),
            Self::Recording => key!("recording"),
        }
    }

    /// Its place in [`Self::ALL`].
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}

/// One part's level and mute.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Fader {
    /// How loud, against the part's own balanced level.
    pub level: Decibels,
    /// Silent, whatever the level.
    pub muted: bool,
}

impl Fader {
    /// A fader at `level`, heard.
    #[must_use]
    pub fn at(level: Decibels) -> Self {
        Self { level, muted: false }
    }

    /// The factor on the amplitude.
    #[must_use]
    pub fn gain(self) -> f64 {
        if self.muted { 0.0 } else { self.level.gain() }
    }
}

/// All faders. At the default the solo stands in front of the band, the click is muted
/// (the count-in is heard all the same), and the whole is modest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Mix {
    /// The steel.
    pub solo: Fader,
    /// Drums.
    pub drums: Fader,
    /// Bass.
    pub bass: Fader,
    /// Rhythm guitar.
    pub rhythm: Fader,
    /// Organ.
    pub organ: Fader,
    /// A click on each beat while playing.
    pub click: Fader,
    /// The player's own recording of the song.
    pub recording: Fader,
    /// The whole, before the limiter.
    pub master: Decibels,
}

impl Mix {
    /// The fader of `part`.
    #[must_use]
    pub fn fader(&self, part: Part) -> Fader {
        match part {
            Part::Solo => self.solo,
            Part::Drums => self.drums,
            Part::Bass => self.bass,
            Part::Rhythm => self.rhythm,
            Part::Organ => self.organ,
            Part::Click => self.click,
            Part::Recording => self.recording,
        }
    }

    /// The gain of each part, in the order of [`Part::ALL`].
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn gains(&self) -> [f32; Part::ALL.len()] {
        Part::ALL.map(|part| self.fader(part).gain() as f32)
    }

    /// The fader of `part`, to be moved.
    pub fn fader_mut(&mut self, part: Part) -> &mut Fader {
        match part {
            Part::Solo => &mut self.solo,
            Part::Drums => &mut self.drums,
            Part::Bass => &mut self.bass,
            Part::Rhythm => &mut self.rhythm,
            Part::Organ => &mut self.organ,
            Part::Click => &mut self.click,
            Part::Recording => &mut self.recording,
        }
    }
}

impl Default for Mix {
    fn default() -> Self {
        let even = Fader::at(Decibels(0.0));
        Self {
            solo: even,
            drums: even,
            bass: even,
            rhythm: even,
            organ: even,
            click: Fader { muted: true, ..even },
            recording: even,
            master: Decibels(-12.0),
        }
    }
}

/// A gain that moves to its target in a straight line over a fixed number of samples, so that no step is heard.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ramp {
    now: f32,
    step: f32,
    left: u32,
    target: f32,
}

impl Ramp {
    /// A ramp resting at `value`.
    pub(super) fn at(value: f32) -> Self {
        Self {
            now: value,
            step: 0.0,
            left: 0,
            target: value,
        }
    }

    /// The gain now.
    pub(super) fn value(&self) -> f32 {
        self.now
    }

    /// Sets out for `target`, to be there after `samples`.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn go(&mut self, target: f32, samples: u32) {
        self.target = target;
        self.left = samples.max(1);
        self.step = (target - self.now) / self.left as f32;
    }

    /// Sets out for `target` unless it is already there or on its way.
    pub(super) fn head_for(&mut self, target: f32, samples: u32) {
        if self.target != target {
            self.go(target, samples);
        }
    }

    /// The next sample's gain.
    pub(super) fn next(&mut self) -> f32 {
        if self.left > 0 {
            self.left -= 1;
            self.now = if self.left == 0 {
                self.target
            } else {
                self.now + self.step
            };
        }
        self.now
    }

    /// Is there at once.
    pub(super) fn arrive(&mut self) {
        *self = Self::at(self.target);
    }

    /// Where it rests; nothing while it moves.
    pub(super) fn resting(&self) -> Option<f32> {
        (self.left == 0).then_some(self.now)
    }

    /// Whether it has come to rest at nothing.
    pub(super) fn is_silent(&self) -> bool {
        self.left == 0 && self.now == 0.0
    }
}
