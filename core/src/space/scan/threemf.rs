//! 3MF: a ZIP file with meshes in XML (*3D Manufacturing Format, Core Specification & Reference Guide*, 3MF
//! Consortium, from memory; components in other parts as in its Production Extension).
//!
//! Read entry by entry rather than into a tree of structs, so that what unpacks to more than a scan can hold is
//! refused before it fills the memory.

use super::error::{Fault, MAX_BYTES};
use super::feed::Feed;
use super::read::FileContent;
use super::soup::Soup;
use super::unit::ScanUnit;
use super::watch::Steps;
use glam::{DAffine3, DMat3, DVec3};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::HashMap;
use std::fs::File;
use std::io::{BufReader, Read};
use std::ops::Range;
use zip::ZipArchive;

const KIND: &str = "3MF";

/// Objects may be made of objects this deep; deeper is a ring.
const MAX_DEPTH: usize = 16;

/// Objects in the file, and objects placed, at most: more than any scanner writes.
const MAX_PLACED: usize = 100_000;

/// A file larger than this is refused, bytes: its directory alone could fill the memory.
const MAX_ZIP: u64 = 256_000_000;

/// A name of a part of the package is no longer than this, bytes.
const MAX_NAME: usize = 1_000;

fn too_many() -> Fault {
    Fault::not_read(KIND, format!("more than {MAX_PLACED} objects"))
}

/// Reads a file.
pub(super) fn read(file: File, bytes: u64, steps: &Steps<'_>) -> Result<FileContent, Fault> {
    if bytes > MAX_ZIP {
        return Err(Fault::not_read(KIND, format!("{} MB in one file", bytes / 1_000_000)));
    }
    let of_zip = |error: zip::result::ZipError| match error {
        zip::result::ZipError::Io(error) => Fault::of_io(KIND, error),
        other => Fault::damaged(KIND, other.to_string()),
    };
    let mut archive = ZipArchive::new(BufReader::new(file)).map_err(of_zip)?;
    let mut package = Package::default();
    let mut unpacked = 0;
    for number in 0..archive.len() {
        let entry = archive.by_index(number).map_err(of_zip)?;
        let name = entry.name().map_err(of_zip)?.into_owned();
        if !name.to_ascii_lowercase().ends_with(".model") {
            continue;
        }
        let size = entry.size();
        let left = MAX_BYTES - unpacked;
        // what the entry says of its size may be wrong: the bound is on what comes out
        let feed = Feed::records(entry.take(left + 1), size, steps);
        unpacked += package.read_part(&part_key(&name)?, feed)?;
        if unpacked > MAX_BYTES {
            return Err(Fault::TooLarge { bytes: unpacked });
        }
    }
    if !package.any {
        return Err(Fault::damaged(KIND, "it holds no model"));
    }
    package.heap.check()?;
    let unit = package.unit.map(|unit| (unit, "The 3MF file".to_owned()));
    let soup = package.placed(steps)?;
    Ok(FileContent { unit, ..FileContent::bare(soup) })
}

/// The name of a part of the package, as it is compared.
fn part_key(name: &str) -> Result<String, Fault> {
    if name.len() > MAX_NAME {
        return Err(Fault::damaged(KIND, "a name in it never ends"));
    }
    Ok(name.trim_start_matches('/').to_ascii_lowercase())
}

/// What an object is of.
enum Object {
    /// Ranges of the points and triangles of the heap.
    Mesh { points: Range<usize>, triangles: Range<usize> },
    /// Other objects.
    Group(Vec<Placing>),
}

/// An object somewhere.
#[derive(Clone)]
struct Placing {
    object: Key,
    place: DAffine3,
}

/// Part of the package and number of an object in it.
type Key = (String, u32);

/// All parts of a file.
#[derive(Default)]
struct Package {
    /// Points and triangles of all meshes, each triangle by places within its own mesh.
    heap: Soup,
    objects: HashMap<Key, Object>,
    /// Objects in the order of the file.
    order: Vec<Key>,
    items: Vec<Placing>,
    unit: Option<ScanUnit>,
    /// Objects, parts of objects and items so far.
    entries: usize,
    any: bool,
}

/// The object being read.
struct Open {
    number: u32,
    points: usize,
    triangles: usize,
    group: Vec<Placing>,
}

impl Package {
    /// Reads one part; how many bytes it unpacked to.
    fn read_part(&mut self, part: &str, feed: Feed<'_, impl Read>) -> Result<u64, Fault> {
        let mut reader = Reader::from_reader(feed);
        let (mut buffer, mut open, mut whole) = (Vec::new(), None, false);
        loop {
            buffer.clear();
            reader.get_mut().next_record();
            let event = reader.read_event_into(&mut buffer);
            match event.map_err(|error| of_xml(error, reader.get_ref().done()))? {
                Event::Start(tag) => self.begin(part, &tag, &mut open, false)?,
                Event::Empty(tag) => self.begin(part, &tag, &mut open, true)?,
                Event::End(tag) => match tag.local_name().as_ref() {
                    b"object" => self.finish_object(part, open.take()),
                    b"model" => whole = true,
                    _ => {}
                },
                Event::Eof => break,
                Event::DocType(_) => {
                    return Err(Fault::damaged(KIND, "it holds a document type, which 3MF has not"));
                }
                Event::Text(_)
                | Event::CData(_)
                | Event::Comment(_)
                | Event::Decl(_)
                | Event::PI(_)
                | Event::GeneralRef(_) => {}
            }
        }
        if !whole {
            return Err(Fault::damaged(KIND, "a model in it ends too early"));
        }
        self.any = true;
        Ok(reader.get_ref().done())
    }

    fn begin(
        &mut self,
        part: &str,
        tag: &BytesStart<'_>,
        open: &mut Option<Open>,
        empty: bool,
    ) -> Result<(), Fault> {
        let name = tag.local_name();
        if matches!(name.as_ref(), b"object" | b"component" | b"item") {
            self.entries += 1;
            if self.entries > MAX_PLACED {
                return Err(too_many());
            }
        }
        match name.as_ref() {
            b"vertex" if open.is_some() => {
                let [x, y, z] = numbers(tag, ["x", "y", "z"])?;
                self.heap.point(DVec3::new(x, y, z));
            }
            b"triangle" if open.is_some() => self.heap.indexed(numbers(tag, ["v1", "v2", "v3"])?),
            b"object" => {
                let [number] = numbers(tag, ["id"])?;
                let (points, triangles) = (self.heap.points.len(), self.heap.triangles.len());
                *open = Some(Open { number, points, triangles, group: Vec::new() });
                if empty {
                    self.finish_object(part, open.take());
                }
            }
            b"component" => {
                if let Some(open) = open {
                    open.group.push(placing(part, tag)?);
                }
            }
            b"item" => self.items.push(placing(part, tag)?),
            b"model" => {
                let word = attribute(tag, "unit")?;
                let unit = word.as_deref().map_or(Some(ScanUnit::Millimetre), ScanUnit::of_word);
                self.unit = self.unit.or(unit);
            }
            _ => {}
        }
        Ok(())
    }

    fn finish_object(&mut self, part: &str, open: Option<Open>) {
        let Some(open) = open else { return };
        let key = (part.to_owned(), open.number);
        let object = if open.group.is_empty() {
            let (points, triangles) = (self.heap.points.len(), self.heap.triangles.len());
            Object::Mesh { points: open.points..points, triangles: open.triangles..triangles }
        } else {
            Object::Group(open.group)
        };
        if self.objects.insert(key.clone(), object).is_none() {
            self.order.push(key);
        }
    }

    /// All objects that are to be built, each in its place.
    fn placed(mut self, steps: &Steps<'_>) -> Result<Soup, Fault> {
        let mut soup = Soup::default();
        soup.lost(self.heap.lost);
        let mut waiting: Vec<(Placing, usize)> =
            std::mem::take(&mut self.items).into_iter().map(|p| (p, 0)).collect();
        if waiting.is_empty() {
            // nothing is named to be built: all meshes there are
            let is_mesh = |key: &&Key| matches!(self.objects.get(*key), Some(Object::Mesh { .. }));
            let all = self.order.iter().filter(is_mesh);
            waiting.extend(all.map(|key| (Placing { object: key.clone(), place: DAffine3::IDENTITY }, 0)));
        }
        waiting.reverse();
        let mut count = 0;
        while let Some((Placing { object, place }, depth)) = waiting.pop() {
            count += 1;
            steps.at(1.0)?;
            match self.objects.get(&object) {
                Some(Object::Mesh { points, triangles }) => {
                    soup.would_hold(points.len() as u64, triangles.len() as u64)?;
                    self.put(&mut soup, points.clone(), triangles.clone(), place);
                }
                Some(Object::Group(_)) if depth >= MAX_DEPTH => {
                    return Err(Fault::damaged(KIND, "objects in it are made of themselves"));
                }
                Some(Object::Group(parts)) => {
                    if count + waiting.len() + parts.len() > MAX_PLACED {
                        return Err(too_many());
                    }
                    waiting.extend(parts.iter().rev().map(|part| {
                        let place = place * part.place;
                        (Placing { object: part.object.clone(), place }, depth + 1)
                    }));
                }
                None => return Err(Fault::damaged(KIND, format!("object {} is not in it", object.1))),
            }
        }
        Ok(soup)
    }

    /// Adds a mesh at its place. A triangle with a corner beyond the mesh's own points is lost.
    fn put(&self, soup: &mut Soup, points: Range<usize>, triangles: Range<usize>, place: DAffine3) {
        let own = points.len() as u32;
        let mut first = None;
        for point in &self.heap.points[points] {
            let at = soup.point(place.transform_point3(*point));
            first.get_or_insert(at);
        }
        let first = first.unwrap_or(0);
        for corners in &self.heap.triangles[triangles] {
            if corners.iter().all(|&corner| corner < own) {
                soup.triangle(corners.map(|corner| first + corner));
            } else {
                soup.lost(1);
            }
        }
    }
}

fn of_xml(error: quick_xml::Error, at: u64) -> Fault {
    match error {
        quick_xml::Error::Io(error) => {
            Fault::of_io(KIND, std::io::Error::new(error.kind(), error.to_string()))
        }
        other => Fault::damaged(KIND, format!("its model is wrong at byte {at}: {other}")),
    }
}

/// The value of an attribute without a prefix or with any; `None` where it is not there.
fn attribute(tag: &BytesStart<'_>, name: &str) -> Result<Option<String>, Fault> {
    for attribute in tag.attributes().with_checks(false) {
        let attribute = attribute.map_err(|error| Fault::damaged(KIND, error.to_string()))?;
        if attribute.key.local_name().as_ref() == name.as_bytes() {
            return Ok(Some(String::from_utf8_lossy(&attribute.value).into_owned()));
        }
    }
    Ok(None)
}

/// Numbers that must be there.
fn numbers<T: std::str::FromStr + Copy + Default, const N: usize>(
    tag: &BytesStart<'_>,
    names: [&str; N],
) -> Result<[T; N], Fault> {
    let mut found = [None; N];
    for attribute in tag.attributes().with_checks(false) {
        let attribute = attribute.map_err(|error| Fault::damaged(KIND, error.to_string()))?;
        if let Some(place) = names.iter().position(|name| name.as_bytes() == attribute.key.as_ref()) {
            found[place] =
                std::str::from_utf8(&attribute.value).ok().and_then(|text| text.trim().parse().ok());
        }
    }
    if found.iter().any(Option::is_none) {
        let tag = String::from_utf8_lossy(tag.local_name().as_ref()).into_owned();
        return Err(Fault::damaged(KIND, format!("a {tag} in it lacks a number")));
    }
    Ok(found.map(Option::unwrap_or_default))
}

fn placing(part: &str, tag: &BytesStart<'_>) -> Result<Placing, Fault> {
    let [number] = numbers(tag, ["objectid"])?;
    let part = attribute(tag, "path")?.map_or_else(|| Ok(part.to_owned()), |path| part_key(&path))?;
    let place = match attribute(tag, "transform")? {
        None => DAffine3::IDENTITY,
        Some(text) => {
            let values: Vec<f64> =
                text.split_ascii_whitespace().map_while(|word| word.parse().ok()).collect();
            let &[a, b, c, d, e, f, g, h, i, x, y, z] = values.as_slice() else {
                return Err(Fault::damaged(KIND, "a transform in it is not of twelve numbers"));
            };
            // rows of the file's matrix, which stands to the right of a row of coordinates, are our columns
            let turn = DMat3::from_cols(DVec3::new(a, b, c), DVec3::new(d, e, f), DVec3::new(g, h, i));
            DAffine3::from_mat3_translation(turn, DVec3::new(x, y, z))
        }
    };
    Ok(Placing { object: (part, number), place })
}
