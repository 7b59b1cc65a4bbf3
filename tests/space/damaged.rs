//! Damaged files of every kind: a sentence each, no panic, and no more memory than the file is worth.

use super::written::{self, PlyOrder, every_kind};
use super::{Bench, corners, forms};
use glam::DVec3;
use pipeloft_core::space::scan::ScanError;
use std::fmt::Write as _;

fn small() -> forms::Form {
    forms::torus(8, 6, 400.0, 90.0).moved(DVec3::round)
}

/// That an error is one readable sentence or two, with the file's name.
pub(crate) fn check_sentence(error: &ScanError, about: &str) -> String {
    let said = error.to_string();
    assert!(said.contains(&error.path.display().to_string()), "{about}: {said}");
    assert!(said.ends_with('.') && said.len() < 600, "{about}: {said}");
    assert!(!said.chars().any(char::is_control) && !said.contains(".."), "{about}: {said}");
    said
}

fn replaced(bytes: &[u8], from: &str, to: &str) -> Vec<u8> {
    let at =
        bytes.windows(from.len()).position(|w| w == from.as_bytes()).unwrap_or_else(|| panic!("no {from}"));
    [&bytes[..at], to.as_bytes(), &bytes[at + from.len()..]].concat()
}

fn cut(bytes: &[u8], part: f64) -> Vec<u8> {
    bytes[..(bytes.len() as f64 * part) as usize].to_vec()
}

/// Binary STL with another count in its header.
fn stl_claiming(count: u32) -> Vec<u8> {
    let mut bytes = written::stl_binary(&small(), "x");
    bytes[80..84].copy_from_slice(&count.to_le_bytes());
    bytes
}

fn stl_cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let binary = written::stl_binary(&small(), "x");
    let text = written::stl_text(&small());
    vec![
        ("short.stl", cut(&binary, 0.6), "holds"),
        ("header only.stl", binary[..84].to_vec(), "it says it has 96 triangles but holds 0"),
        ("no count.stl", [vec![0; 60]].concat(), "it ends too early"),
        ("claims all.stl", stl_claiming(u32::MAX), "it says it has 4294967295 triangles but holds 96"),
        ("claims none.stl", [&[0; 80][..], &[0; 4]].concat(), "holds no points and no triangles"),
        (
            "nan.stl",
            [&binary[..84], &vec![0xff; binary.len() - 84]].concat(),
            "96 with a corner that is no number",
        ),
        ("cut text.stl", cut(&text, 0.5), "damaged"),
        (
            "no end.stl",
            replaced(&text, "endsolid\n", "").into_iter().take(text.len() - 30).collect(),
            "damaged",
        ),
        ("word.stl", replaced(&text, "endloop", "endlop"), "line 7 is not as it should be"),
        ("number.stl", replaced(&text, "vertex ", "vertex x"), "line 4 is not as it should be"),
        ("four.stl", replaced(&text, "    endloop", "vertex 1 2 3\nendloop"), "line 7"),
        ("nothing.stl", b"solid\nendsolid\n".to_vec(), "holds no points and no triangles"),
        ("one line.stl", [b"solid ".to_vec(), vec![b'x'; 3 << 20]].concat(), "never ends"),
    ]
}

fn obj_cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let obj = written::obj(&small());
    vec![
        ("points.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n".to_vec(), "holds 3 points but no triangles"),
        ("noise.obj", (0..5000_u32).map(|i| ((i * 7919) >> 3) as u8).collect(), "holds no points"),
        ("number.obj", replaced(&obj, "v ", "v 1,5 "), "line 4 is not as it should be"),
        ("few.obj", replaced(&obj, "f 1", "f 1\nf 1"), "is not as it should be"),
        ("corner.obj", replaced(&obj, "f 1", "f a"), "is not as it should be"),
        (
            "beyond.obj",
            b"v 0 0 0\nf 1 2 3\nf -1 -2 -3\nf 0 0 0\n".to_vec(),
            "3 with a corner that is not in the file",
        ),
        ("huge.obj", b"v 0 0 0\nf 99999999999999999999 1 1\n".to_vec(), "line 2"),
        ("flat.obj", b"v 0 0 0\nv 1 1 1\nv 2 2 2\nf 1 2 3\n".to_vec(), "1 without area"),
        ("wide.obj", b"v -1e60 0 0\nv 1e60 0 0\nv 0 1e60 0\nf 1 2 3\n".to_vec(), "spans more"),
        (
            "wider.obj",
            b"v -1e300 0 0\nv 1e300 0 0\nv 0 1e300 0\nf 1 2 3\n".to_vec(),
            "1 with a corner that is no number",
        ),
        ("joined.obj", b"v \\\n".repeat(1 << 19), "never ends"),
    ]
}

fn ply_cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let text = written::ply(&small(), PlyOrder::Text);
    let little = written::ply(&small(), PlyOrder::Little);
    let big = written::ply(&small(), PlyOrder::Big);
    vec![
        ("cut.ply", cut(&text, 0.7), "damaged"),
        ("cut little.ply", cut(&little, 0.7), "damaged"),
        ("cut big.ply", cut(&big, 0.95), "it ends too early"),
        ("head.ply", cut(&little, 0.02), "it ends within its header"),
        ("claims.ply", replaced(&little, "vertex 48", "vertex 4000000000"), "it says it has 4000000000 of vertex"),
        ("most.ply", replaced(&text, "vertex 48", "vertex 18446744073709551615"), "damaged"),
        ("beyond.ply", replaced(&text, "vertex 48", "vertex 18446744073709551616"), "damaged"),
        ("faces.ply", replaced(&big, "face 96", "face 1999999999"), "it says it has 1999999999 of face"),
        ("format.ply", replaced(&text, "ascii", "cuneiform"), "damaged"),
        ("property.ply", replaced(&text, "property", "properly"), "damaged"),
        ("word.ply", replaced(&text, "200\n", "red\n"), "an entry of vertex"),
        ("strips.ply", replaced(&replaced(&text, "element face 96", "element tristrips 96"), "list uchar", "list int"), "strips"),
        ("points.ply", b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n1 2 3\n".to_vec(), "1 points but no triangles"),
        ("nothing.ply", b"ply\nformat ascii 1.0\nelement vertex 99999999999\nend_header\n".to_vec(), "holds no points"),
        ("list.ply", replaced(&little, "list uchar int", "list uint int"), "damaged"),
        ("long list.ply", b"ply\nformat ascii 1.0\nelement face 1\nproperty list int int vertex_indices\nend_header\n4000000000 1 2 3\n".to_vec(), "an entry of face"),
    ]
}

fn zip_cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let form = small();
    let whole = written::threemf(&form);
    let of = |resources: &str, build: &str| {
        written::zipped(&[("3D/3dmodel.model", &written::model("inch", resources, build))])
    };
    let object = written::model_object(&form, 1);
    let ring = "<object id=\"1\"><components><component objectid=\"1\"/></components></object>";
    let item = "<item objectid=\"1\"/>";
    let mut many = String::new();
    for id in 2..40 {
        let part = format!("<component objectid=\"{}\"/>", id - 1).repeat(10);
        write!(many, "<object id=\"{id}\"><components>{part}</components></object>").unwrap();
    }
    vec![
        ("cut.3mf", cut(&whole, 0.8), "damaged"),
        ("head.3mf", b"PK\x03\x04 and nothing more".to_vec(), "damaged"),
        ("empty.3mf", written::zipped(&[("a.txt", b"hello")]), "it holds no model"),
        ("text.3mf", written::zipped(&[("3D/3dmodel.model", b"hello")]), "a model in it ends too early"),
        (
            "xml.3mf",
            written::zipped(&[("3D/3dmodel.model", b"<model><object id=\"1\"></mesh></model>")]),
            "damaged",
        ),
        ("number.3mf", of(&object.replacen("x=\"", "x=\"a", 1), item), "a vertex in it lacks a number"),
        ("lacks.3mf", of(&object.replacen("v2=", "v4=", 1), item), "a triangle in it lacks a number"),
        ("ring.3mf", of(ring, item), "made of themselves"),
        ("gone.3mf", of(&object, "<item objectid=\"5\"/>"), "object 5 is not in it"),
        ("transform.3mf", of(&object, "<item objectid=\"1\" transform=\"1 2 3\"/>"), "twelve numbers"),
        ("beyond.3mf", of(&object.replace("v1=\"", "v1=\"9"), item), "holds no triangle"),
        ("many.3mf", of(&(object.clone() + &many), "<item objectid=\"16\"/>"), "more than"),
        ("objects.3mf", of(&"<object id=\"1\"/>".repeat(100_001), item), "more than 100000 objects"),
        ("bomb.3mf", of(&" ".repeat(64 << 20), item), "never ends"),
        (
            "entity.3mf",
            written::zipped(&[("3D/3dmodel.model", b"<!DOCTYPE a [<!ENTITY a \"aa\">]><model/>")]),
            "document type",
        ),
    ]
}

fn gltf_cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let form = small();
    let glb = written::glb(&form);
    let numbers = &glb[glb.len() - 12 * form.points.len() - 12 * form.triangles.len()..];
    let with = |change: &dyn Fn(&mut serde_json::Value)| {
        let mut json = written::gltf_json(&form, None);
        change(&mut json);
        written::glb_of(&json, numbers)
    };
    let text = written::gltf(&form);
    vec![
        ("cut.glb", cut(&glb, 0.9), "it says it is"),
        ("head.glb", b"glTF\x02\0\0\0".to_vec(), "it ends too early"),
        ("old.glb", [&b"glTF\x01\0\0\0"[..], &glb[8..]].concat(), "version 1"),
        ("cut.gltf", cut(&text, 0.5), "damaged"),
        ("brace.gltf", b"{".to_vec(), "damaged"),
        ("deep.gltf", b"{\"a\":".repeat(100_000), "damaged"),
        (
            "nodes.gltf",
            format!("{{\"asset\":{{\"version\":\"2.0\"}},\"nodes\":[{}{{}}]}}", "{},".repeat(3 << 20))
                .into_bytes(),
            "more than 100000 entries",
        ),
        ("base64.gltf", replaced(&text, "base64,", "base64,!!!!"), "damaged"),
        ("no data.gltf", replaced(&text, "base64,", "base65,"), "its numbers end too early"),
        ("count.glb", with(&|j| j["accessors"][0]["count"] = 4_000_000_000_u64.into()), "4000000000 points"),
        ("more.glb", with(&|j| j["accessors"][0]["count"] = 100.into()), "its numbers end too early"),
        (
            "corners.glb",
            with(&|j| j["accessors"][1]["count"] = 3_000_000.into()),
            "its numbers end too early",
        ),
        (
            "offset.glb",
            with(&|j| j["accessors"][0]["byteOffset"] = 4_294_967_295_u64.into()),
            "its numbers end too early",
        ),
        (
            "far view.glb",
            with(&|j| j["bufferViews"][0]["byteOffset"] = u64::MAX.into()),
            "its numbers end too early",
        ),
        (
            "stride.glb",
            with(&|j| j["bufferViews"][0]["byteStride"] = 8.into()),
            "lie too near or too far apart",
        ),
        (
            "buffer.glb",
            with(&|j| j["buffers"][0]["byteLength"] = 99_999_999.into()),
            "its numbers end too early",
        ),
        ("view.glb", with(&|j| j["accessors"][0]["bufferView"] = 17.into()), "damaged"),
        ("bytes.glb", with(&|j| j["accessors"][0]["componentType"] = 5121.into()), "32-bit"),
        ("floats.glb", with(&|j| j["accessors"][1]["componentType"] = 5126.into()), "damaged"),
        (
            "ring.glb",
            with(&|j| j["nodes"][0]["children"] = serde_json::json!([0])),
            "part of two others, or of itself",
        ),
        (
            "needs.glb",
            with(&|j| j["extensionsRequired"] = serde_json::json!(["KHR_draco_mesh_compression"])),
            "KHR_draco_mesh_compression",
        ),
        ("lines.glb", with(&|j| j["meshes"][0]["primitives"][0]["mode"] = 1.into()), "holds no points"),
        (
            "no view.glb",
            with(&|j| {
                j["accessors"][0].as_object_mut().unwrap().remove("bufferView");
            }),
            "compressed or not in the file",
        ),
        ("no chunk.glb", written::glb_of(&written::gltf_json(&form, None), &[]), "its numbers end too early"),
    ]
}

#[test]
fn a_damaged_file_is_refused_with_a_sentence_that_says_what_is_wrong() {
    let bench = Bench::new();
    let cases = [stl_cases(), obj_cases(), ply_cases(), zip_cases(), gltf_cases()].concat();
    assert!(cases.len() >= 40, "{}", cases.len());
    let mut wrong = Vec::new();
    for (name, bytes, expected) in cases {
        match bench.read(name, &bytes) {
            Ok(scan) => wrong.push(format!("{name}: read, {} triangles", scan.len())),
            Err(error) => {
                let said = check_sentence(&error, name);
                if !said.contains(expected) {
                    wrong.push(format!("{name}: {said} (expected: {expected})"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Numbers that are the same on every run: Knuth's MMIX congruential generator, high bits.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % most.max(1)
    }
}

/// A byte that is likelier than others to upset a reader.
fn nasty(dice: &mut Dice) -> u8 {
    match dice.below(4) {
        0 => [0, 0xff, 0x7f, 0x80, b'-', b'9', b'\n', b'"', b'<'][dice.below(9)],
        _ => dice.below(256) as u8,
    }
}

#[test]
fn three_hundred_changes_to_each_kind_of_file_upset_no_reader() {
    let (bench, form) = (Bench::new(), small());
    for (name, bytes) in every_kind(&form) {
        let mut dice = Dice(bytes.len() as u64);
        let (mut read, mut refused) = (0, 0);
        for round in 0..300 {
            let mut changed = bytes.clone();
            // most of what can go wrong stands at the beginning, in ZIP at the end
            let reach = if round % 2 == 0 { changed.len() } else { changed.len().min(400) };
            let from = if name.ends_with("3mf") && round % 2 == 1 { changed.len() - reach } else { 0 };
            for _ in 0..=dice.below(4) {
                let at = from + dice.below(reach);
                match dice.below(6) {
                    0 => drop(changed.remove(at.min(changed.len() - 1))),
                    1 => changed.insert(at.min(changed.len()), nasty(&mut dice)),
                    2 if round % 5 == 0 => changed.truncate(at.max(1)),
                    _ => {
                        let at = at.min(changed.len() - 1);
                        changed[at] = nasty(&mut dice);
                    }
                }
            }
            match bench.read(name, &changed) {
                Ok(scan) => {
                    let finite = corners(&scan).iter().flatten().all(|p| p.is_finite());
                    assert!(finite && !scan.is_empty(), "{name}, round {round}");
                    read += 1;
                }
                Err(error) => {
                    check_sentence(&error, &format!("{name}, round {round}"));
                    refused += 1;
                }
            }
        }
        println!("{name}: {read} read, {refused} refused");
        assert!(refused > 20, "{name}: {read} {refused}");
    }
}

/// The two tests above once more in a process that may not take more than 400 MB, reserved or used: the files are
/// small, whatever they claim.
#[cfg(target_os = "linux")]
#[test]
fn damaged_files_take_no_more_memory_than_they_are_worth() {
    let program = std::env::current_exe().unwrap();
    let limited = std::process::Command::new("sh")
        .args(["-c", "ulimit -v 400000 && exec \"$0\" \"$@\""])
        .arg(program)
        .args(["--test-threads=1", "--exact"])
        .args([
            "damaged::a_damaged_file_is_refused_with_a_sentence_that_says_what_is_wrong",
            "damaged::three_hundred_changes_to_each_kind_of_file_upset_no_reader",
        ])
        .output()
        .unwrap();
    let said =
        String::from_utf8_lossy(&limited.stdout).into_owned() + &String::from_utf8_lossy(&limited.stderr);
    assert!(limited.status.success() && said.contains("2 passed"), "{said}");
}
