//! Pseudo-random numbers, the same every time: where a log happens to lie.

/// A sequence of pseudo-random numbers, the same for the same seed.
///
/// `SplitMix64` (Steele, Lea & Flood 2014, OOPSLA, figure 17; constants from memory).
#[derive(Debug, Clone)]
pub(crate) struct Chance(u64);

impl Chance {
    /// The sequence of a seed.
    #[must_use]
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, from 0 to below 1.
    #[allow(clippy::cast_precision_loss, reason = "53 bits fit")]
    pub(crate) const fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        (z >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// The next number within a range.
    pub(crate) const fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn shares_are_spread_evenly() {
        let mut chance = Chance::new(7);
        let shares: Vec<f64> = (0..10_000).map(|_| chance.share()).collect();
        assert!(shares.iter().all(|share| (0.0..1.0).contains(share)));
        // The mean of so many lies within 0.5 +- 0.0029 two times in three.
        let mean = shares.iter().sum::<f64>() / 10_000.0;
        assert!((mean - 0.5).abs() < 0.015, "{mean}");
        let below = shares.iter().filter(|share| **share < 0.1).count();
        assert!((900..1100).contains(&below), "{below}");
    }
}
