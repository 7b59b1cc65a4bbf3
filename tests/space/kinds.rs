//! Whole files of every kind.

use super::written::{self, PlyOrder, every_kind};
use super::{Bench, corners, forms, sample};
use glam::DVec3;
use pipeloft_core::space::scan::{ScanAxes, ScanKind, ScanUnit, Unwatched, fingerprint, read};

#[test]
fn every_kind_of_file_gives_the_same_mesh() {
    let (bench, form) = (Bench::new(), sample());
    let kinds = [
        ScanKind::StlBinary,
        ScanKind::StlText,
        ScanKind::Obj,
        ScanKind::Ply,
        ScanKind::Ply,
        ScanKind::Ply,
        ScanKind::ThreeMf,
        ScanKind::Gltf,
        ScanKind::Glb,
    ];
    for ((name, bytes), kind) in every_kind(&form).into_iter().zip(kinds) {
        let scan = bench.read(name, &bytes).unwrap();
        assert_eq!(corners(&scan), form.corners(), "{name}");
        assert_eq!(scan.points().len(), form.points.len(), "{name}");
        assert_eq!(scan.kind(), Some(kind), "{name}");
        assert_eq!(scan.dropped().total(), 0, "{name}");
        let (low, high) = scan.bounds();
        assert_eq!((low.x, high.x), (512.0 - 490.0, 512.0 + 490.0), "{name}");
    }
}

#[test]
fn the_kind_is_told_by_what_stands_in_the_file() {
    let (bench, form) = (Bench::new(), sample());
    for (name, bytes) in every_kind(&form) {
        let scan = if name.ends_with("obj") { continue } else { bench.read(&format!("{name}.bin"), &bytes) };
        assert_eq!(corners(&scan.unwrap()), form.corners(), "{name}");
    }
    // a binary STL that begins with the word that marks text, under another kind's name
    let scan = bench.read("x.obj", &written::stl_binary(&form, "solid of the left door")).unwrap();
    assert_eq!((scan.kind(), scan.len()), (Some(ScanKind::StlBinary), form.triangles.len()));
    // text that begins with blanks and capitals
    let text = String::from_utf8(written::stl_text(&form)).unwrap().replacen("solid", "\n  SOLID", 1);
    assert_eq!(corners(&bench.read("x", text.as_bytes()).unwrap()), form.corners());
}

#[test]
fn the_unit_is_what_the_file_says_or_a_guess_to_be_asked() {
    let (bench, form) = (Bench::new(), sample());
    let unit = |name: &str, bytes: &[u8]| {
        let scan = bench.read(name, bytes).unwrap();
        (scan.unit().unit, scan.unit().said, scan.unit().reason.clone())
    };
    for (name, bytes) in every_kind(&form) {
        let (found, said, reason) = unit(name, &bytes);
        let expected = if name.contains(".gl") { ScanUnit::Metre } else { ScanUnit::Millimetre };
        assert_eq!((found, said), (expected, name != "binary.stl"), "{name}: {reason}");
    }
    assert_eq!(unit("a.glb", &written::glb(&form)).2, "The glTF standard says metres.");
    assert_eq!(unit("a.obj", &written::obj(&form)).2, "A comment in the OBJ file says millimetres.");
    assert_eq!(unit("a.stl", &written::stl_binary(&form, "UNITS=in")).0, ScanUnit::Inch);
    let model = |word: &str| {
        let model = written::model(word, &written::model_object(&form, 1), "<item objectid=\"1\"/>");
        unit("a.3mf", &written::zipped(&[("3D/3dmodel.model", &model)])).0
    };
    let words = ["micron", "millimeter", "centimeter", "inch", "foot", "meter"];
    assert_eq!(words.map(model), ScanUnit::ALL);
    let (found, said, reason) = unit("a.stl", &written::stl_binary(&form.clone().moved(|p| p / 1000.0), ""));
    assert_eq!((found, said), (ScanUnit::Metre, false));
    assert_eq!(reason, "The file names no unit. It is 0.9800 long: in metres that is 980 mm.");
}

#[test]
fn gltf_says_how_its_axes_lie() {
    let (bench, form) = (Bench::new(), sample());
    let scan = bench.read("a.glb", &written::glb(&form)).unwrap();
    assert_eq!(scan.axes(), ScanAxes::YUpZForward);
    let turn_deg = scan.axes().turn_deg();
    let pose = pipeloft_core::model::obstacle::Pose { position_mm: DVec3::ZERO, turn_deg };
    // up is up, the front is ahead, and what glTF has on its +X is on the left
    for (from, to) in [(DVec3::Y, DVec3::Z), (DVec3::Z, DVec3::X), (DVec3::X, DVec3::Y)] {
        assert!(pose.world_from_own(from).distance(to) < 1e-12, "{from}");
    }
    assert_eq!(bench.read("a.stl", &written::stl_text(&form)).unwrap().axes(), ScanAxes::Unsaid);
}

#[test]
fn a_fingerprint_tells_a_changed_file() {
    let (bench, form) = (Bench::new(), sample());
    let mut bytes = written::stl_binary(&form, "a");
    let first = bench.read("a.stl", &bytes).unwrap().fingerprint().unwrap();
    assert_eq!(first, fingerprint(&bench.path("a.stl"), &Unwatched).unwrap());
    assert_eq!(first.bytes, bytes.len() as u64);
    *bytes.last_mut().unwrap() ^= 1;
    assert_ne!(bench.read("a.stl", &bytes).unwrap().fingerprint().unwrap(), first);
    // NIST FIPS 180-4 example: the sum over "abc"
    bench.put("abc", b"abc");
    let known = "3:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(fingerprint(&bench.path("abc"), &Unwatched).unwrap().to_string(), known);
}

#[test]
fn polygons_and_strips_become_triangles() {
    let bench = Bench::new();
    let scan = bench.read("a.obj", b"v 0 0 0\nv 1 0 0\nv 2 1 0\nv 1 2 0\nv 0 1 0\nf 1 2 3 4 5\n").unwrap();
    assert_eq!(scan.triangles(), [[0, 1, 2], [0, 2, 3], [0, 3, 4]]);
    let ply = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n\
               element face 1\nproperty list uchar int vertex_index\nend_header\n0. 0 0\n1 .0 0\n1 1 0\n0 1 -0\n4 0 1 2 3\n";
    assert_eq!(bench.read("a.ply", ply.as_bytes()).unwrap().triangles(), [[0, 1, 2], [0, 2, 3]]);
    let square = forms::Form {
        points: vec![DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::new(1.0, 1.0, 0.0)],
        triangles: vec![[0, 1, 2], [3, 0, 0]],
    };
    for (mode, expected) in [(5, [[0, 1, 2], [1, 2, 3]]), (6, [[0, 1, 2], [0, 2, 3]])] {
        let mut json = written::gltf_json(&square, None);
        json["meshes"][0]["primitives"][0]["mode"] = mode.into();
        json["accessors"][1]["count"] = 4.into();
        let numbers: Vec<u8> = square
            .points
            .iter()
            .flat_map(DVec3::to_array)
            .flat_map(|x| (x as f32).to_le_bytes())
            .chain([0_u32, 1, 2, 3, 0, 0].iter().flat_map(|i| i.to_le_bytes()))
            .collect();
        assert_eq!(
            bench.read("a.glb", &written::glb_of(&json, &numbers)).unwrap().triangles(),
            expected,
            "{mode}"
        );
    }
}

#[test]
fn parts_are_put_where_the_file_puts_them() {
    let (bench, form) = (Bench::new(), sample());
    // an object built of two others, one of them in another part of the package, each moved
    let inner = written::model("millimeter", &written::model_object(&form, 7), "");
    let group = "<object id=\"2\"><components><component objectid=\"1\"/>\
                 <component objectid=\"7\" p:path=\"/3D/Objects/a.model\" transform=\"0 1 0 -1 0 0 0 0 1 10 20 30\"/>\
                 </components></object>";
    let resources = written::model_object(&form, 1) + group;
    let item = "<item objectid=\"2\" transform=\"2 0 0 0 2 0 0 0 2 1000 0 0\"/>";
    let model = written::model("inch", &resources, item);
    let bytes = written::zipped(&[("3D/Objects/a.model", &inner), ("3D/3dmodel.model", &model)]);
    let scan = bench.read("a.3mf", &bytes).unwrap();
    let ahead = DVec3::X * 1000.0;
    let first = form.clone().moved(|p| p * 2.0 + ahead).corners();
    // a quarter turn about Z: x goes to y, y to −x
    let turned = |p: DVec3| DVec3::new(-p.y + 10.0, p.x + 20.0, p.z + 30.0);
    let second = form.clone().moved(|p| turned(p) * 2.0 + ahead).corners();
    assert_eq!(corners(&scan), [first, second].concat());

    let mut json = written::gltf_json(&form, None);
    json["nodes"] = serde_json::json!([
        { "children": [1, 2], "translation": [0.0, 0.0, 8.0] },
        { "mesh": 0, "scale": [2.0, 2.0, 2.0] },
        { "mesh": 0, "matrix": [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1] },
    ]);
    let plain = written::glb(&form);
    let numbers = &plain[plain.len() - 12 * form.points.len() - 12 * form.triangles.len()..];
    let scan = bench.read("a.glb", &written::glb_of(&json, numbers)).unwrap();
    let up = DVec3::Z * 8.0;
    let doubled = form.clone().moved(|p| p * 2.0 + up).corners();
    let turned = form.clone().moved(|p| DVec3::new(-p.y, p.x, p.z) + up).corners();
    let mut found = corners(&scan);
    let half = found.len() / 2;
    if found[0] != doubled[0] {
        found.rotate_left(half); // children may come in either order
    }
    assert_eq!(found, [doubled, turned].concat());
}

#[test]
fn gltf_finds_its_numbers_beside_it_and_nowhere_else() {
    let (bench, form) = (Bench::new(), sample());
    let (json, numbers) = written::gltf_with_companion(&form, "left%20door.bin");
    bench.put("left door.bin", &numbers);
    assert_eq!(corners(&bench.read("a.gltf", &json).unwrap()), form.corners());
    std::fs::create_dir(bench.path("below")).unwrap();
    bench.put("below/b.bin", &numbers);
    let (json, _) = written::gltf_with_companion(&form, "below/b.bin");
    assert_eq!(corners(&bench.read("a.gltf", &json).unwrap()), form.corners());
    bench.put("outside.bin", &numbers);
    let long = bench.path("outside.bin").display().to_string();
    for uri in [
        "../outside.bin",
        "%2e%2e/outside.bin",
        "..\\outside.bin",
        &long,
        "file:///etc/passwd",
        "https://a.b/c",
    ] {
        let (json, _) = written::gltf_with_companion(&form, uri);
        let said = bench.read("below/a.gltf", &json).unwrap_err().to_string();
        assert!(said.contains("which is not beside it in its folder"), "{uri}: {said}");
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(bench.path("outside.bin"), bench.path("below/link.bin")).unwrap();
        let (json, _) = written::gltf_with_companion(&form, "link.bin");
        let said = bench.read("below/a.gltf", &json).unwrap_err().to_string();
        assert!(said.contains("which is not beside it in its folder"), "{said}");
    }
    let (json, _) = written::gltf_with_companion(&form, "gone.bin");
    let said = bench.read("a.gltf", &json).unwrap_err().to_string();
    assert!(said.contains("needs the file gone.bin to go with it"), "{said}");
}

#[test]
fn triangles_of_no_use_are_left_out_and_counted() {
    let bench = Bench::new();
    let obj = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv nan 0 0\nv 2 0 0\nv 3 3 3\n\
                f 1 2 3\nf 1 2 4\nf 1 2 5\nf 1 1 2\nf 1 2 99\nf 1 2 -99\n";
    let scan = bench.read("a.obj", obj).unwrap();
    assert_eq!((scan.len(), scan.points().len()), (1, 3));
    let said = scan.dropped().sentence().unwrap();
    let all = "5 triangles were left out: 2 without area, 1 with a corner that is no number, \
               2 with a corner that is not in the file.";
    assert_eq!(said, all);
    let form = forms::ball(8, 8, 1.0);
    let scan = bench.read("a.ply", &written::ply(&form, PlyOrder::Big)).unwrap();
    // at each pole one of the two triangles of every square has no area
    assert_eq!((scan.dropped().flat, scan.len()), (16, 2 * 8 * 8 - 16));
}

#[test]
fn a_scan_far_from_its_origin_keeps_its_form() {
    let (bench, form) = (Bench::new(), sample());
    let far = DVec3::new(4_000_000.0, 500_000.0, 250.0);
    let scan = bench.read("a.obj", &written::obj(&form.clone().moved(|p| p + far))).unwrap();
    for (found, made) in corners(&scan).iter().flatten().zip(form.corners().iter().flatten()) {
        assert!((*found - far).distance(*made) < 1e-4, "{found} {made}");
    }
}

#[test]
fn a_scan_is_read_from_a_path_without_an_ending() {
    let (bench, form) = (Bench::new(), sample());
    let path = bench.put("scan", &written::threemf(&form));
    assert_eq!(read(&path, &Unwatched).unwrap().len(), form.triangles.len());
}
