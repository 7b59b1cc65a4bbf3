//! Numbers that look random and are the same every time.

/// A stream of numbers: Steele, Lea and Flood's `SplitMix64` (from memory).
#[derive(Debug, Clone)]
pub(super) struct Random(u64);

impl Random {
    /// The stream of a seed.
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(0x1234_5678_9ABC_DEF1))
    }

    /// The next number.
    pub(super) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 to under 1.
    pub(super) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number from `low` to under `high`.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number under `count`, which is above zero.
    pub(super) fn below(&mut self, count: usize) -> usize {
        (self.bits() % count.max(1) as u64) as usize
    }
}
