//! The first of the two times: how loud each stem comes out, and so by how much it is raised or lowered.

use super::curve::{Curve, Heard, WINDOW};
use super::source::Source;
use super::{Brief, RenderError, Stem, Wave};
use crate::sound::loudness::Meter;
use crate::sound::mix::Decibels;

/// Where the highest sample of a stem is put. Half a decibel under the -6 dBFS that studios ask for as headroom:
/// for the wave between samples, and for rounding.
pub const STEM_PEAK: Decibels = Decibels(-6.5);

/// A stem quieter than this is silent, and stays so.
const SILENT: f32 = 1e-5;

/// The level of each stem of a brief.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    gains: Vec<Gain>,
}

#[derive(Debug, Clone, PartialEq)]
enum Gain {
    Even(f32),
    Curve(Curve),
}

impl Levels {
    /// Listens to the whole of a brief. `going` is told how many samples have been heard, of all.
    ///
    /// # Errors
    /// When nothing could come of the brief.
    pub fn of(brief: &Brief, mut going: impl FnMut(u64, u64)) -> Result<Self, RenderError> {
        brief.check()?;
        let mut source = Source::new(brief);
        let mut ears = brief
            .stems
            .iter()
            .map(|stem| Ear::new(*stem, brief))
            .collect::<Result<Vec<_>, _>>()?;
        let mut waves = Vec::new();
        while source.next_block(&mut waves) {
            for (ear, wave) in ears.iter_mut().zip(&waves) {
                ear.hear(wave)?;
            }
            let (done, all) = source.done();
            going(done, all);
        }
        Ok(Self {
            gains: ears.into_iter().map(|ear| ear.gain(brief)).collect(),
        })
    }

    /// By how much the stem at `index` of the brief is raised; for the mix, where it is not held back.
    #[must_use]
    pub fn raised(&self, index: usize) -> Decibels {
        let gain = match self.gains.get(index) {
            Some(Gain::Even(gain)) => *gain,
            Some(Gain::Curve(curve)) => curve.gain(),
            None => 1.0,
        };
        Decibels::of_gain(f64::from(gain))
    }

    /// Levels a block that begins at sample `from`.
    pub(super) fn apply(&self, from: u64, waves: &mut [Wave]) {
        for (gain, wave) in self.gains.iter().zip(waves) {
            for channel in &mut wave.channels {
                match gain {
                    Gain::Even(gain) => channel.iter_mut().for_each(|x| *x *= gain),
                    Gain::Curve(curve) => curve.apply(from, channel),
                }
            }
        }
    }
}

/// What is listened for in one stem.
#[derive(Debug)]
enum Ear {
    Peak(f32),
    Mix { meter: Box<Meter>, heard: Heard },
}

impl Ear {
    fn new(stem: Stem, brief: &Brief) -> Result<Self, RenderError> {
        Ok(match stem {
            Stem::Mix => Self::Mix {
                meter: Box::new(Meter::new(brief.rate)?),
                heard: Heard::default(),
            },
            _ => Self::Peak(0.0),
        })
    }

    fn hear(&mut self, wave: &Wave) -> Result<(), RenderError> {
        match self {
            Self::Peak(peak) => {
                let samples = wave.channels.iter().flatten();
                *peak = samples.fold(*peak, |most, x| most.max(x.abs()));
            }
            Self::Mix { meter, heard } => {
                let [left, right] = wave.channels.as_slice() else {
                    return Ok(());
                };
                for (left, right) in left.chunks(WINDOW).zip(right.chunks(WINDOW)) {
                    let peak = meter.add(left, right)?;
                    heard.add(peak, left, right);
                }
            }
        }
        Ok(())
    }

    fn gain(self, brief: &Brief) -> Gain {
        match self {
            Self::Peak(peak) if peak < SILENT => Gain::Even(1.0),
            #[allow(clippy::cast_possible_truncation)]
            Self::Peak(peak) => Gain::Even(STEM_PEAK.gain() as f32 / peak),
            Self::Mix { meter, heard } => Gain::Curve(Curve::reaching(brief.loudness, brief.rate, &meter, &heard)),
        }
    }
}
