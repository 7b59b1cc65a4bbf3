//! Why a scan could not be read, in sentences.

use super::clean::Dropped;
use super::watch::Cancelled;
use crate::disk::DiskError;
use std::io;
use std::path::PathBuf;

/// A file larger than this is refused, bytes.
pub const MAX_BYTES: u64 = 1_000_000_000;

/// A scan with more triangles than this is refused.
pub const MAX_TRIANGLES: u64 = 2_000_000;

/// A scan with more points than this is refused: no two triangles would share one.
pub const MAX_POINTS: u64 = 3 * MAX_TRIANGLES;

/// Why the scan at `path` could not be read. `Display` is a sentence with the path.
#[derive(Debug, thiserror::Error)]
#[error("{}: {fault}", path.display())]
pub struct ScanError {
    /// The file.
    pub path: PathBuf,
    /// What is wrong with it.
    pub fault: Fault,
}

/// What is wrong with a scan.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum Fault {
    #[error("was not read to the end, as asked.")]
    Cancelled,
    #[error("cannot be read ({0}). Check that the file is there and may be read.")]
    Read(io::Error),
    #[error("is {what}, not a file. Choose the file of the scan.")]
    NotAFile { what: &'static str },
    #[error("is empty. Export the scan again.")]
    Empty,
    #[error(
        "is {} MB, more than the {} MB that are read. Cut the scan down to the part round the pipes, or thin it out, and export it again.",
        bytes / 1_000_000,
        MAX_BYTES / 1_000_000
    )]
    TooLarge { bytes: u64 },
    #[error(
        "has {triangles} triangles, more than the {MAX_TRIANGLES} that can be worked with. Cut the scan down to the part round the pipes, or thin it out, and export it again."
    )]
    TooManyTriangles { triangles: u64 },
    #[error(
        "has {points} points, more than the {MAX_POINTS} that can be worked with. Cut the scan down to the part round the pipes, or thin it out, and export it again."
    )]
    TooManyPoints { points: u64 },
    #[error("is none of the kinds that are read. Export the scan as STL, OBJ, PLY, 3MF or glTF.")]
    UnknownKind,
    #[error("is damaged or not whole: {what}. Export the scan again as {kind}, or as another kind.")]
    Damaged { kind: &'static str, what: String },
    #[error(
        "uses something of {kind} that is not read: {what}. Export the scan without it, or as another kind."
    )]
    NotRead { kind: &'static str, what: String },
    #[error(
        "names the file {uri} to go with it, which is not beside it in its folder. Put the two together, or export the scan as one GLB file."
    )]
    Outside { uri: String },
    #[error(
        "needs the file {uri} to go with it, which cannot be read ({source}). Put the two together, or export the scan as one GLB file."
    )]
    Companion { uri: String, source: io::Error },
    #[error(
        "holds {points} points but no triangles. Make a mesh of the points in the scanner's program and export that."
    )]
    NoTriangles { points: u64 },
    #[error("holds no points and no triangles. Export the scan again.")]
    Nothing,
    #[error("holds no triangle that can be used ({dropped}). Export the scan again.")]
    NothingLeft { dropped: Dropped },
    #[error("spans more than can be told in numbers. Export the scan again with the unit checked.")]
    TooWide,
}

impl Fault {
    /// A damaged file of the given kind.
    pub(super) fn damaged(kind: &'static str, what: impl Into<String>) -> Self {
        let text: String = what.into();
        // what a library says may be long and in lines; the sentence takes its beginning
        let line =
            text.split(['\n', '\r', '\t']).find(|l| !l.trim().is_empty()).unwrap_or("it cannot be made out");
        let short: String = line.trim().chars().filter(|c| !c.is_control()).take(160).collect();
        Self::Damaged { kind, what: short.trim_end_matches(['.', ' ', ':']).to_owned() }
    }

    /// Something a file of the given kind may use but is not read.
    pub(super) fn not_read(kind: &'static str, what: impl Into<String>) -> Self {
        Self::NotRead { kind, what: what.into() }
    }

    /// An error of reading within a file of the given kind.
    pub(super) fn of_io(kind: &'static str, error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => Self::damaged(kind, "it ends too early"),
            io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput => {
                Self::damaged(kind, error.to_string())
            }
            _ => Self::Read(error),
        }
    }
}

impl From<DiskError> for Fault {
    fn from(error: DiskError) -> Self {
        match error {
            DiskError::Read(error) => Self::Read(error),
            DiskError::NotAFile { what } => Self::NotAFile { what },
            DiskError::Empty => Self::Empty,
            DiskError::TooLarge { bytes, .. } => Self::TooLarge { bytes },
        }
    }
}

impl From<Cancelled> for Fault {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}
