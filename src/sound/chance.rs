//! Chance that can be repeated: the same seed gives the same numbers everywhere.
//!
//! Source: SplitMix64, Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.

/// A source of chance.
#[derive(Debug, Clone)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number evenly spread over -1..1.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn even(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    /// A number near 0, within -1..1, rarely far off: the mean of three.
    pub(super) fn near(&mut self) -> f64 {
        (self.even() + self.even() + self.even()) / 3.0
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn the_first_numbers_are_the_published_ones() {
        // SplitMix64 from seed 1234567; the values printed with the reference code (from memory).
        let mut chance = Chance::new(1_234_567);
        assert_eq!(chance.bits(), 6_457_827_717_110_365_317);
        assert_eq!(chance.bits(), 3_203_168_211_198_807_973);
    }
}
