//! Files as they lie on the disk: only ordinary ones are opened, never more of them is read than was allowed, and what
//! is written takes the place of what was there whole or not at all.
//!
//! Knows no project and no scan: bytes only.

mod replace;
mod set;

pub use replace::{WriteError, before_path, replace, replace_keeping, tidy};
pub use set::{Replaced, SetError, SetFile, replace_set};

use std::fs::{File, FileType};
use std::io::{self, Read};
use std::path::Path;

/// Why a file was not opened or read.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum DiskError {
    #[error("cannot be read ({0})")]
    Read(#[from] io::Error),
    /// A folder, a device, a pipe: `what` begins with "a".
    #[error("is {what}, not a file")]
    NotAFile { what: &'static str },
    #[error("is empty")]
    Empty,
    #[error("has {bytes} bytes, and {most} are read")]
    TooLarge { bytes: u64, most: u64 },
}

/// Opens an ordinary file of 1 to `most` bytes, and gives its length.
///
/// A pipe or a device has no end or no beginning: opening one may wait for ever, and reading it may fill the memory.
/// What is opened may still grow; who reads it takes no more than the length given here.
pub fn open(path: &Path, most: u64) -> Result<(File, u64), DiskError> {
    // asked before it is opened: opening a pipe waits until somebody writes into it
    ordinary(std::fs::metadata(path)?.file_type())?;
    let file = File::open(path)?;
    let about = file.metadata()?;
    ordinary(about.file_type())?;
    match about.len() {
        0 => Err(DiskError::Empty),
        bytes if bytes > most => Err(DiskError::TooLarge { bytes, most }),
        bytes => Ok((file, bytes)),
    }
}

/// The bytes of an ordinary file of at most `most` bytes.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, DiskError> {
    let (file, _) = open(path, most)?;
    read_at_most(file, most)
}

/// All that comes out of `from`, where that is no more than `most` bytes; no more than that is kept of it.
fn read_at_most(from: impl Read, most: u64) -> Result<Vec<u8>, DiskError> {
    let mut bytes = Vec::new();
    from.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    let length = bytes.len() as u64;
    if length > most { Err(DiskError::TooLarge { bytes: length, most }) } else { Ok(bytes) }
}

fn ordinary(kind: FileType) -> Result<(), DiskError> {
    if kind.is_file() { Ok(()) } else { Err(DiskError::NotAFile { what: kind_name(kind) }) }
}

/// What something that is no file is called.
fn kind_name(kind: FileType) -> &'static str {
    if kind.is_dir() {
        return "a folder";
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        if kind.is_fifo() {
            return "a pipe between programs";
        }
        if kind.is_socket() {
            return "a socket between programs";
        }
    }
    "a device"
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blanks without end, and how many have been given.
    struct Endless<'a>(&'a mut u64);

    impl Read for Endless<'_> {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            into.fill(b' ');
            *self.0 += into.len() as u64;
            Ok(into.len())
        }
    }

    #[test]
    fn what_never_ends_is_read_no_further_than_allowed() {
        let mut given = 0_u64;
        let error = read_at_most(Endless(&mut given), 100_000).unwrap_err();
        assert!(matches!(error, DiskError::TooLarge { bytes: 100_001, most: 100_000 }), "{error}");
        assert_eq!(given, 100_001);
        assert_eq!(read_at_most(&b"1234"[..], 4).unwrap(), b"1234");
        assert!(read_at_most(&b"12345"[..], 4).is_err());
    }

    #[test]
    fn folders_and_what_is_not_there_are_told_apart() {
        let folder = std::env::temp_dir();
        assert!(matches!(open(&folder, 10), Err(DiskError::NotAFile { what: "a folder" })));
        assert!(matches!(open(&folder.join("no such file"), 10), Err(DiskError::Read(_))));
    }
}
