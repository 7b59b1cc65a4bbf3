//! A quick hash of short lists of small numbers. What is kept by it is only looked up, never read in its order.

use std::hash::{BuildHasherDefault, Hasher};

/// For a map whose keys are such lists.
pub(super) type Hashed = BuildHasherDefault<Mixed>;

/// An odd number with its bits well mixed (the golden section of 2^64).
const MIXER: u64 = 0x9e37_79b9_7f4a_7c15;

/// The numbers so far, mixed.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Mixed(u64);

impl Hasher for Mixed {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }

    fn write_u32(&mut self, number: u32) {
        self.write_u64(u64::from(number));
    }

    fn write_u64(&mut self, number: u64) {
        self.0 = (self.0.rotate_left(5) ^ number).wrapping_mul(MIXER);
    }

    fn write_usize(&mut self, number: usize) {
        self.write_u64(number as u64);
    }

    fn finish(&self) -> u64 {
        // the high bits are mixed best, and a map looks at both ends
        self.0 ^ (self.0 >> 32)
    }
}
