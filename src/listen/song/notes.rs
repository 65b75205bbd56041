//! Which notes sound: each frame's spectrum as a sum of notes with their overtones.
//!
//! The spectrum is brought to three bins a semitone at the recording's own tuning, freed of its background
//! (whitened), and explained by non-negative least squares with a dictionary of harmonic notes: Mauch and Dixon,
//! "Approximate note transcription for the improved identification of difficult chords", ISMIR 2010.

use super::Unheard;
use super::recording::Recording;
use super::tuning::Tuning;
use crate::listen::transform::{Transform, hann};
use crate::theory::Seconds;

/// Samples looked at: 372 ms at 22 050 Hz, which tells semitones apart from the second octave up.
pub(super) const WINDOW: usize = 8192;

/// Samples between frames: 46 ms at 22 050 Hz.
pub(super) const HOP: usize = 1024;

/// The lowest note of the spectrum, and how many semitones it spans (E1 - 2 to D8).
const BOTTOM: usize = 26;
const SEMITONES: usize = 84;
const PER_SEMITONE: usize = 3;
const BINS: usize = SEMITONES * PER_SEMITONE;

/// The lowest note that is looked for (E1), and how many are (to E6).
pub(super) const LOWEST_NOTE: usize = 28;
pub(super) const NOTES: usize = 61;

/// How much of each overtone's amplitude the next one has, of the lowest and of the highest note (the paper's).
const FALL: (f32, f32) = (0.9, 0.6);

/// Overtones of a note.
const OVERTONES: usize = 12;

/// Bins to either side that make the background: half an octave.
const BACKGROUND: usize = 18;

/// Rounds of the search for the least squares; each frame begins where the one before ended.
const ROUNDS: usize = 12;

/// A frame is silent below this part of the loudest's amplitude: 50 dB.
const SILENT: f32 = 3e-3;

/// How strongly each note sounds, frame after frame.
#[derive(Debug, Clone)]
pub(super) struct Notes {
    /// Frames in a second.
    rate: f64,
    /// Sums of the frames up to each, so that a stretch's mean is one difference.
    sums: Vec<[f32; NOTES]>,
}

/// The notes of one stretch of time.
pub(super) type Sounding = [f32; NOTES];

impl Notes {
    /// Of a recording tuned so. `going` is told how many of the frames are done, and may call it off.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn of(
        recording: &Recording,
        tuning: Tuning,
        mut going: impl FnMut(usize, usize) -> Result<(), Unheard>,
    ) -> Result<Self, Unheard> {
        let rate = recording.rate().0;
        let count = recording.samples().len() / HOP + 1;
        let (map, dictionary) = (Map::new(rate, tuning), Dictionary::new());
        let window = hann(WINDOW);
        let mut transform = Transform::new(WINDOW);
        let mut found = [0.0; NOTES];
        let mut frames = Vec::with_capacity(count);
        let mut levels = Vec::with_capacity(count);
        for frame in 0..count {
            recording.frame(frame * HOP, &window, &mut transform.time);
            levels.push(transform.time.iter().map(|x| x * x).sum::<f32>().sqrt());
            transform.forward();
            let spectrum = whitened(&map.of(&transform));
            dictionary.explain(&spectrum, &mut found);
            frames.push(found);
            going(frame, count)?;
        }
        let loudest = levels.iter().copied().fold(0.0, f32::max);
        let mut sums = vec![[0.0; NOTES]];
        let mut sum = [0.0; NOTES];
        for (frame, level) in frames.iter().zip(levels) {
            if level > loudest * SILENT {
                sum.iter_mut().zip(frame).for_each(|(sum, x)| *sum += x);
            }
            sums.push(sum);
        }
        Ok(Self {
            rate: rate / HOP as f64,
            sums,
        })
    }

    /// The mean of the frames between two times; of the nearest when none lies between.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub(super) fn between(&self, from: Seconds, to: Seconds) -> Sounding {
        let last = self.sums.len() - 1;
        let index = |at: Seconds| ((at.0.max(0.0) * self.rate).round() as usize).min(last);
        let begin = index(from).min(last.saturating_sub(1));
        let end = index(to).max(begin + 1).min(last);
        let scale = 1.0 / (end - begin).max(1) as f32;
        std::array::from_fn(|note| (self.sums[end][note] - self.sums[begin][note]).max(0.0) * scale)
    }
}

/// From the transform's bins to three a semitone.
struct Map(Vec<(usize, Vec<f32>)>);

impl Map {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn new(rate: f64, tuning: Tuning) -> Self {
        let per_bin = rate / WINDOW as f64;
        let row = |bin: usize| {
            // The middle one of a semitone's bins is the note itself.
            let note = BOTTOM as f64 + (bin as f64 - 1.0) / PER_SEMITONE as f64;
            let hertz = tuning.hertz(note).0;
            let place = hertz / per_bin;
            // A third of a semitone to either side, but never less than one bin.
            let reach = (place * ((1.0 / 36.0_f64).exp2() - 1.0)).max(1.0);
            let begin = (place - reach).ceil().max(0.0) as usize;
            let end = ((place + reach).floor() as usize).min(WINDOW / 2);
            let weights: Vec<f32> = (begin..=end)
                .map(|n| (1.0 - (n as f64 - place).abs() / reach) as f32)
                .collect();
            let sum: f32 = weights.iter().sum::<f32>().max(1e-6);
            (begin, weights.into_iter().map(|w| w / sum).collect())
        };
        Self((0..BINS).map(row).collect())
    }

    fn of(&self, transform: &Transform) -> [f32; BINS] {
        std::array::from_fn(|bin| {
            let (begin, weights) = &self.0[bin];
            let bins = transform.bins.get(*begin..).unwrap_or_default();
            weights.iter().zip(bins).map(|(w, x)| w * x.norm()).sum()
        })
    }
}

/// What stands out of the background, over how much the background varies.
fn whitened(spectrum: &[f32; BINS]) -> [f32; BINS] {
    #[allow(clippy::cast_precision_loss)]
    std::array::from_fn(|bin| {
        let near = &spectrum[bin.saturating_sub(BACKGROUND)..(bin + BACKGROUND + 1).min(BINS)];
        let count = near.len() as f32;
        let mean = near.iter().sum::<f32>() / count;
        let variance = near.iter().map(|x| (x - mean).powi(2)).sum::<f32>() / count;
        let above = spectrum[bin] - mean;
        if above > 0.0 && variance > 0.0 {
            above / variance.sqrt()
        } else {
            0.0
        }
    })
}

/// Notes as they look in the spectrum.
struct Dictionary {
    /// Each note's bins and their amplitudes.
    notes: Vec<Vec<(usize, f32)>>,
    /// How alike each two notes are.
    alike: Vec<[f32; NOTES]>,
}

impl Dictionary {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    fn new() -> Self {
        let notes: Vec<Vec<(usize, f32)>> = (0..NOTES)
            .map(|note| {
                let fall = FALL.0 + (FALL.1 - FALL.0) * note as f32 / (NOTES - 1) as f32;
                let mut bins = [0.0_f32; BINS];
                for overtone in 1..=OVERTONES {
                    let semitones = (note + LOWEST_NOTE - BOTTOM) as f64 + 12.0 * (overtone as f64).log2();
                    let middle = (semitones * PER_SEMITONE as f64).round() as usize + 1;
                    for (bin, part) in [(middle - 1, 0.5), (middle, 1.0), (middle + 1, 0.5)] {
                        if let Some(x) = bins.get_mut(bin) {
                            *x += part * fall.powi(overtone as i32 - 1);
                        }
                    }
                }
                let norm = bins.iter().map(|x| x * x).sum::<f32>().sqrt();
                bins.iter()
                    .enumerate()
                    .filter(|(_, x)| **x > 0.0)
                    .map(|(n, x)| (n, x / norm))
                    .collect()
            })
            .collect();
        let dense = |note: &Vec<(usize, f32)>| {
            let mut bins = [0.0; BINS];
            note.iter().for_each(|(n, x)| bins[*n] = *x);
            bins
        };
        let alike = notes
            .iter()
            .map(|note| {
                let bins = dense(note);
                std::array::from_fn(|other| notes[other].iter().map(|(n, x)| x * bins[*n]).sum())
            })
            .collect();
        Self { notes, alike }
    }

    /// The non-negative strengths whose sum is nearest to `spectrum`, by coordinate descent from `found`.
    fn explain(&self, spectrum: &[f32; BINS], found: &mut [f32; NOTES]) {
        let asked: [f32; NOTES] =
            std::array::from_fn(|n| self.notes[n].iter().map(|(bin, x)| x * spectrum[*bin]).sum());
        for _ in 0..ROUNDS {
            for note in 0..NOTES {
                let others: f32 = self.alike[note].iter().zip(found.iter()).map(|(a, x)| a * x).sum();
                let own = self.alike[note][note];
                found[note] = (found[note] + (asked[note] - others) / own).max(0.0);
            }
        }
    }
}
