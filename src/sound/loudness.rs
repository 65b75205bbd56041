//! How loud something is to the ear, and how far its wave really goes: ITU-R BS.1770-4, measured by the `ebur128`
//! library.
//!
//! *Invariant:* what is read does not depend on how the sound was cut when it was fed in.

use super::mix::Decibels;
use super::rate::SampleRate;
use crate::words::Said;
use ebur128::{EbuR128, Mode};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Programme loudness in LUFS (LKFS): decibels against full scale, weighted as the ear hears.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, derive_more::Display)]
#[serde(transparent)]
pub struct Lufs(pub f64);

/// The mean square, summed over the channels, of weighted sound that has a loudness.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Energy(pub f64);

/// What BS.1770-4 adds to the decibels of the energy, so that a 997 Hz tone reads as it should.
const OFFSET: f64 = -0.691;
/// Blocks quieter than this never count.
const ABSOLUTE_GATE: Lufs = Lufs(-70.0);
/// Blocks this much quieter than the others do not count.
const RELATIVE_GATE: f64 = -10.0;
/// Moments of 100 ms in a gating block of 400 ms; each block begins a moment after the one before.
const BLOCK: usize = 4;
/// Moments in the three seconds of short-term loudness.
const SHORT: usize = 30;

impl Energy {
    /// As loud as this is.
    #[must_use]
    pub fn loudness(self) -> Lufs {
        Lufs(OFFSET + 10.0 * self.0.max(1e-20).log10())
    }

    /// The energy that is this loud.
    #[must_use]
    pub fn of(loudness: Lufs) -> Self {
        Self(10.0_f64.powf((loudness.0 - OFFSET) / 10.0))
    }
}

/// The loudness of a whole from its moments of 100 ms: blocks of 400 ms under the two gates of BS.1770-4. Nothing
/// when no block is above the gates.
#[must_use]
pub fn integrated(moments: &[Energy]) -> Option<Lufs> {
    let blocks: Vec<f64> = moments.windows(BLOCK).map(mean).collect();
    let above = |gate: f64| {
        let (sum, count) = blocks
            .iter()
            .filter(|block| **block > gate)
            .fold((0.0, 0.0), |(sum, count), block| (sum + block, count + 1.0));
        (count > 0.0).then_some(sum / count)
    };
    let absolute = Energy::of(ABSOLUTE_GATE).0;
    let relative = above(absolute)? * 10.0_f64.powf(RELATIVE_GATE / 10.0);
    above(relative.max(absolute)).map(|energy| Energy(energy).loudness())
}

/// The loudest stretch of so many moments.
fn loudest(moments: &[Energy], length: usize) -> Option<Lufs> {
    let most = moments.windows(length).map(mean).reduce(f64::max)?;
    Some(Energy(most).loudness())
}

#[allow(clippy::cast_precision_loss)]
fn mean(moments: &[Energy]) -> f64 {
    moments.iter().map(|e| e.0).sum::<f64>() / moments.len().max(1) as f64
}

/// What a meter has read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Loudness {
    /// Of the whole, gated. Nothing when all of it is silent.
    pub integrated: Option<Lufs>,
    /// Of the loudest 400 ms; nothing when it is shorter.
    pub momentary: Option<Lufs>,
    /// Of the loudest 3 s; nothing when it is shorter.
    pub short_term: Option<Lufs>,
    /// The highest point of the wave between the samples too, against full scale (dBTP).
    pub true_peak: Decibels,
}

/// Why loudness can't be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub struct LoudnessError;

impl LoudnessError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        said!("loudness can't be measured at this sample rate: choose 44.1 or 48 kHz")
    }
}

impl From<ebur128::Error> for LoudnessError {
    fn from(_: ebur128::Error) -> Self {
        Self
    }
}

/// A meter for stereo sound.
#[derive(Debug)]
pub struct Meter {
    inner: EbuR128,
    /// Samples in a moment of 100 ms, and those still to come of this one.
    moment: usize,
    to_come: usize,
    moments: Vec<Energy>,
    highest: f64,
}

impl Meter {
    /// A meter that has heard nothing.
    ///
    /// # Errors
    /// When the rate is out of the library's range.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn new(rate: SampleRate) -> Result<Self, LoudnessError> {
        let hertz = rate.0.round() as u32;
        let inner = EbuR128::new(2, hertz, Mode::M | Mode::TRUE_PEAK)?;
        let moment = (hertz as usize / 10).max(1);
        Ok(Self {
            inner,
            moment,
            to_come: moment,
            moments: Vec::new(),
            highest: 0.0,
        })
    }

    /// Hears what follows, both channels as long as the shorter one, and answers how far its wave goes: the
    /// amplitude, 1 being full scale. The wave between samples is known a few samples late, so the highest point of
    /// a peak at the very end is told with what follows.
    ///
    /// # Errors
    /// None for a meter that was made; kept from the library.
    pub fn add(&mut self, left: &[f32], right: &[f32]) -> Result<f32, LoudnessError> {
        let length = left.len().min(right.len());
        let (mut left, mut right) = (&left[..length], &right[..length]);
        let mut highest = 0.0_f64;
        while !left.is_empty() {
            let count = left.len().min(self.to_come);
            let (now_left, later_left) = left.split_at(count);
            let (now_right, later_right) = right.split_at(count);
            self.inner.add_frames_planar_f32(&[now_left, now_right])?;
            for channel in 0..2 {
                highest = highest.max(self.inner.prev_true_peak(channel)?);
            }
            (left, right) = (later_left, later_right);
            self.to_come -= count;
            if self.to_come == 0 {
                self.to_come = self.moment;
                self.moments.push(Energy::of(Lufs(self.inner.loudness_window(100)?)));
            }
        }
        self.highest = self.highest.max(highest);
        #[allow(clippy::cast_possible_truncation)]
        Ok(highest as f32)
    }

    /// The whole moments of 100 ms heard so far.
    #[must_use]
    pub fn moments(&self) -> &[Energy] {
        &self.moments
    }

    /// What was heard so far.
    #[must_use]
    pub fn read(&self) -> Loudness {
        Loudness {
            integrated: integrated(&self.moments),
            momentary: loudest(&self.moments, BLOCK),
            short_term: loudest(&self.moments, SHORT),
            true_peak: Decibels::of_gain(self.highest),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: f64 = 48_000.0;

    fn tone(frequency: f64, amplitude: f64, rate: f64, seconds: f64) -> Vec<f32> {
        (0..(seconds * rate) as usize)
            .map(|n| (amplitude * (std::f64::consts::TAU * frequency / rate * n as f64).sin()) as f32)
            .collect()
    }

    fn read(left: &[f32], right: &[f32], rate: f64) -> Loudness {
        let mut meter = Meter::new(SampleRate(rate)).unwrap();
        for (l, r) in left.chunks(1000).zip(right.chunks(1000)) {
            meter.add(l, r).unwrap();
        }
        meter.read()
    }

    /// Source: ITU-R BS.1770-4, annex 1: "If a 0 dB FS, 997 Hz sine wave is applied to the left, centre, or right
    /// channel input, the indicated loudness will equal -3.01 LKFS."
    #[test]
    fn a_full_997_hz_tone_in_one_channel_reads_minus_3_01() {
        for rate in [44_100.0, RATE] {
            let tone = tone(997.0, 1.0, rate, 5.0);
            let loudness = read(&tone, &vec![0.0; tone.len()], rate);
            let integrated = loudness.integrated.unwrap();
            assert!((integrated.0 + 3.01).abs() < 0.01, "{integrated} at {rate}");
            assert!((loudness.short_term.unwrap().0 + 3.01).abs() < 0.01);
        }
    }

    /// Source: EBU Tech 3341, cases 1, 3 and 4 (their figures from memory): 1000 Hz stereo tones; read -23 LUFS within 0.1.
    #[test]
    fn the_gates_leave_out_what_is_quiet() {
        let stages = |steps: &[(f64, f64)]| -> Vec<f32> {
            let level = |db: f64| 10.0_f64.powf(db / 20.0);
            steps
                .iter()
                .flat_map(|(db, seconds)| tone(1000.0, level(*db), RATE, *seconds))
                .collect()
        };
        let cases: [&[(f64, f64)]; 3] = [
            &[(-23.0, 20.0)],
            &[(-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)],
            &[
                (-72.0, 10.0),
                (-36.0, 10.0),
                (-23.0, 60.0),
                (-36.0, 10.0),
                (-72.0, 10.0),
            ],
        ];
        for case in cases {
            let sound = stages(case);
            let read = read(&sound, &sound, RATE).integrated.unwrap();
            assert!((read.0 + 23.0).abs() < 0.1, "{read} for {case:?}");
        }
    }

    /// Source: EBU Tech 3341, true-peak cases (figures from memory): a tone of a quarter of the rate at 0.5 of full scale, met by
    /// the samples at 45 degrees: -6.0 dBTP, +0.2 / -0.4.
    #[test]
    fn the_wave_between_samples_is_found() {
        let sound: Vec<f32> = (0..48_000)
            .map(|n| (0.5 * (std::f64::consts::FRAC_PI_2 * f64::from(n) + std::f64::consts::FRAC_PI_4).sin()) as f32)
            .collect();
        let peak = read(&sound, &sound, RATE).true_peak.0;
        assert!((-6.4..=-5.8).contains(&peak), "{peak}");
    }

    #[test]
    fn the_loudness_of_the_moments_is_the_librarys_own() {
        let noise = |seed: u64| -> Vec<f32> {
            let mut random = fastrand::Rng::with_seed(seed);
            (0..480_000)
                .map(|n| (random.f32() - 0.5) * if n / 96_000 % 2 == 0 { 0.5 } else { 0.05 })
                .collect()
        };
        let (left, right) = (noise(1), noise(2));
        let mut library = EbuR128::new(2, 48_000, Mode::I).unwrap();
        library.add_frames_planar_f32(&[&left, &right]).unwrap();
        let own = read(&left, &right, RATE).integrated.unwrap();
        assert!((own.0 - library.loudness_global().unwrap()).abs() < 1e-6);
    }

    #[test]
    fn silence_has_no_loudness() {
        let silence = [0.0; 96_000];
        assert_eq!(read(&silence, &silence, RATE).integrated, None);
    }
}
