//! Samples as bytes.

use super::{Format, Width};

/// Writes blocks of samples one after another.
#[derive(Debug, Clone)]
pub struct Encoder {
    width: Width,
    /// Where the dither of 16 bits comes from: the same for every file, so that the same sound gives the same bytes.
    chance: fastrand::Rng,
}

impl Encoder {
    /// An encoder at the beginning of a file.
    #[must_use]
    pub fn new(format: Format) -> Self {
        Self {
            width: format.width,
            chance: fastrand::Rng::with_seed(1),
        }
    }

    /// Appends a block: its channels, of equal length, in the order of the file. A sample of 1 is full scale; what
    /// goes beyond is cut off.
    pub fn encode(&mut self, channels: &[Vec<f32>], out: &mut Vec<u8>) {
        let frames = channels.iter().map(Vec::len).min().unwrap_or(0);
        out.reserve(frames * channels.len() * usize::from(self.width.bytes()));
        for n in 0..frames {
            for sample in channels.iter().filter_map(|channel| channel.get(n)) {
                self.sample(*sample, out);
            }
        }
    }

    #[allow(clippy::cast_possible_truncation)] // kept within the width
    fn sample(&mut self, sample: f32, out: &mut Vec<u8>) {
        match self.width {
            Width::Pcm16 => {
                // Silence stays silence; anything else is spread by a triangle two steps wide, so that rounding does
                // not follow the music.
                let dither = if sample == 0.0 {
                    0.0
                } else {
                    self.chance.f32() - self.chance.f32()
                };
                let value = (sample * 32_767.0 + dither).round().clamp(-32_768.0, 32_767.0) as i16;
                out.extend_from_slice(&value.to_le_bytes());
            }
            Width::Pcm24 => {
                let value = (sample * 8_388_607.0).round().clamp(-8_388_608.0, 8_388_607.0) as i32;
                let [low, middle, high, _] = value.to_le_bytes();
                out.extend_from_slice(&[low, middle, high]);
            }
            Width::Float32 => out.extend_from_slice(&sample.to_le_bytes()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn encoded(width: Width, samples: &[f32]) -> Vec<u8> {
        let format = Format {
            rate: 48_000,
            channels: 1,
            width,
        };
        let mut out = Vec::new();
        Encoder::new(format).encode(&[samples.to_vec()], &mut out);
        out
    }

    #[test]
    fn full_scale_and_beyond_stay_within_the_width() {
        let samples = [1.0, -1.0, 2.0, -2.0, 0.0, f32::NAN];
        let of_24: Vec<i32> = encoded(Width::Pcm24, &samples)
            .chunks(3)
            .map(|b| i32::from_le_bytes([0, b[0], b[1], b[2]]) >> 8)
            .collect();
        assert_eq!(of_24, [8_388_607, -8_388_607, 8_388_607, -8_388_608, 0, 0]);
        let of_16: Vec<i16> = encoded(Width::Pcm16, &samples)
            .chunks(2)
            .map(|b| i16::from_le_bytes([b[0], b[1]]))
            .collect();
        assert_eq!((of_16[2], of_16[3], of_16[4]), (32_767, -32_768, 0));
        assert_eq!(encoded(Width::Float32, &[0.25]), 0.25_f32.to_le_bytes());
    }

    #[test]
    fn a_level_of_a_third_of_a_step_survives_16_bits_on_average() {
        let samples = vec![1.0 / 3.0 / 32_767.0; 90_000];
        let bytes = encoded(Width::Pcm16, &samples);
        let sum: i32 = bytes
            .chunks(2)
            .map(|b| i32::from(i16::from_le_bytes([b[0], b[1]])))
            .sum();
        let mean = f64::from(sum) / 90_000.0;
        assert!((mean - 1.0 / 3.0).abs() < 0.01, "{mean}");
    }
}
