//! Files that are refused before they are read, and those too large to work with.

use super::damaged::check_sentence;
use super::{Bench, forms, written};
use pipeloft_core::space::scan::{
    Fault, MAX_BYTES, MAX_TRIANGLES, Scan, ScanUnit, Unwatched, fingerprint, read,
};
use std::io::Write as _;

#[test]
fn what_is_no_file_is_said() {
    let bench = Bench::new();
    let said = |name: &str| check_sentence(&read(&bench.path(name), &Unwatched).unwrap_err(), name);
    assert!(said("gone.stl").contains("cannot be read"));
    std::fs::create_dir(bench.path("folder.stl")).unwrap();
    assert!(said("folder.stl").contains("is a folder, not a file"));
    bench.put("empty.stl", b"");
    assert!(said("empty.stl").contains("is empty"));
    bench.put("letter.txt", b"Dear Sir or Madam");
    assert!(said("letter.txt").contains("none of the kinds that are read"));
    bench.put("picture.stp", b"ISO-10303-21;");
    assert!(said("picture.stp").contains("STL, OBJ, PLY, 3MF or glTF"));
    assert!(
        fingerprint(&bench.path("gone.stl"), &Unwatched).unwrap_err().to_string().contains("cannot be read")
    );
}

#[cfg(unix)]
#[test]
fn what_may_not_be_read_is_said() {
    use std::os::unix::fs::PermissionsExt as _;
    let bench = Bench::new();
    let path = bench.put("locked.stl", b"solid\nendsolid\n");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    // who may read everything learns that it is empty
    let error = read(&path, &Unwatched).unwrap_err();
    assert!(matches!(error.fault, Fault::Read(_) | Fault::Nothing), "{error}");
}

/// A file of the given beginning that is `bytes` long; what follows takes no room on the disk.
fn stretched(bench: &Bench, name: &str, beginning: &[u8], bytes: u64) -> std::path::PathBuf {
    let path = bench.path(name);
    let mut file = std::fs::File::create(&path).unwrap();
    file.write_all(beginning).unwrap();
    file.set_len(bytes).unwrap();
    path
}

#[test]
fn a_file_too_large_is_refused_unread() {
    let bench = Bench::new();
    let path = stretched(&bench, "all.stl", b"x", MAX_BYTES + 1_000_000);
    let said = check_sentence(&read(&path, &Unwatched).unwrap_err(), "all.stl");
    assert!(said.contains("is 1001 MB, more than the 1000 MB"), "{said}");
}

#[test]
fn too_many_triangles_are_refused_with_their_number() {
    let bench = Bench::new();
    let count = MAX_TRIANGLES as u32 + 7;
    let mut header = vec![0; 80];
    header.extend(count.to_le_bytes());
    let path = stretched(&bench, "many.stl", &header, 84 + 50 * u64::from(count));
    let said = check_sentence(&read(&path, &Unwatched).unwrap_err(), "many.stl");
    assert!(said.contains("has 2000007 triangles") && said.contains("Cut the scan down"), "{said}");

    let header = b"ply\nformat binary_little_endian 1.0\nelement face 3000000\nproperty list uchar int vertex_indices\nend_header\n";
    let path = stretched(&bench, "many.ply", header, 4_000_000);
    let said = check_sentence(&read(&path, &Unwatched).unwrap_err(), "many.ply");
    assert!(said.contains("has 3000000 triangles"), "{said}");

    // text does not say beforehand: it is counted to the end, and not kept
    let text = ["v 0 0 0\nv 1 0 0\nv 0 1 0\n".to_owned(), "f 1 2 3\n".repeat(count as usize)].concat();
    let said = check_sentence(&bench.read("many.obj", text.as_bytes()).unwrap_err(), "many.obj");
    assert!(said.contains("has 2000007 triangles"), "{said}");
}

#[test]
fn copies_are_counted_before_they_are_made() {
    let bench = Bench::new();
    let object = written::model_object(&forms::torus(40, 25, 100.0, 20.0), 1);
    let items = "<item objectid=\"1\"/>".repeat(1001);
    let model = written::model("inch", &object, &items);
    let said = bench.read("a.3mf", &written::zipped(&[("a.model", &model)])).unwrap_err();
    assert!(matches!(said.fault, Fault::TooManyTriangles { .. }), "{said}");
}

#[test]
fn a_scan_made_of_nothing_is_refused() {
    let none = Scan::from_triangles(&[], &[], ScanUnit::Inch);
    assert!(matches!(none, Err(Fault::Nothing)));
    let lost = Scan::from_triangles(&[glam::DVec3::ZERO], &[[0, 1, 2]], ScanUnit::Inch);
    assert!(matches!(lost, Err(Fault::NothingLeft { dropped }) if dropped.lost == 1));
}
