//! Files of every kind, written from a form by the rules of each.

use super::forms::Form;
use glam::DVec3;
use serde_json::json;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;

fn f32s(values: impl IntoIterator<Item = f64>) -> Vec<u8> {
    values.into_iter().flat_map(|v| (v as f32).to_le_bytes()).collect()
}

pub(crate) fn stl_binary(form: &Form, header: &str) -> Vec<u8> {
    let mut out = header.as_bytes().to_vec();
    out.resize(80, b' ');
    out.extend((form.triangles.len() as u32).to_le_bytes());
    for corners in form.corners() {
        out.extend(f32s([0.0; 3]));
        out.extend(f32s(corners.iter().flat_map(DVec3::to_array)));
        out.extend([0, 0]);
    }
    out
}

pub(crate) fn stl_text(form: &Form) -> Vec<u8> {
    let mut out = "solid part one units=mm\n".to_owned();
    for (i, corners) in form.corners().iter().enumerate() {
        if i == form.triangles.len() / 2 {
            // a file may hold several
            out.push_str("endsolid part one\n\nsolid\n");
        }
        out.push_str("  facet normal nan 0 0\n    outer loop\n");
        for c in corners {
            writeln!(out, "      vertex {:e} {} {}", c.x, c.y, c.z).unwrap();
        }
        out.push_str("    endloop\r\n  endfacet\n");
    }
    (out + "endsolid\n").into_bytes()
}

pub(crate) fn obj(form: &Form) -> Vec<u8> {
    let mut out = "# caf\u{e9}, File units = millimeters\nmtllib a.mtl\no part\n".to_owned();
    for p in &form.points {
        writeln!(out, "v {} {} {} 1.0", p.x, p.y, p.z).unwrap();
    }
    let count = form.points.len() as i64;
    for (i, [a, b, c]) in form.triangles.iter().enumerate() {
        let _ = match i % 3 {
            0 => writeln!(out, "f {} {} {}", a + 1, b + 1, c + 1),
            1 => writeln!(out, "f {}/1/1 {}//2 \\\n {}/3", a + 1, b + 1, c + 1),
            // counted backwards from the last point
            _ => writeln!(
                out,
                "f {} {} {}",
                i64::from(*a) - count,
                i64::from(*b) - count,
                i64::from(*c) - count
            ),
        };
    }
    out.into_bytes()
}

/// How the numbers of a PLY file stand in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PlyOrder {
    Text,
    Little,
    Big,
}

pub(crate) fn ply(form: &Form, order: PlyOrder) -> Vec<u8> {
    let name = match order {
        PlyOrder::Text => "ascii",
        PlyOrder::Little => "binary_little_endian",
        PlyOrder::Big => "binary_big_endian",
    };
    let mut out = format!(
        "ply\nformat {name} 1.0\ncomment scanned in the caf\u{e9}\nobj_info units: mm\nelement vertex {}\n\
         property double x\nproperty float y\nproperty float z\nproperty uchar red\nelement face {}\n\
         property uchar flags\nproperty list uchar int vertex_indices\nelement other 1\nproperty short n\nend_header\n",
        form.points.len(),
        form.triangles.len()
    )
    .into_bytes();
    let mut put = |bytes: Vec<u8>| match order {
        PlyOrder::Text => {}
        PlyOrder::Little => out.extend(bytes),
        PlyOrder::Big => out.extend(bytes.into_iter().rev()),
    };
    let mut text = String::new();
    for p in &form.points {
        put(p.x.to_le_bytes().to_vec());
        put((p.y as f32).to_le_bytes().to_vec());
        put((p.z as f32).to_le_bytes().to_vec());
        put(vec![200]);
        writeln!(text, "{} {} {} 200", p.x, p.y, p.z).unwrap();
    }
    for corners in &form.triangles {
        put(vec![1]);
        put(vec![3]);
        for corner in corners {
            put(corner.to_le_bytes().to_vec());
        }
        writeln!(text, "1 3 {} {} {}", corners[0], corners[1], corners[2]).unwrap();
    }
    put(vec![7, 0]);
    text.push_str("7\n");
    if order == PlyOrder::Text {
        out.extend(text.into_bytes());
    }
    out
}

pub(crate) fn zipped(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// One object of a 3MF model.
pub(crate) fn model_object(form: &Form, id: u32) -> String {
    let mut out = format!("<object id=\"{id}\" type=\"model\"><mesh><vertices>");
    for p in &form.points {
        write!(out, "<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>", p.x, p.y, p.z).unwrap();
    }
    out.push_str("</vertices><triangles>");
    for [a, b, c] in &form.triangles {
        write!(out, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>").unwrap();
    }
    out + "</triangles></mesh></object>"
}

/// A 3MF model with the given objects and items.
pub(crate) fn model(unit: &str, resources: &str, build: &str) -> Vec<u8> {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"{unit}\" xml:lang=\"en-US\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"><resources>{resources}</resources>\
         <build>{build}</build></model>\n"
    )
    .into_bytes()
}

pub(crate) fn threemf(form: &Form) -> Vec<u8> {
    let model = model("millimeter", &model_object(form, 1), "<item objectid=\"1\"/>");
    zipped(&[("[Content_Types].xml", b"<Types/>"), ("3D/3dmodel.model", &model)])
}

/// Points, then corners, as glTF holds them.
fn numbers(form: &Form) -> Vec<u8> {
    let mut out = f32s(form.points.iter().flat_map(DVec3::to_array));
    out.extend(form.triangles.iter().flatten().flat_map(|corner| corner.to_le_bytes()));
    out
}

/// The JSON of a glTF file with one mesh, its buffer at `uri` or in the binary chunk.
pub(crate) fn gltf_json(form: &Form, uri: Option<&str>) -> serde_json::Value {
    let (points, corners) = (form.points.len(), 3 * form.triangles.len());
    let mut buffer = json!({ "byteLength": 12 * points + 4 * corners });
    if let Some(uri) = uri {
        buffer["uri"] = json!(uri);
    }
    let [low, high] = [f64::min as fn(f64, f64) -> f64, f64::max].map(|pick| {
        form.points.iter().fold(form.points[0].to_array(), |so_far, p| {
            [pick(so_far[0], p.x), pick(so_far[1], p.y), pick(so_far[2], p.z)]
        })
    });
    json!({
        "asset": { "version": "2.0" },
        "scene": 0,
        "scenes": [{ "nodes": [0] }],
        "nodes": [{ "mesh": 0 }],
        "meshes": [{ "primitives": [{ "attributes": { "POSITION": 0 }, "indices": 1 }] }],
        "accessors": [
            { "bufferView": 0, "componentType": 5126, "count": points, "type": "VEC3", "min": low, "max": high },
            { "bufferView": 1, "componentType": 5125, "count": corners, "type": "SCALAR" },
        ],
        "bufferViews": [
            { "buffer": 0, "byteLength": 12 * points },
            { "buffer": 0, "byteOffset": 12 * points, "byteLength": 4 * corners },
        ],
        "buffers": [buffer],
    })
}

/// A glTF file with its numbers in itself.
pub(crate) fn gltf(form: &Form) -> Vec<u8> {
    let data = base64_text(&numbers(form));
    gltf_json(form, Some(&format!("data:application/octet-stream;base64,{data}"))).to_string().into_bytes()
}

/// A glTF file and the file of its numbers, to be put beside it by the name given.
pub(crate) fn gltf_with_companion(form: &Form, name: &str) -> (Vec<u8>, Vec<u8>) {
    (gltf_json(form, Some(name)).to_string().into_bytes(), numbers(form))
}

pub(crate) fn glb(form: &Form) -> Vec<u8> {
    glb_of(&gltf_json(form, None), &numbers(form))
}

/// A binary glTF file of the given chunks.
pub(crate) fn glb_of(json: &serde_json::Value, numbers: &[u8]) -> Vec<u8> {
    let mut json = json.to_string().into_bytes();
    json.resize(json.len().next_multiple_of(4), b' ');
    let mut out = b"glTF".to_vec();
    let whole = 12 + 8 + json.len() + 8 + numbers.len();
    for number in [2, whole as u32, json.len() as u32] {
        out.extend(number.to_le_bytes());
    }
    out.extend(b"JSON");
    out.extend(json);
    out.extend((numbers.len() as u32).to_le_bytes());
    out.extend(b"BIN\0");
    out.extend(numbers);
    out
}

/// Base64 (RFC 4648, 4).
fn base64_text(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for part in bytes.chunks(3) {
        let word =
            part.iter().fold(0_u32, |word, &byte| word << 8 | u32::from(byte)) << (8 * (3 - part.len()));
        for digit in 0..4 {
            let six = word >> (18 - 6 * digit) & 63;
            out.push(if digit <= part.len() { char::from(DIGITS[six as usize]) } else { '=' });
        }
    }
    out
}

/// Every kind of file of one form, with the name it goes by.
pub(crate) fn every_kind(form: &Form) -> Vec<(&'static str, Vec<u8>)> {
    vec![
        ("binary.stl", stl_binary(form, "made by hand")),
        ("text.stl", stl_text(form)),
        ("part.obj", obj(form)),
        ("text.ply", ply(form, PlyOrder::Text)),
        ("little.ply", ply(form, PlyOrder::Little)),
        ("big.ply", ply(form, PlyOrder::Big)),
        ("part.3mf", threemf(form)),
        ("part.gltf", gltf(form)),
        ("part.glb", glb(form)),
    ]
}
