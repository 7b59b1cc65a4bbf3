//! Things that are no project at all, given to the command line: a sentence and exit 2, whatever it is.

use super::{everything, sample};
use pipeloft::cli::{parse, run};
use pipeloft_core::file;
use pipeloft_core::model::limits::MAX_HOLES;
use pipeloft_core::model::{Hole, Obstacle, ObstacleId, Project, ScanFile, Shape};
use pipeloft_core::space::scan::{ScanState, Unwatched, bring, fingerprint};
use pipeloft_tests::scans::{engine, stl};
use std::ffi::OsString;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::Duration;

/// What loading gives, where it gives something: reading a pipe would never end.
fn load(path: &Path) -> Result<Project, String> {
    let (sender, receiver) = channel();
    let path = path.to_owned();
    std::thread::spawn(move || drop(sender.send(file::load(&path).map_err(|e| e.to_string()))));
    receiver.recv_timeout(Duration::from_mins(1)).expect("an answer")
}

/// That loading is refused with `words`, and each command exits with 2.
fn assert_refused(path: &Path, words: &str) {
    let said = load(path).expect_err("no project");
    assert!(said.starts_with(&path.display().to_string()), "{said}");
    assert!(said.contains(words) && said.ends_with('.') && said.len() < 700, "{words}: {said}");
    assert!(!said.chars().any(char::is_control), "{said}");
    for inner in ["`Header", "ron::", "serde", "struct `"] {
        assert!(!said.contains(inner), "words of the program's inside: {said}");
    }
    let out = path.with_extension("sheets");
    let commands: [&[&Path]; 3] = [
        &[Path::new("check"), path],
        &[Path::new("report"), path],
        &[Path::new("sheet"), path, Path::new("--out"), &out],
    ];
    for command in commands {
        let command = parse(command.iter().map(OsString::from)).unwrap();
        assert_eq!(run(&command), Some(2), "{command:?}");
    }
    assert!(!out.exists(), "nothing is written for what cannot be read");
}

struct Bench(tempfile::TempDir);

impl Bench {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }
}

/// Pipes, sockets and devices under the names of projects.
#[cfg(unix)]
fn no_files(bench: &Bench) -> Vec<(PathBuf, &'static str)> {
    let at = |name: &str| bench.0.path().join(name);
    let made = std::process::Command::new("mkfifo").arg(at("pipe.ron")).status().unwrap();
    assert!(made.success());
    // the socket's name stays when the listener is gone
    drop(std::os::unix::net::UnixListener::bind(at("socket.ron")).unwrap());
    for device in ["zero", "null", "full"] {
        std::os::unix::fs::symlink(format!("/dev/{device}"), at(&format!("{device}.ron"))).unwrap();
    }
    vec![
        (at("pipe.ron"), "is a pipe between programs, not a file"),
        (at("socket.ron"), "is a socket between programs, not a file"),
        (at("zero.ron"), "is a device, not a file"),
        (at("null.ron"), "is a device, not a file"),
        (at("full.ron"), "is a device, not a file"),
    ]
}

#[cfg(unix)]
#[test]
fn pipes_sockets_and_devices_are_neither_projects_nor_scans() {
    let bench = Bench::new();
    for (path, words) in no_files(&bench) {
        assert_refused(&path, words);
        let scan = ScanFile { path: path.display().to_string(), ..everything::scan() };
        let ScanState::Missing(said) = bring(&scan, None, &Unwatched) else { panic!("{path:?}") };
        assert!(said.contains(words) && said.ends_with('.'), "{said}");
    }
}

#[test]
fn folders_and_empty_files_are_said() {
    let bench = Bench::new();
    assert_refused(bench.0.path(), "is a folder, not a file");
    assert_refused(&bench.put("empty.ron", ""), "is empty");
    assert_refused(&bench.0.path().join("none.ron"), "cannot be read");
}

#[test]
fn a_mark_before_the_text_is_passed_over() {
    let bench = Bench::new();
    let marked = bench.put("marked.ron", format!("\u{feff}{}", sample::text()));
    assert_eq!(load(&marked).unwrap(), sample::project());
    // and what is wrong after it is where a person looks
    assert_refused(&bench.put("only.ron", "\u{feff}"), "line 1, column 1");
    let wrong = format!("\u{feff}{}", sample::text().replacen("stick_mm: 6000.0", "stick_mm: long", 1));
    let line = 1 + wrong[..wrong.find("long").unwrap()].matches('\n').count();
    assert_refused(&bench.put("wrong.ron", wrong), &format!("line {line}, column"));
}

#[test]
fn text_of_another_encoding_and_what_is_no_text_is_said() {
    let bench = Bench::new();
    let units = || std::iter::once(0xfeff).chain(sample::text().encode_utf16().collect::<Vec<_>>());
    let little: Vec<u8> = units().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = units().flat_map(u16::to_be_bytes).collect();
    assert_refused(&bench.put("little.ron", &little), "UTF-16");
    assert_refused(&bench.put("big.ron", &big), "UTF-16");
    assert_refused(&bench.put("unmarked.ron", &little[2..]), "not a text file");
    assert_refused(&bench.put("nul.ron", [0; 5000]), "not a text file");
    let with_nul = sample::text().replacen("Bench", "Be\0ch", 1);
    assert_refused(&bench.put("name.ron", with_nul), "not a text file");
    assert_refused(&bench.put("latin.ron", b"(format: 4, name: \"K\xfchler\")"), "not a text file");
    assert_refused(
        &bench.put("random.ron", (1..99_999_u32).map(|i| (i.wrapping_mul(i) >> 3) as u8).collect::<Vec<_>>()),
        "not a text file",
    );
}

#[test]
fn what_nests_or_never_ends_is_refused_with_its_place() {
    let bench = Bench::new();
    let inside = |field: &str, what: &str| sample::text().replacen(field, &format!("{field} {what}"), 1);
    let many = 200_000;
    for (name, text) in [
        ("brackets", "[".repeat(many)),
        ("structs", "(format: ".repeat(many)),
        ("options", format!("(format: {}", "Some(".repeat(many))),
        ("closed", format!("(format: {}4{}, name: 1)", "Some(".repeat(many), ")".repeat(many))),
        ("maps", "{1: ".repeat(many)),
        ("lists in it", inside("runs: [", &"[".repeat(many))),
        ("unknown field", inside("(", &format!("deep: {}", "(a: ".repeat(many)))),
        ("comments", "/*".repeat(many)),
        ("comments in it", inside("(", &"/*".repeat(many))),
        ("extensions", "#![enable(implicit_some)]".repeat(many / 10)),
        ("raw text", format!("(format: 4, name: r{}\"", "#".repeat(many))),
        ("digits", format!("(format: {})", "9".repeat(many))),
        ("digits in it", inside("kerf_mm:", &"9".repeat(many))),
        ("decimals", inside("kerf_mm:", &format!("0.{}1e{}", "0".repeat(many), "9".repeat(many)))),
        ("hexadecimal", format!("(format: 0x{})", "f".repeat(many))),
        ("a long word", "x".repeat(many)),
        ("a long field", format!("(format: 4, {}: 1)", "x".repeat(many))),
        ("a long material", sample::text().replacen("Stainless304", &"x".repeat(many), 1)),
        ("blanks", " ".repeat(many)),
    ] {
        assert_refused(&bench.put(&format!("{name}.ron"), text), "line ");
    }
}

#[test]
fn long_names_are_refused_and_not_repeated_in_every_sentence() {
    let bench = Bench::new();
    let mut project = everything::project();
    project.hardpoints[0].name = "n".repeat(1_000_000);
    project.hardpoints[0].position_mm.x = 1e12;
    let path = bench.put("name.ron", file::to_text(&project).unwrap());
    assert_refused(&path, "is 1000000 characters long; it must be at most 1000");
    for letter in ["n", "ü"] {
        let mut project = everything::project();
        project.obstacles[0].name = letter.repeat(1000);
        assert!(file::from_text(&file::to_text(&project).unwrap(), Path::new("name.ron")).is_ok());
    }
}

/// A file that a program wrote without blanks, and that is half as long again as this program writes it.
#[test]
fn more_than_a_file_takes_is_neither_loaded_nor_saved() {
    let mut project = sample::project();
    let panel = Obstacle {
        name: String::new(),
        shape: Shape::Panel {
            width_mm: 9.0,
            height_mm: 9.0,
            thickness_mm: 1.0,
            holes: vec![Hole { x_mm: 1.0, y_mm: 2.0, diameter_mm: 9.0 }; MAX_HOLES],
        },
        ..project.obstacles[0].clone()
    };
    let body = panel.body.0;
    let count = 950;
    let hole = "(x_mm:1,y_mm:2,diameter_mm:9),".repeat(MAX_HOLES);
    let mut panels = String::new();
    for id in 100_000..100_000 + count {
        project.obstacles.push(Obstacle { id: ObstacleId(id), ..panel.clone() });
        write!(
            panels,
            "(id:{id},name:\"\",body:{body},shape:Panel(width_mm:9,height_mm:9,thickness_mm:1,holes:[{hole}]),\
             pose:(position_mm:(0,0,0),turn_deg:(0,0,0)),gap_mm:0,heat_sensitive:false),"
        )
        .unwrap();
    }
    let said = file::to_text(&project).unwrap_err().to_string();
    assert!(said.contains("more than the 8 MB"), "{said}");
    let short = sample::text().replacen("obstacles: [", &format!("obstacles: [{panels}"), 1);
    assert!((short.len() as u64) < file::MAX_BYTES * 3 / 4, "{}", short.len());
    let said = file::from_text(&short, Path::new("short.ron")).unwrap_err().to_string();
    assert!(said.contains("more than a project file can take"), "{said}");
}

#[test]
fn a_checksum_is_sixty_four_digits_and_the_file_has_them() {
    let bench = Bench::new();
    let mut project = everything::project();
    bench.put("left.stl", stl(&engine()));
    let folder = Some(bench.0.path());
    let right = fingerprint(&bench.0.path().join("left.stl"), &Unwatched).unwrap();
    let text = right.to_string();
    let digits = text.split_once(':').unwrap().1;
    let last = &digits[63..];
    let other = if digits.starts_with('0') { "1" } else { "0" };
    let off_by_one = format!("{other}{}", &digits[1..]);
    for (sum, is_sum, same) in [
        (digits, true, true),
        (&*digits.to_uppercase(), true, true),
        (&*off_by_one, true, false),
        ("", false, false),
        (last, false, false),
        (&digits[1..], false, false),
        (&*format!("0{digits}"), false, false),
        (&*text, false, false),
        (&*format!(" {}", &digits[1..]), false, false),
        (&*"ü".repeat(32), false, false),
    ] {
        let scan = ScanFile {
            sha256: sum.to_owned(),
            bytes: right.bytes,
            mm_per_unit: 1.0,
            keep: None,
            ..everything::scan()
        };
        let state = bring(&scan, folder, &Unwatched);
        assert_eq!(matches!(state, ScanState::Ready(_)), same, "{sum}: {state:?}");
        assert_eq!(matches!(state, ScanState::Changed(..)), !same, "{sum}");
        let shape =
            &mut project.obstacles.iter_mut().rev().find(|o| o.shape.as_scan().is_some()).unwrap().shape;
        *shape = Shape::Scan(scan);
        let loaded = file::from_text(&file::to_text(&project).unwrap(), Path::new("sum.ron"));
        match loaded {
            Ok(_) => assert!(is_sum, "{sum}"),
            Err(error) => {
                assert!(!is_sum, "{sum}: {error}");
                assert!(error.to_string().contains("checksum (SHA-256)"), "{error}");
            }
        }
    }
}
