//! The numbers of a glTF file: in the file, in its text, or in files beside it.

use super::KIND;
use super::document::Document;
use crate::disk::{self, DiskError};
use crate::space::scan::error::{Fault, MAX_BYTES};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::io::{BufReader, Cursor, Read, Seek as _, SeekFrom};
use std::path::{Component, Path, PathBuf};

/// Where the numbers of a buffer are.
pub(super) enum Buffer {
    File { path: PathBuf, at: u64, length: u64 },
    Memory(Vec<u8>),
}

impl Buffer {
    /// How many bytes it has.
    pub(super) fn length(&self) -> u64 {
        match self {
            Self::File { length, .. } => *length,
            Self::Memory(bytes) => bytes.len() as u64,
        }
    }

    /// The bytes from `at` on.
    pub(super) fn from(&self, at: u64) -> std::io::Result<Box<dyn Read + '_>> {
        Ok(match self {
            Self::File { path, at: start, length } => {
                let (mut file, _) = disk::open(path, MAX_BYTES).map_err(std::io::Error::other)?;
                file.seek(SeekFrom::Start(start + at))?;
                Box::new(BufReader::with_capacity(1 << 16, file.take(length.saturating_sub(at))))
            }
            Self::Memory(bytes) => {
                let mut bytes = Cursor::new(bytes);
                bytes.set_position(at);
                Box::new(bytes)
            }
        })
    }
}

/// The buffers of the file at `path`; `blob` is the one in the file itself.
pub(super) fn buffers(
    path: &Path,
    document: &Document,
    mut blob: Option<Buffer>,
) -> Result<Vec<Buffer>, Fault> {
    let mut all = Vec::new();
    for buffer in &*document.buffers {
        let found = match &buffer.uri {
            None => blob.take().ok_or_else(|| Fault::damaged(KIND, "its numbers are missing"))?,
            Some(uri) => match uri.strip_prefix("data:") {
                Some(data) => {
                    let text = data.split_once("base64,").map_or("", |(_, text)| text);
                    let bytes = STANDARD.decode(text.trim());
                    Buffer::Memory(bytes.map_err(|error| Fault::damaged(KIND, error.to_string()))?)
                }
                None => beside(path, uri)?,
            },
        };
        if found.length() < buffer.byte_length {
            return Err(Fault::damaged(KIND, "its numbers end too early"));
        }
        all.push(found);
    }
    Ok(all)
}

/// The file that `uri` names, if it lies in the folder of `path` or below it.
fn beside(path: &Path, uri: &str) -> Result<Buffer, Fault> {
    let outside = || Fault::Outside { uri: uri.chars().take(80).collect() };
    let name = percent_decoded(uri).ok_or_else(outside)?;
    let inside = Path::new(&name).components().all(|part| matches!(part, Component::Normal(_)));
    if !inside || name.is_empty() || name.contains([':', '\\', '\0']) {
        return Err(outside());
    }
    let companion = |source| Fault::Companion { uri: uri.chars().take(80).collect(), source };
    let folder = path.parent().unwrap_or(Path::new(""));
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    // links are followed before it is asked where the file lies
    let folder = folder.canonicalize().map_err(companion)?;
    let file = folder.join(name).canonicalize().map_err(companion)?;
    if !file.starts_with(&folder) {
        return Err(outside());
    }
    match disk::open(&file, MAX_BYTES) {
        Ok((_, length)) => Ok(Buffer::File { path: file, at: 0, length }),
        Err(DiskError::Read(source)) => Err(companion(source)),
        Err(DiskError::NotAFile { .. }) => Err(outside()),
        Err(DiskError::Empty) => Ok(Buffer::File { path: file, at: 0, length: 0 }),
        Err(DiskError::TooLarge { bytes, .. }) => Err(Fault::TooLarge { bytes }),
    }
}

/// The text with `%20` and the like in place (RFC 3986, 2.1); `None` where that is no text.
fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let [first, tail @ ..] = rest {
        rest = tail;
        if *first == b'%' {
            let digits = std::str::from_utf8(rest.get(..2)?).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
            rest = &rest[2..];
        } else {
            bytes.push(*first);
        }
    }
    String::from_utf8(bytes).ok()
}
