//! Whether a file still holds what it held when it was last looked at.

use super::MAX_BYTES;
use crate::disk::{self, DiskError};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::io::ErrorKind;
use std::path::Path;

/// Length and SHA-256 sum of what a file holds: two that are the same are of files that hold the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Length, bytes.
    bytes: u64,
    /// Secure Hash Algorithm of 256 bits (NIST FIPS 180-4) over all of it.
    sha256: [u8; 32],
}

impl Stamp {
    /// The stamp of a file that holds this.
    pub fn of(content: &[u8]) -> Self {
        Self { bytes: content.len() as u64, sha256: Sha256::digest(content).into() }
    }

    /// The stamp of the file at `path`; `None` where there is none. An error where something is there that no project
    /// can be read from.
    pub fn at(path: &Path) -> Result<Option<Self>, DiskError> {
        match disk::read(path, MAX_BYTES) {
            Ok(content) => Ok(Some(Self::of(&content))),
            Err(DiskError::Empty) => Ok(Some(Self::of(&[]))),
            Err(DiskError::Read(error))
                if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) =>
            {
                Ok(None)
            }
            Err(error) => Err(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stamp_tells_what_a_file_holds_and_that_there_is_none() {
        let path = std::env::temp_dir().join(format!("pipeloft-stamp-{}.ron", std::process::id()));
        assert_eq!(Stamp::at(&path).unwrap(), None);
        assert_eq!(Stamp::at(&path.join("below")).unwrap(), None);
        std::fs::write(&path, "").unwrap();
        assert_eq!(Stamp::at(&path).unwrap(), Some(Stamp::of(b"")));
        std::fs::write(&path, "abc").unwrap();
        assert_eq!(Stamp::at(&path).unwrap(), Some(Stamp::of(b"abc")));
        assert_ne!(Stamp::of(b"abc"), Stamp::of(b"abd"));
        // the sum of "abc" as FIPS 180-4's own example has it begins so
        assert_eq!(Stamp::of(b"abc").sha256[..4], [0xba, 0x78, 0x16, 0xbf]);
        std::fs::remove_file(&path).unwrap();
        assert!(Stamp::at(&std::env::temp_dir()).is_err());
    }
}
