//! What a project says of a scan: which file, how large its unit, and how much of it counts.

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A scan as an obstacle. The file itself is not part of the project, only where it lies and what it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScanFile {
    /// Path of the file, from the folder of the project where it can be, with forward slashes.
    pub path: String,
    /// Length of the file when it was brought in, bytes.
    pub bytes: u64,
    /// SHA-256 sum of the file when it was brought in, in hexadecimal digits.
    pub sha256: String,
    /// Millimetres to one unit of the file.
    pub mm_per_unit: f64,
    /// Lowest corner of the scan in its own axes, mm, as far as it counts.
    pub low_mm: DVec3,
    /// Highest corner of the scan in its own axes, mm, as far as it counts.
    pub high_mm: DVec3,
    /// The box of interest, where the scan was cut down to one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keep: Option<KeepBox>,
}

/// A box along the scan's own axes: triangles outside do not count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeepBox {
    /// Lowest corner, mm.
    pub low_mm: DVec3,
    /// Highest corner, mm.
    pub high_mm: DVec3,
}

impl ScanFile {
    /// The SHA-256 sum as bytes; `None` where what stands for it is not 64 hexadecimal digits.
    pub fn sum(&self) -> Option<[u8; 32]> {
        let digits = self.sha256.as_bytes();
        let mut sum = [0; 32];
        if digits.len() != 2 * sum.len() {
            return None;
        }
        let value = |digit: u8| char::from(digit).to_digit(16).and_then(|value| u8::try_from(value).ok());
        for (byte, pair) in sum.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = 16 * value(pair[0])? + value(pair[1])?;
        }
        Some(sum)
    }

    /// What the tree of triangles made of this depends on: file, scale and box, but not where the scan stands.
    pub fn same_triangles(&self, other: &Self) -> bool {
        // the box is in millimetres, so the scale decides what lies in it
        let scale = self.keep.is_none() || self.mm_per_unit.to_bits() == other.mm_per_unit.to_bits();
        self.path == other.path
            && self.bytes == other.bytes
            && self.sha256 == other.sha256
            && self.keep == other.keep
            && scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sum_is_sixty_four_hexadecimal_digits_of_any_case() {
        let of = |digits: &str| ScanFile {
            path: "left.stl".to_owned(),
            bytes: 1,
            sha256: digits.to_owned(),
            mm_per_unit: 1.0,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::ONE,
            keep: None,
        };
        let sum = of(&"0a".repeat(32)).sum();
        assert_eq!(sum, Some([10; 32]));
        assert_eq!(of(&"0A".repeat(32)).sum(), sum);
        for wrong in ["", "0", "a", &"0a".repeat(31), &"0a".repeat(33), &"0g".repeat(32), &"é".repeat(32)] {
            assert_eq!(of(wrong).sum(), None, "{wrong}");
        }
    }
}
