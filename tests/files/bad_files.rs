//! Bad files: each gives a sentence with its path, and with line and column where the text itself is at fault.

use super::sample;
use pipeloft_core::file::{self, LoadError};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{BendMake, ElbowId};
use pipeloft_core::report::Report;
use std::path::Path;

const PATH: &str = "/shop/bad file.ron";

/// What is expected of a bad file.
enum Wants {
    /// A place: line and column.
    Place,
    /// These words.
    Words(&'static str),
}

fn refused(text: &str) -> LoadError {
    match file::from_text(text, Path::new(PATH)) {
        Err(error) => error,
        Ok(_) => panic!("was read without complaint:\n{}", &text[..text.len().min(400)]),
    }
}

fn assert_sentence(name: &str, error: &LoadError, wants: &Wants) {
    let said = error.to_string();
    assert!(said.starts_with(PATH), "{name}: {said}");
    assert!(said.ends_with('.'), "{name}: {said}");
    match wants {
        Wants::Place => {
            let LoadError::Syntax { line, column, .. } = error else { panic!("{name}: {said}") };
            assert!(*line >= 1 && *column >= 1, "{name}: {said}");
            assert!(said.contains(&format!("line {line}, column {column}")), "{name}: {said}");
        }
        Wants::Words(words) => assert!(said.contains(words), "{name}: {said}"),
    }
}

/// The sample with the first `from` made into `to`.
fn changed(from: &str, to: &str) -> String {
    let text = sample::text();
    assert!(text.contains(from), "the sample has no {from}");
    text.replacen(from, to, 1)
}

fn repeated(open: &str, times: usize) -> String {
    changed("runs: [", &format!("runs: [{}", open.repeat(times)))
}

#[test]
fn every_bad_file_is_refused_with_its_path_and_place_or_reason() {
    use Wants::{Place, Words};
    let nested = repeated("[", 100_000);
    let long_name = "x".repeat(100_000);
    let corpus: Vec<(&str, String, Wants)> = vec![
        ("empty", String::new(), Place),
        ("blank", " \n\t\n".to_owned(), Place),
        ("only a bracket", "(".to_owned(), Place),
        ("prose", "A pipe from here to there.".to_owned(), Place),
        ("JSON", "{\"format\": 1, \"name\": \"x\"}".to_owned(), Place),
        ("no format", changed("format: 6,", ""), Place),
        ("format in words", changed("format: 6", "format: one"), Place),
        ("format below zero", changed("format: 6", "format: -1"), Place),
        ("format zero", changed("format: 6", "format: 0"), Words("never existed")),
        ("newer format", changed("format: 6", "format: 7"), Words("newer version (format 7")),
        ("much newer format", changed("format: 6", "format: 4294967295"), Words("newer version")),
        ("format too large", changed("format: 6", "format: 4294967296"), Place),
        ("unknown field", changed("wall_mm:", "wal_mm:"), Place),
        ("extra field", changed("format: 6,", "format: 6, colour: \"red\","), Place),
        ("missing field", changed("  next_id: 2000,\n", ""), Place),
        ("field twice", changed("next_id: 2000,", "next_id: 2000, next_id: 2000,"), Place),
        ("text for a number", changed("od_mm: 63.5", "od_mm: \"63.5\""), Place),
        ("number for a text", changed("name: \"Bench\"", "name: 5"), Place),
        ("list for a struct", changed("settings: (", "settings: ["), Place),
        ("unknown material", changed("Stainless304", "Unobtainium"), Place),
        ("unknown shape", changed("HalfSpace", "Torus"), Place),
        ("two coordinates", changed("(300.0, 350.0, 60.0)", "(300.0, 350.0)"), Place),
        ("id below zero", changed("start: ", "start: -"), Place),
        ("id that is no number", changed("tube: 10", "tube: 10.5"), Place),
        ("comma as decimal sign", changed("od_mm: 63.5", "od_mm: 63,5"), Place),
        ("unclosed text", changed("name: \"Bench\"", "name: \"Bench"), Place),
        ("more after the end", sample::text() + "(format: 6)", Place),
        ("a hundred thousand brackets", nested, Place),
        ("a hundred thousand brackets alone", "[".repeat(100_000), Place),
        ("a hundred thousand structs", "(format: ".repeat(100_000), Place),
        ("long nonsense", long_name, Place),
        ("nul characters", "\0".repeat(64), Place),
        ("not a number", changed("od_mm: 63.5", "od_mm: NaN"), Words("not a number")),
        ("infinite", changed("position_mm: (0.0", "position_mm: (inf"), Words("not a number")),
        ("minus infinite", changed("gap_mm: 8.0", "gap_mm: -inf"), Words("not a number")),
        ("infinite by size", changed("od_mm: 63.5", "od_mm: 1e999"), Words("not a number")),
        ("as wide as a house", changed("od_mm: 63.5", "od_mm: 9000.0"), Words("outside diameter")),
        ("as thin as a wire", changed("od_mm: 63.5", "od_mm: 0.5"), Words("outside diameter")),
        ("wall thicker than the tube", changed("wall_mm: 1.65", "wall_mm: 40.0"), Words("The wall of")),
        ("wall of nothing", changed("wall_mm: 1.65", "wall_mm: 0.0"), Words("The wall of")),
        ("a stick to the moon", changed("stick_mm: 6000.0", "stick_mm: 4e11"), Words("stick length")),
        ("kerf below zero", changed("kerf_mm: 1.6", "kerf_mm: -1.6"), Words("kerf")),
        ("a billion welds", changed("welds: 4", "welds: 1000000000"), Words("to 200")),
        ("radius to the moon", changed("clr_mm: 120.0", "clr_mm: 4e11"), Words("centreline radius")),
        ("far away", changed("(300.0, 350.0, 60.0)", "(300.0, 1e9, 60.0)"), Words("Y of")),
        (
            "no direction",
            changed("direction: (1.0, 0.0, 0.0)", "direction: (0.0, 0.0, 0.0)"),
            Words("no direction"),
        ),
        ("id used twice", changed("id: 11", "id: 10"), Words("used more than once")),
        ("a hole of nothing", changed("diameter_mm: 110.0", "diameter_mm: 0.0"), Words("hole")),
    ];
    assert!(corpus.len() >= 25);
    for (name, text, wants) in &corpus {
        assert_sentence(name, &refused(text), wants);
    }
}

#[test]
fn a_file_cut_off_anywhere_is_refused_with_a_place() {
    let text = sample::text();
    let whole = text.trim_end().len();
    let mut tried = 0;
    for end in (0..whole).step_by(37).chain(whole - 20..whole) {
        assert_sentence(&format!("cut at {end}"), &refused(&text[..end]), &Wants::Place);
        tried += 1;
    }
    assert!(tried > 100, "{tried}");
}

#[test]
fn a_place_is_the_line_a_person_would_look_at() {
    let text = changed("stick_mm: 6000.0", "stick_mm: long");
    let line = 1 + text[..text.find("long").unwrap()].matches('\n').count();
    let LoadError::Syntax { line: said, .. } = refused(&text) else { panic!("a syntax error") };
    assert_eq!(said, line);
}

#[test]
fn too_many_of_anything_is_refused_with_the_count() {
    let mut project = sample::project();
    let one = project.obstacles[0].clone();
    project.obstacles = vec![one; 5001];
    let said = refused(&file::to_text(&project).unwrap()).to_string();
    assert!(said.contains("5001 obstacles") && said.contains("at most 5000"), "{said}");

    let mut project = sample::project();
    let way = project.runs[0].waypoints[0];
    project.runs[0].waypoints = vec![way; 300];
    let said = refused(&file::to_text(&project).unwrap()).to_string();
    assert!(said.contains("302 bends"), "{said}");

    let mut project = sample::project();
    let run = project.runs[0].clone();
    project.runs = vec![run; 501];
    let said = refused(&file::to_text(&project).unwrap()).to_string();
    assert!(said.contains("501 runs"), "{said}");
    // a long list of faults is cut short and counted
    assert!(said.contains("more.") && said.len() < 2000, "{said}");
}

#[test]
fn what_a_run_refers_to_and_is_not_there_is_a_finding_by_number() {
    let mut cases: Vec<(String, &str)> = [
        ("tube: 10", "tube: 77", "tube number 77"),
        ("joint: 12", "joint: 78", "joint number 78"),
        ("start: 100", "start: 79", "hardpoint number 79"),
        ("hardpoint: 101", "hardpoint: 80", "hardpoint number 80"),
    ]
    .map(|(from, to, what)| (changed(from, to), what))
    .to_vec();
    let mut project = sample::project();
    project.runs[0].start_corner.make = BendMake::Elbow { elbow: ElbowId(81) };
    cases.push((file::to_text(&project).unwrap(), "elbow number 81"));
    for (text, what) in cases {
        let project = file::from_text(&text, Path::new(PATH)).unwrap();
        let report = Report::new(&project);
        let found = report.findings.iter().find(|f| f.code == "missing");
        let found = found.unwrap_or_else(|| panic!("{what}: {:?}", report.findings));
        assert!(found.text.contains(what), "{}", found.text);
        assert_eq!(found.severity, Severity::Stop);
        assert!(report.to_json().is_ok());
    }
}

#[test]
fn a_file_that_is_not_there_a_folder_and_a_binary_file_are_said() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("none.ron");
    for (path, words) in [(missing.as_path(), "cannot be read"), (folder.path(), "is a folder, not a file")] {
        let said = file::load(path).unwrap_err().to_string();
        assert!(said.starts_with(&path.display().to_string()) && said.contains(words), "{said}");
    }
    let binary = folder.path().join("binary.ron");
    let bytes: Vec<u8> = (0..=255).cycle().take(5000).collect();
    std::fs::write(&binary, bytes).unwrap();
    let said = file::load(&binary).unwrap_err().to_string();
    assert!(said.contains("not a text file"), "{said}");
    // text of another alphabet is text: what is wrong with it has a place
    std::fs::write(&binary, "Труба").unwrap();
    assert!(file::load(&binary).unwrap_err().to_string().contains("line 1"));
}

#[test]
fn a_file_too_large_for_a_project_is_refused_unread() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.ron");
    let large = std::fs::File::create(&path).unwrap();
    large.set_len(65 * 1024 * 1024).unwrap();
    let said = file::load(&path).unwrap_err().to_string();
    assert!(said.contains("68 MB, too large"), "{said}");
}

#[test]
fn a_save_that_fails_leaves_the_old_file_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let project = sample::project();
    // a folder that is not there, a file taken for a folder, and a folder taken for a file
    let file_in_the_way = folder.path().join("old.ron");
    file::save(&file_in_the_way, &project).unwrap();
    let before = std::fs::read(&file_in_the_way).unwrap();
    for target in
        [folder.path().join("none").join("x.ron"), file_in_the_way.join("x.ron"), folder.path().to_owned()]
    {
        let said = file::save(&target, &project).unwrap_err().to_string();
        assert!(said.starts_with(&target.display().to_string()), "{said}");
        assert!(said.contains("nothing was changed"), "{said}");
    }
    assert_eq!(std::fs::read(&file_in_the_way).unwrap(), before);
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().filter_map(Result::ok).collect();
    assert_eq!(left.len(), 1, "nothing half written stays behind: {left:?}");
}
