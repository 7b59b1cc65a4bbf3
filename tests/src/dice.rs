//! Numbers that look random and are the same on every machine.

/// The generator of G. L. Steele, D. Lea and C. H. Flood, *Fast splittable pseudorandom number generators*, OOPSLA
/// 2014; constants from memory.
#[derive(Debug, Clone)]
pub struct Dice(pub u64);

impl Dice {
    /// The next word.
    pub fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number in [least, most).
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * ((self.word() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// A whole number below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.word() % end
    }
}
