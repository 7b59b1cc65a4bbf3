//! Reading a scan of any kind.

use super::clean::clean;
use super::error::{Fault, MAX_BYTES, ScanError};
use super::feed::Feed;
use super::fingerprint::of_file;
use super::soup::Soup;
use super::unit::{ScanUnit, UnitFound};
use super::watch::Steps;
use super::{Scan, ScanAxes, gltf, obj, ply, stl, threemf};
use crate::disk;
use crate::watch::Watch;
use std::fs::File;
use std::io::{Read as _, Seek as _};
use std::path::Path;

/// The kinds of file that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanKind {
    /// STL in binary.
    StlBinary,
    /// STL in text.
    StlText,
    /// Wavefront OBJ.
    Obj,
    /// PLY in text or binary of either byte order.
    Ply,
    /// 3MF.
    ThreeMf,
    /// glTF in text, with its buffers in the same file or beside it.
    Gltf,
    /// glTF in binary.
    Glb,
}

impl ScanKind {
    /// Its name, as the trade writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::StlBinary | Self::StlText => "STL",
            Self::Obj => "OBJ",
            Self::Ply => "PLY",
            Self::ThreeMf => "3MF",
            Self::Gltf => "glTF",
            Self::Glb => "GLB",
        }
    }

    /// Endings of file names of these kinds, for a dialog that asks for a file.
    pub const ENDINGS: [&'static str; 6] = ["stl", "obj", "ply", "3mf", "gltf", "glb"];
}

/// What a reader of one kind brings.
pub(super) struct FileContent {
    /// Points and triangles.
    pub(super) soup: Soup,
    /// The unit the file says, and what in it says so.
    pub(super) unit: Option<(ScanUnit, String)>,
    /// How its axes lie.
    pub(super) axes: ScanAxes,
}

impl FileContent {
    /// A mesh of which nothing more is known.
    pub(super) fn bare(soup: Soup) -> Self {
        Self { soup, unit: None, axes: ScanAxes::Unsaid }
    }
}

/// Reads the scan at `path`, and takes the fingerprint of the file.
///
/// The kind is told by what stands in the file, and by the ending of its name where that does not tell. However
/// large the counts in a file are, no more memory is taken than what the file really holds needs, up to
/// [`MAX_BYTES`](super::MAX_BYTES), [`MAX_TRIANGLES`](super::MAX_TRIANGLES) and
/// [`MAX_POINTS`](super::MAX_POINTS).
pub fn read(path: &Path, watch: &dyn Watch) -> Result<Scan, ScanError> {
    read_inner(path, watch).map_err(|fault| sentence(path, fault, watch))
}

fn read_inner(path: &Path, watch: &dyn Watch) -> Result<Scan, Fault> {
    let steps = Steps::new(watch);
    steps.stage(0.0, 0.65);
    let (kind, found) = parse(path, &steps)?;
    found.soup.check()?;
    steps.stage(0.65, 0.8);
    let (file, bytes) = open(path)?;
    let fingerprint = of_file(file, bytes, &steps)?;
    steps.stage(0.8, 1.0);
    let mesh = clean(found.soup, &steps)?;
    let (low, high) = mesh.bounds();
    let unit = match found.unit {
        Some((unit, by)) => UnitFound::said(unit, &by),
        None => UnitFound::guessed(high - low),
    };
    steps.finish();
    Ok(Scan { mesh, unit, axes: found.axes, source: Some((kind, fingerprint)) })
}

/// The file at `path` and its length.
pub(super) fn open(path: &Path) -> Result<(File, u64), Fault> {
    Ok(disk::open(path, MAX_BYTES)?)
}

/// The error with its path. Whatever came of it, work that was asked to stop says that.
pub(super) fn sentence(path: &Path, fault: Fault, watch: &dyn Watch) -> ScanError {
    let fault = if watch.is_cancelled() { Fault::Cancelled } else { fault };
    ScanError { path: path.to_owned(), fault }
}

fn parse(path: &Path, steps: &Steps<'_>) -> Result<(ScanKind, FileContent), Fault> {
    let (mut file, bytes) = open(path)?;
    let kind = kind_of(&mut file, bytes, path)?;
    let found = match kind {
        // a file that grows meanwhile is read as long as it was
        ScanKind::StlBinary => stl::binary(Feed::bytes(file.take(bytes), bytes, steps), bytes),
        ScanKind::StlText => stl::text(Feed::records(file.take(bytes), bytes, steps)),
        ScanKind::Obj => obj::read(Feed::records(file.take(bytes), bytes, steps)),
        ScanKind::Ply => ply::read(Feed::records(file.take(bytes), bytes, steps), bytes),
        ScanKind::ThreeMf => threemf::read(file, bytes, steps),
        ScanKind::Gltf => gltf::text(path, file, bytes, steps),
        ScanKind::Glb => gltf::binary(path, file, bytes, steps),
    };
    Ok((kind, found?))
}

/// Bytes at the start of a file that its kind is told by.
const HEAD: u64 = 4096;

fn kind_of(file: &mut File, bytes: u64, path: &Path) -> Result<ScanKind, Fault> {
    let mut head = Vec::new();
    file.by_ref().take(HEAD).read_to_end(&mut head).map_err(Fault::Read)?;
    file.rewind().map_err(Fault::Read)?;
    by_content(&head, bytes).or_else(|| by_ending(path, &head)).ok_or(Fault::UnknownKind)
}

fn by_content(head: &[u8], bytes: u64) -> Option<ScanKind> {
    let text = head.trim_ascii_start();
    if head.starts_with(b"glTF") {
        Some(ScanKind::Glb)
    } else if head.starts_with(b"PK") {
        Some(ScanKind::ThreeMf)
    } else if head.starts_with(b"ply\n") || head.starts_with(b"ply\r") {
        Some(ScanKind::Ply)
    } else if stl::binary_length(head) == Some(bytes) {
        // before the look for "solid": many binary files begin with that word too
        Some(ScanKind::StlBinary)
    } else if text.len() >= 5 && text[..5].eq_ignore_ascii_case(b"solid") && !head.contains(&0) {
        Some(ScanKind::StlText)
    } else if text.starts_with(b"{") {
        Some(ScanKind::Gltf)
    } else {
        None
    }
}

/// The kind that the ending of the name says. Where the content says none it is OBJ, which has no mark of its own,
/// or a file that is damaged at its beginning, which its reader then says.
fn by_ending(path: &Path, head: &[u8]) -> Option<ScanKind> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    let is_text =
        std::str::from_utf8(head).map_or_else(|e| e.error_len().is_none(), |_| true) && !head.contains(&0);
    Some(match ending.as_str() {
        "stl" if is_text => ScanKind::StlText,
        "stl" => ScanKind::StlBinary,
        "obj" => ScanKind::Obj,
        "ply" => ScanKind::Ply,
        "3mf" => ScanKind::ThreeMf,
        "gltf" => ScanKind::Gltf,
        "glb" => ScanKind::Glb,
        _ => return None,
    })
}
