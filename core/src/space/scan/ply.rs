//! PLY in text and in binary of either byte order (G. Turk, *The PLY Polygon File Format*, 1994).

use super::error::Fault;
use super::feed::Feed;
use super::read::FileContent;
use super::soup::Soup;
use super::unit::unit_in_text;
use glam::DVec3;
use ply_rs_bw::parser::{ParseError, Parser, Reader};
use ply_rs_bw::ply::{
    ElementDef, Encoding, Header, Property, PropertyAccess, PropertyAccessResult, PropertyType, ScalarType,
};
use std::io::{Cursor, Read};

const KIND: &str = "PLY";

/// A header longer than this is none, bytes.
const MAX_HEADER: usize = 1 << 20;

/// Reads a file of `bytes` bytes.
pub(super) fn read(mut feed: Feed<'_, impl Read>, bytes: u64) -> Result<FileContent, Fault> {
    let header = header(&mut feed)?;
    let mut soup = Soup::default();
    let mut faces = None;
    for (name, element) in &header.elements {
        let role = role_of(name, element);
        check_count(&header, element, role, bytes.saturating_sub(feed.done()), &soup)?;
        if role == Role::Face {
            faces = Some(element.count);
        }
        read_element(&mut feed, &header, element, role, &mut soup)?;
    }
    if faces.is_none() && header.elements.contains_key("tristrips") {
        return Err(Fault::not_read(KIND, "strips of triangles"));
    }
    let mut comments = header.comments.iter().chain(&header.obj_infos);
    let unit = comments.find_map(|comment| unit_in_text(comment));
    let unit = unit.map(|unit| (unit, "A comment in the PLY file".to_owned()));
    Ok(FileContent { unit, ..FileContent::bare(soup) })
}

/// What an element of the file is to us.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Role {
    Point,
    Face,
    Other,
}

fn role_of(name: &str, element: &ElementDef) -> Role {
    let has = |property: &str| element.properties.contains_key(property);
    match name {
        "vertex" if ["x", "y", "z"].iter().all(|axis| has(axis)) => Role::Point,
        "face" if CORNERS.iter().any(|list| has(list)) => Role::Face,
        _ => Role::Other,
    }
}

/// Names of the list of a face's corners.
const CORNERS: [&str; 2] = ["vertex_indices", "vertex_index"];

/// The header. Comments in it may be in any alphabet.
fn header(feed: &mut Feed<'_, impl Read>) -> Result<Header, Fault> {
    let (mut text, mut line) = (String::new(), Vec::new());
    loop {
        if !feed.line(&mut line).map_err(|error| Fault::of_io(KIND, error))? {
            return Err(Fault::damaged(KIND, "it ends within its header"));
        }
        let plain: String = String::from_utf8_lossy(&line).trim().into();
        text.push_str(&plain);
        text.push('\n');
        if plain == "end_header" {
            break;
        }
        if text.len() > MAX_HEADER {
            return Err(Fault::damaged(KIND, "its header never ends"));
        }
    }
    let mut reader = Reader::new(Cursor::new(text.into_bytes()));
    Parser::<Values>::new().read_header(&mut reader).map_err(|error| of_parser(&error))
}

fn of_parser(error: &ParseError) -> Fault {
    match error.kind() {
        std::io::ErrorKind::UnexpectedEof => Fault::damaged(KIND, "it ends too early"),
        _ => Fault::damaged(KIND, error.to_string()),
    }
}

/// Whether the file can hold as many as its header says, and we can.
fn check_count(
    header: &Header,
    element: &ElementDef,
    role: Role,
    bytes_left: u64,
    soup: &Soup,
) -> Result<(), Fault> {
    let size = |scalar: &ScalarType| match scalar {
        ScalarType::Char | ScalarType::UChar => 1,
        ScalarType::Short | ScalarType::UShort => 2,
        ScalarType::Int | ScalarType::UInt | ScalarType::Float => 4,
        ScalarType::Double => 8,
    };
    let least: u64 = match header.encoding {
        // a digit and a space or the end of the line each
        Encoding::Ascii => 2 * element.properties.len() as u64,
        Encoding::BinaryBigEndian | Encoding::BinaryLittleEndian => {
            let bytes = |(_, p): (&String, &ply_rs_bw::ply::PropertyDef)| match &p.data_type {
                PropertyType::Scalar(scalar) | PropertyType::List(scalar, _) => size(scalar),
            };
            element.properties.iter().map(bytes).sum()
        }
    };
    let count = element.count as u64;
    // the end of the last line may be missing
    if count.saturating_mul(least) > bytes_left + 1 {
        let what = format!("it says it has {count} of {} but is too short for them", element.name);
        return Err(Fault::damaged(KIND, what));
    }
    match role {
        Role::Point => soup.would_hold(count, 0),
        // each face is one triangle at least
        Role::Face => soup.would_hold(0, count),
        Role::Other => Ok(()),
    }
}

fn read_element(
    feed: &mut Feed<'_, impl Read>,
    header: &Header,
    element: &ElementDef,
    role: Role,
    soup: &mut Soup,
) -> Result<(), Fault> {
    if element.properties.is_empty() {
        return Ok(()); // takes no bytes, however many there are
    }
    let parser = Parser::<Values>::new();
    let mut line = Vec::new();
    for _ in 0..element.count {
        feed.next_record();
        let values = match header.encoding {
            Encoding::Ascii => text_values(feed, &mut line, element)?,
            Encoding::BinaryBigEndian => {
                parser.read_big_endian_element(feed, element).map_err(|error| of_parser(&error))?
            }
            Encoding::BinaryLittleEndian => {
                parser.read_little_endian_element(feed, element).map_err(|error| of_parser(&error))?
            }
        };
        match role {
            Role::Point => {
                soup.point(values.point);
            }
            Role::Face => soup.polygon(&values.corners),
            Role::Other => {}
        }
    }
    Ok(())
}

/// The values of one element from its line. Here and not by the library: that does not take "nan" or "1.", which
/// scanners write.
fn text_values(
    feed: &mut Feed<'_, impl Read>,
    line: &mut Vec<u8>,
    element: &ElementDef,
) -> Result<Values, Fault> {
    loop {
        if !feed.line(line).map_err(|error| Fault::of_io(KIND, error))? {
            return Err(Fault::damaged(KIND, "it ends too early"));
        }
        if !line.trim_ascii().is_empty() {
            break;
        }
    }
    let text = String::from_utf8_lossy(line);
    let mut words = text.split_ascii_whitespace();
    let mut next = || {
        let number: Option<f64> = words.next().and_then(|word| word.parse().ok());
        number.ok_or_else(|| {
            Fault::damaged(KIND, format!("an entry of {} is not as it should be", element.name))
        })
    };
    let mut values = Values::new();
    for (name, property) in &element.properties {
        match &property.data_type {
            PropertyType::Scalar(_) => values.scalar(name, next()?),
            PropertyType::List(..) => {
                let count = next()?;
                let mut list = Vec::new();
                // a count larger than the line has words ends at the missing word
                for _ in 0..count as u64 {
                    list.push(next()? as i64);
                }
                values.list(name, list);
            }
        }
    }
    Ok(values)
}

/// Of one element what counts for a mesh.
struct Values {
    point: DVec3,
    corners: Vec<i64>,
}

impl Values {
    fn scalar(&mut self, name: &str, value: f64) {
        match name {
            "x" => self.point.x = value,
            "y" => self.point.y = value,
            "z" => self.point.z = value,
            _ => {}
        }
    }

    fn list(&mut self, name: &str, values: Vec<i64>) {
        if CORNERS.contains(&name) {
            self.corners = values;
        }
    }
}

impl PropertyAccess for Values {
    fn new() -> Self {
        Self { point: DVec3::ZERO, corners: Vec::new() }
    }

    fn set_property(&mut self, name: &str, property: Property) -> PropertyAccessResult {
        match property {
            Property::Char(v) => self.scalar(name, f64::from(v)),
            Property::UChar(v) => self.scalar(name, f64::from(v)),
            Property::Short(v) => self.scalar(name, f64::from(v)),
            Property::UShort(v) => self.scalar(name, f64::from(v)),
            Property::Int(v) => self.scalar(name, f64::from(v)),
            Property::UInt(v) => self.scalar(name, f64::from(v)),
            Property::Float(v) => self.scalar(name, f64::from(v)),
            Property::Double(v) => self.scalar(name, v),
            Property::ListInt(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            Property::ListUInt(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            Property::ListChar(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            Property::ListUChar(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            Property::ListShort(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            Property::ListUShort(v) => self.list(name, v.into_iter().map(i64::from).collect()),
            // a place in a list is no fraction
            Property::ListFloat(_) | Property::ListDouble(_) => return PropertyAccessResult::Ignored,
        }
        PropertyAccessResult::Set
    }
}
