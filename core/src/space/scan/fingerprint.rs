//! Whether a file is still the one it was.

use super::error::{Fault, ScanError};
use super::feed::Feed;
use super::watch::Steps;
use crate::watch::Watch;
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::fs::File;
use std::io::{BufRead as _, Read as _};
use std::path::Path;

/// Size and SHA-256 sum of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fingerprint {
    /// Length, bytes.
    pub bytes: u64,
    /// Secure Hash Algorithm of 256 bits (NIST FIPS 180-4) over all of it.
    pub sha256: [u8; 32],
}

impl fmt::Display for Fingerprint {
    /// The length and the sum in hexadecimal digits, as it may stand in a project.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.bytes)?;
        self.sha256.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// The fingerprint of the file at `path`; two that are the same are of files that are the same.
///
/// It does not cover files that a glTF file names.
pub fn fingerprint(path: &Path, watch: &dyn Watch) -> Result<Fingerprint, ScanError> {
    let steps = Steps::new(watch);
    let found = super::read::open(path).and_then(|(file, bytes)| of_file(file, bytes, &steps));
    let found = found.map_err(|fault| super::read::sentence(path, fault, watch))?;
    steps.finish();
    Ok(found)
}

/// The fingerprint of an open file of `total` bytes.
pub(super) fn of_file(file: File, total: u64, steps: &Steps<'_>) -> Result<Fingerprint, Fault> {
    let mut feed = Feed::bytes(file.take(total), total, steps);
    let mut sum = Sha256::new();
    loop {
        let part = feed.fill_buf().map_err(Fault::Read)?;
        if part.is_empty() {
            break;
        }
        sum.update(part);
        let count = part.len();
        feed.consume(count);
    }
    Ok(Fingerprint { bytes: feed.done(), sha256: sum.finalize().into() })
}
