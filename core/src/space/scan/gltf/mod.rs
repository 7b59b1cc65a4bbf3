//! glTF 2.0 in text and in binary (Khronos Group, ISO/IEC 12113:2022).
//!
//! Read here and not by a library: that stops the program on files whose lists are shorter than they claim. Numbers
//! are read straight from the file, every range checked: a scan's textures may be many times its mesh and need not
//! be in memory.

mod buffer;
mod document;

use super::ScanAxes;
use super::error::Fault;
use super::feed::Feed;
use super::read::FileContent;
use super::soup::Soup;
use super::unit::ScanUnit;
use super::watch::Steps;
use buffer::{Buffer, buffers};
use document::{Accessor, Document, Mesh, Primitive};
use glam::{DMat4, DVec3};
use std::collections::HashMap;
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;

const KIND: &str = "glTF";

/// JSON longer than this is refused, bytes: it is parsed in one go, within about a tenth of a second.
const MAX_JSON: u64 = 64_000_000;

/// How the corners of a primitive make triangles, by the standard's numbers.
const TRIANGLES: u32 = 4;
const STRIP: u32 = 5;
const FAN: u32 = 6;

/// How a number is written, by the standard's numbers.
const BYTE: u32 = 5121;
const SHORT: u32 = 5123;
const INT: u32 = 5125;
const FLOAT: u32 = 5126;

/// Numbers read between two looks at the watch.
const CHUNK: usize = 16_384;

/// Reads a file of text.
pub(super) fn text(path: &Path, file: File, bytes: u64, steps: &Steps<'_>) -> Result<FileContent, Fault> {
    if bytes > MAX_JSON {
        let what = format!("{} MB of text; as GLB it is read", bytes / 1_000_000);
        return Err(Fault::not_read(KIND, what));
    }
    let mut json = Vec::new();
    Feed::bytes(file.take(bytes), bytes, steps)
        .read_to_end(&mut json)
        .map_err(|error| Fault::of_io(KIND, error))?;
    meshes(path, &json, None, steps)
}

/// Reads a binary file: a header, a chunk of JSON, and most often one of numbers.
pub(super) fn binary(
    path: &Path,
    mut file: File,
    bytes: u64,
    steps: &Steps<'_>,
) -> Result<FileContent, Fault> {
    let of_io = |error| Fault::of_io(KIND, error);
    let mut head = [0; 20];
    file.read_exact(&mut head).map_err(of_io)?;
    let word =
        |at: usize| u64::from(u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]));
    if word(4) != 2 {
        return Err(Fault::not_read(KIND, format!("version {}", word(4))));
    }
    let (whole, length) = (word(8), word(12));
    if whole > bytes || 20 + length > whole || &head[16..20] != b"JSON" {
        return Err(Fault::damaged(KIND, format!("it says it is {whole} bytes long but has {bytes}")));
    }
    if length > MAX_JSON {
        return Err(Fault::not_read(KIND, format!("{} MB of JSON", length / 1_000_000)));
    }
    let mut json = Vec::new();
    Feed::bytes(file.by_ref().take(length), bytes, steps).read_to_end(&mut json).map_err(of_io)?;
    file.seek(SeekFrom::Start(20 + length)).map_err(of_io)?;
    let mut head = [0; 8];
    let mut blob = None;
    if whole >= 28 + length {
        file.read_exact(&mut head).map_err(of_io)?;
        let held = u64::from(u32::from_le_bytes([head[0], head[1], head[2], head[3]]));
        if &head[4..8] == b"BIN\0" {
            if 28 + length + held > whole {
                return Err(Fault::damaged(KIND, "its numbers end too early"));
            }
            blob = Some(Buffer::File { path: path.to_owned(), at: 28 + length, length: held });
        }
    }
    meshes(path, &json, blob, steps)
}

fn meshes(path: &Path, json: &[u8], blob: Option<Buffer>, steps: &Steps<'_>) -> Result<FileContent, Fault> {
    let document = Document::read(json)?;
    let buffers = buffers(path, &document, blob)?;
    let document = &document;
    let mut reader =
        Meshes { document, buffers, soup: Soup::default(), steps, read: 0, places: HashMap::new() };
    match document.scenes.get(document.scene.unwrap_or(0)) {
        Some(scene) => {
            let mut waiting: Vec<(usize, DMat4)> =
                scene.nodes.iter().map(|&node| (node, DMat4::IDENTITY)).collect();
            let mut seen = vec![false; document.nodes.len()];
            while let Some((index, place)) = waiting.pop() {
                let missing = || Fault::damaged(KIND, format!("part {index} of it is not there"));
                let node = document.nodes.get(index).ok_or_else(missing)?;
                if std::mem::replace(&mut seen[index], true) {
                    return Err(Fault::damaged(KIND, "a part of it is part of two others, or of itself"));
                }
                let place = place * node.place();
                if let Some(mesh) = node.mesh {
                    let missing = || Fault::damaged(KIND, format!("mesh {mesh} of it is not there"));
                    reader.mesh(document.meshes.get(mesh).ok_or_else(missing)?, place)?;
                }
                waiting.extend(node.children.iter().map(|&child| (child, place)));
            }
        }
        // nothing is named to be shown: all that is there
        None => document.meshes.iter().try_for_each(|mesh| reader.mesh(mesh, DMat4::IDENTITY))?,
    }
    let unit = Some((ScanUnit::Metre, "The glTF standard".to_owned()));
    Ok(FileContent { soup: reader.soup, unit, axes: ScanAxes::YUpZForward })
}

struct Meshes<'a> {
    document: &'a Document,
    buffers: Vec<Buffer>,
    soup: Soup,
    steps: &'a Steps<'a>,
    /// Numbers read so far.
    read: u64,
    /// Where the points of an accessor begin, within one mesh: its primitives most often share them.
    places: HashMap<usize, u32>,
}

impl<'a> Meshes<'a> {
    fn mesh(&mut self, mesh: &Mesh, place: DMat4) -> Result<(), Fault> {
        self.places.clear();
        self.tell()?;
        mesh.primitives.iter().try_for_each(|primitive| self.primitive(primitive, place))
    }

    fn primitive(&mut self, primitive: &Primitive, place: DMat4) -> Result<(), Fault> {
        // points and lines are no surface
        let (TRIANGLES | STRIP | FAN, Some(position)) = (primitive.mode, primitive.attributes.position)
        else {
            return Ok(());
        };
        let positions = self.accessor(position)?;
        let indices = primitive.indices.map(|index| self.accessor(index)).transpose()?;
        let corners = indices.map_or(positions.count, |indices| indices.count);
        let triangles = if primitive.mode == TRIANGLES { corners / 3 } else { corners.saturating_sub(2) };
        let known = self.places.get(&position).copied();
        self.soup.would_hold(if known.is_some() { 0 } else { positions.count }, triangles)?;
        let first = match known {
            Some(first) => first,
            None => self.points(positions, place)?,
        };
        self.places.insert(position, first);
        let own = positions.count as u32;
        let corners = match indices {
            Some(indices) => self.indices(indices)?,
            None => (0..own).collect(),
        };
        self.triangles(&corners, primitive.mode, first, own);
        Ok(())
    }

    fn accessor(&self, index: usize) -> Result<&'a Accessor, Fault> {
        let missing = || Fault::damaged(KIND, format!("list {index} of its numbers is not there"));
        self.document.accessors.get(index).ok_or_else(missing)
    }

    fn triangles(&mut self, corners: &[u32], mode: u32, first: u32, own: u32) {
        let mut put = |corners: [u32; 3]| {
            if corners.iter().all(|&corner| corner < own) {
                self.soup.triangle(corners.map(|corner| first + corner));
            } else {
                self.soup.lost(1);
            }
        };
        match mode {
            STRIP => corners.windows(3).for_each(|c| put([c[0], c[1], c[2]])),
            FAN => corners.windows(2).skip(1).for_each(|c| put([corners[0], c[0], c[1]])),
            _ => corners.chunks_exact(3).for_each(|c| put([c[0], c[1], c[2]])),
        }
    }

    /// Adds the points of an accessor; the place of the first.
    fn points(&mut self, accessor: &Accessor, place: DMat4) -> Result<u32, Fault> {
        if accessor.component_type != FLOAT || accessor.shape != "VEC3" {
            return Err(Fault::not_read(KIND, "points that are not three 32-bit numbers"));
        }
        let mut first = None;
        let mut soup = std::mem::take(&mut self.soup);
        self.each(accessor, |bytes: [u8; 12]| {
            let number = |at: usize| {
                f64::from(f32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]]))
            };
            let at = soup.point(place.transform_point3(DVec3::new(number(0), number(4), number(8))));
            first.get_or_insert(at);
        })?;
        self.soup = soup;
        Ok(first.unwrap_or(0))
    }

    fn indices(&mut self, accessor: &Accessor) -> Result<Vec<u32>, Fault> {
        let mut all = Vec::new();
        match (accessor.component_type, accessor.shape.as_str()) {
            (BYTE, "SCALAR") => self.each(accessor, |[byte]: [u8; 1]| all.push(u32::from(byte))),
            (SHORT, "SCALAR") => self.each(accessor, |bytes| all.push(u32::from(u16::from_le_bytes(bytes)))),
            (INT, "SCALAR") => self.each(accessor, |bytes| all.push(u32::from_le_bytes(bytes))),
            _ => Err(Fault::damaged(KIND, "corners in it are no whole numbers")),
        }?;
        Ok(all)
    }

    /// Hands on every entry of an accessor, `N` bytes each.
    fn each<const N: usize>(
        &mut self,
        accessor: &Accessor,
        mut take: impl FnMut([u8; N]),
    ) -> Result<(), Fault> {
        if accessor.sparse.is_some() {
            return Err(Fault::not_read(KIND, "numbers given as changes to others"));
        }
        let Some(view) = accessor.buffer_view else {
            return Err(Fault::not_read(KIND, "numbers that are compressed or not in the file"));
        };
        let short = || Fault::damaged(KIND, "its numbers end too early");
        let view = self.document.buffer_views.get(view).ok_or_else(short)?;
        let buffer = self.buffers.get(view.buffer).ok_or_else(short)?;
        let (size, stride) = (N as u64, view.byte_stride.filter(|stride| *stride > 0).unwrap_or(N as u64));
        // the standard's widest is 252
        if !(size..=255).contains(&stride) {
            return Err(Fault::damaged(KIND, "its numbers lie too near or too far apart"));
        }
        let span = accessor.count.checked_sub(1).and_then(|last| last.checked_mul(stride)?.checked_add(size));
        let end = span.and_then(|span| span.checked_add(accessor.byte_offset)).ok_or_else(short)?;
        let last = view.byte_offset.checked_add(end).ok_or_else(short)?;
        if end > view.byte_length || last > buffer.length() {
            return Err(short());
        }
        let of_io = |error| Fault::of_io(KIND, error);
        let mut from = buffer.from(view.byte_offset + accessor.byte_offset).map_err(of_io)?;
        let (mut bytes, mut between) = ([0; N], vec![0; (stride - size) as usize]);
        for entry in 0..accessor.count {
            if (entry as usize).is_multiple_of(CHUNK) {
                self.tell()?;
            }
            from.read_exact(&mut bytes).map_err(of_io)?;
            take(bytes);
            self.read += 1;
            if entry + 1 < accessor.count {
                from.read_exact(&mut between).map_err(of_io)?;
            }
        }
        Ok(())
    }

    /// How much is to come is not known beforehand: it nears the end without reaching it.
    fn tell(&self) -> Result<(), Fault> {
        let read = self.read as f64;
        Ok(self.steps.at(read / (read + 1e6))?)
    }
}
