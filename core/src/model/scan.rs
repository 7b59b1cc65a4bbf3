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
