//! STL, the triangles that every scanner writes. Layout as in the *Stereolithography Interface Specification*
//! (3D Systems, 1989), from memory.
//!
//! Read here and not by a library: binary files often begin with the word that marks text, and text may hold several
//! solids; the scan is to be whole in either case.

use super::error::Fault;
use super::feed::Feed;
use super::read::FileContent;
use super::soup::Soup;
use super::unit::unit_in_text;
use glam::{DVec3, Vec3};
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::hash::{BuildHasherDefault, Hasher};
use std::io::Read;

const KIND: &str = "STL";

/// Bytes before the first triangle, the count included.
const HEADER: u64 = 84;

/// Bytes of a triangle.
const RECORD: u64 = 50;

/// How long a binary file with this beginning is; `None` where it is too short to say.
pub(super) fn binary_length(head: &[u8]) -> Option<u64> {
    let count = head.get(80..84)?.try_into().map(u32::from_le_bytes).ok()?;
    Some(HEADER + RECORD * u64::from(count))
}

/// Reads a binary file of `bytes` bytes.
pub(super) fn binary(mut feed: Feed<'_, impl Read>, bytes: u64) -> Result<FileContent, Fault> {
    let of_io = |error| Fault::of_io(KIND, error);
    let mut header = [0; HEADER as usize];
    feed.read_exact(&mut header).map_err(of_io)?;
    let count = u32::from_le_bytes([header[80], header[81], header[82], header[83]]);
    let held = (bytes - HEADER) / RECORD;
    if held < u64::from(count) {
        let what = format!("it says it has {count} triangles but holds {held}");
        return Err(Fault::damaged(KIND, what));
    }
    let mut welded = Welded::default();
    welded.soup.would_hold(0, u64::from(count))?;
    let mut record = [0; RECORD as usize];
    for _ in 0..count {
        feed.read_exact(&mut record).map_err(of_io)?;
        let number =
            |at: usize| f32::from_le_bytes([record[at], record[at + 1], record[at + 2], record[at + 3]]);
        // the normal before the corners says nothing that they do not
        let corners = [12, 24, 36].map(|at| Vec3::new(number(at), number(at + 4), number(at + 8)));
        let corners = corners.map(|corner| welded.point(corner));
        welded.soup.triangle(corners);
    }
    let name = String::from_utf8_lossy(&header[..80]);
    let unit = unit_in_text(&name).map(|unit| (unit, "The header of the STL file".to_owned()));
    Ok(FileContent { unit, ..FileContent::bare(welded.soup) })
}

/// Reads a file of text.
pub(super) fn text(mut feed: Feed<'_, impl Read>) -> Result<FileContent, Fault> {
    let mut welded = Welded::default();
    let (mut line, mut number) = (Vec::new(), 0);
    let (mut corners, mut unit): (Vec<u32>, _) = (Vec::new(), None);
    let (mut in_loop, mut in_solid) = (false, false);
    while feed.line(&mut line).map_err(|error| Fault::of_io(KIND, error))? {
        number += 1;
        let text = String::from_utf8_lossy(&line);
        let mut words = text.split_ascii_whitespace();
        let Some(word) = words.next() else { continue };
        let wrong = || Fault::damaged(KIND, format!("line {number} is not as it should be"));
        match word.to_ascii_lowercase().as_str() {
            "vertex" if in_loop => {
                let point =
                    [words.next(), words.next(), words.next()].map(|w| w.and_then(|w| w.parse().ok()));
                let [Some(x), Some(y), Some(z)] = point else { return Err(wrong()) };
                corners.push(welded.point(Vec3::new(x, y, z)));
                if corners.len() > 3 {
                    return Err(wrong());
                }
            }
            "outer" if !in_loop => (in_loop, corners) = (true, Vec::with_capacity(3)),
            "endloop" if in_loop => {
                let &[a, b, c] = corners.as_slice() else { return Err(wrong()) };
                welded.soup.triangle([a, b, c]);
                in_loop = false;
            }
            "solid" if !in_solid => {
                in_solid = true;
                unit = unit.or_else(|| unit_in_text(&text));
            }
            "endsolid" if !in_loop => in_solid = false,
            "facet" | "endfacet" if in_solid && !in_loop => {}
            _ => return Err(wrong()),
        }
    }
    if in_solid {
        return Err(Fault::damaged(KIND, "it ends before the word endsolid"));
    }
    let unit = unit.map(|unit| (unit, "The name of the solid in the STL file".to_owned()));
    Ok(FileContent { unit, ..FileContent::bare(welded.soup) })
}

/// Triangles whose equal corners become one point: each stands in the file once for every triangle.
#[derive(Default)]
struct Welded {
    soup: Soup,
    places: HashMap<(u64, u32), u32, BuildHasherDefault<Mixer>>,
}

impl Welded {
    fn point(&mut self, point: Vec3) -> u32 {
        // minus zero is zero
        let [x, y, z] = (point + Vec3::ZERO).to_array().map(f32::to_bits);
        match self.places.entry((u64::from(x) << 32 | u64::from(y), z)) {
            Entry::Occupied(known) => *known.get(),
            Entry::Vacant(new) => {
                let place = self.soup.point(DVec3::from(point));
                if self.soup.points.len() > place as usize {
                    new.insert(place);
                }
                place
            }
        }
    }
}

/// A quick hash of a few whole numbers: multiply and fold, with the golden ratio as factor.
#[derive(Default)]
struct Mixer(u64);

impl Hasher for Mixer {
    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u32(&mut self, number: u32) {
        self.write_u64(u64::from(number));
    }

    fn write_u64(&mut self, number: u64) {
        let product = u128::from(self.0 ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835);
        self.0 = (product >> 64) as u64 ^ product as u64;
    }

    fn finish(&self) -> u64 {
        self.0
    }
}
