//! OBJ: points and polygons in lines of text. Layout as in Wavefront's *Object Files (.obj)*, from memory.
//!
//! Read here and not by a library: only points and faces count, in f64, with the line named where one is wrong, and
//! reading must be able to stop anywhere.

use super::error::Fault;
use super::feed::Feed;
use super::read::FileContent;
use super::soup::Soup;
use super::unit::unit_in_text;
use glam::DVec3;
use std::io::{self, Read};

const KIND: &str = "OBJ";

/// A line that goes on over several is no longer than this, bytes.
const MAX_JOINED: usize = 1 << 20;

/// Reads a file. Polygons become fans from their first corner, which is exact for those without an inward corner.
pub(super) fn read(mut feed: Feed<'_, impl Read>) -> Result<FileContent, Fault> {
    let mut soup = Soup::default();
    let (mut line, mut number, mut unit) = (Vec::new(), 0_u64, None);
    let mut corners = Vec::new();
    while whole_line(&mut feed, &mut line, &mut number).map_err(|error| Fault::of_io(KIND, error))? {
        let text = String::from_utf8_lossy(&line);
        let mut words = text.split_ascii_whitespace();
        let wrong = || Fault::damaged(KIND, format!("line {number} is not as it should be"));
        match words.next() {
            Some("v") => {
                let point =
                    [words.next(), words.next(), words.next()].map(|w| w.and_then(|w| w.parse().ok()));
                let [Some(x), Some(y), Some(z)] = point else { return Err(wrong()) };
                soup.point(DVec3::new(x, y, z));
            }
            Some("f") => {
                corners.clear();
                for word in words {
                    let place = word.split('/').next().and_then(|w| w.parse().ok());
                    corners.push(from_zero(place.ok_or_else(wrong)?, soup.points.len()));
                }
                if corners.len() < 3 {
                    return Err(wrong());
                }
                soup.polygon(&corners);
            }
            Some(word) if word.starts_with('#') => unit = unit.or_else(|| unit_in_text(&text)),
            // normals, textures, groups, materials, curves
            Some(_) | None => {}
        }
    }
    let unit = unit.map(|unit| (unit, "A comment in the OBJ file".to_owned()));
    Ok(FileContent { unit, ..FileContent::bare(soup) })
}

/// The next line, with those it goes on over; false at the end of the file.
fn whole_line(feed: &mut Feed<'_, impl Read>, line: &mut Vec<u8>, number: &mut u64) -> io::Result<bool> {
    let found = feed.line(line)?;
    *number += 1;
    let (mut more, mut joined) = (Vec::new(), 0);
    while let Some(kept) = line.trim_ascii_end().strip_suffix(b"\\").map(<[u8]>::len) {
        line.truncate(kept);
        line.push(b' ');
        joined += 1;
        if line.len().max(joined) > MAX_JOINED {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "a line or entry in it never ends"));
        }
        if !feed.line(&mut more)? {
            break;
        }
        *number += 1;
        line.extend_from_slice(&more);
    }
    Ok(found)
}

/// A place counted from 0. Places in the file count from 1, or from the last point backwards.
fn from_zero(place: i64, points: usize) -> i64 {
    match place {
        1.. => place - 1,
        0 => -1, // there is no such place
        _ => points as i64 + place,
    }
}
