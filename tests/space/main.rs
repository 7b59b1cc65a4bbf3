//! Scans: files of every kind, whole and damaged, and gaps to scans of known forms.

#![expect(clippy::unwrap_used, reason = "tests")]

mod asked;
mod damaged;
mod facets;
mod forms;
mod kinds;
mod measured;
mod reference;
mod refused;
mod sampled;
mod watched;
mod written;

use forms::Form;
use pipeloft_core::space::scan::{Scan, ScanError, Unwatched, read};
use std::path::PathBuf;
use tempfile::TempDir;

/// A folder for the files of one test.
pub(crate) struct Bench {
    folder: TempDir,
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }

    /// Writes a file and reads it as a scan.
    pub(crate) fn read(&self, name: &str, bytes: &[u8]) -> Result<Scan, ScanError> {
        read(&self.put(name, bytes), &Unwatched)
    }
}

/// The corners of all triangles of a scan.
pub(crate) fn corners(scan: &Scan) -> Vec<[glam::DVec3; 3]> {
    (0..scan.len() as u32).filter_map(|triangle| scan.corners(triangle)).collect()
}

/// A form with numbers that every kind of file holds exactly.
pub(crate) fn sample() -> Form {
    let form = forms::torus(24, 12, 400.0, 90.0);
    let exact = |x: f64| (x * 8.0).round() / 8.0;
    form.moved(|p| glam::DVec3::new(exact(p.x) + 512.0, exact(p.y), exact(p.z) - 64.0))
}
