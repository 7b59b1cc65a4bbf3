//! The command line: exit code 0 for nothing wrong, 1 for something, 2 for a file that cannot be read.

use super::sample;
use pipeloft::cli::{Command, parse, run};
use pipeloft_core::file;
use pipeloft_core::model::RunEnd;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

fn command(words: &[&dyn AsRef<Path>]) -> Command {
    parse(words.iter().map(|w| OsString::from(w.as_ref()))).expect("a command")
}

fn saved(folder: &Path, name: &str, project: &pipeloft_core::model::Project) -> PathBuf {
    let path = folder.join(name);
    file::save(&path, project).expect("the folder can be written");
    path
}

#[test]
fn check_exits_with_nothing_one_or_two() {
    let folder = tempfile::tempdir().unwrap();
    let mut project = sample::project();
    project.obstacles.clear();
    let good = saved(folder.path(), "good.ron", &project);
    assert_eq!(run(&command(&[&"check", &good])), Some(0));

    project.runs[0].start_corner.reach_mm = 20.0;
    let stop = saved(folder.path(), "stop.ron", &project);
    assert_eq!(run(&command(&[&"check", &stop])), Some(1));

    let mut close = sample::project();
    close.obstacles.truncate(1);
    close.obstacles[0].pose.position_mm = glam::DVec3::new(150.0, 80.0, 0.0);
    let warned = saved(folder.path(), "warned.ron", &close);
    assert_eq!(run(&command(&[&"check", &warned])), Some(1));

    let broken = folder.path().join("broken.ron");
    std::fs::write(&broken, "(format: 1, name:").unwrap();
    assert_eq!(run(&command(&[&"check", &broken])), Some(2));
    assert_eq!(run(&command(&[&"check", &folder.path().join("none.ron")])), Some(2));
}

#[test]
fn a_report_is_printed_even_where_something_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let mut project = sample::project();
    project.obstacles.clear();
    project.runs.truncate(1);
    project.tubes.clear();
    let path = saved(folder.path(), "a.ron", &project);
    assert_eq!(run(&command(&[&"report", &path])), Some(0));
    assert_eq!(run(&command(&[&"report", &folder.path().join("none.ron")])), Some(2));
}

#[test]
fn a_sheet_is_written_into_a_folder_that_is_made_for_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = saved(folder.path(), "two runs.ron", &sample::project());
    let out = folder.path().join("new").join("sheets");
    assert_eq!(run(&command(&[&"sheet", &path, &"--out", &out])), Some(0));
    let pdf = std::fs::read(out.join("two runs-sheet.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    let list = std::fs::read_to_string(out.join("two runs-cut-list.csv")).unwrap();
    assert!(list.trim_start_matches('\u{feff}').starts_with("run,mark,"), "{list}");
    assert!(list.lines().count() > 4, "{list}");
    // a file stands where the folder should be
    assert_eq!(run(&command(&[&"sheet", &path, &"--out", &path])), Some(2));
}

#[test]
fn close_exits_with_whether_it_closes() {
    let folder = tempfile::tempdir().unwrap();
    let project = sample::project();
    let run_of = project.runs.iter().find(|r| matches!(r.end, RunEnd::Hardpoint { .. })).unwrap();
    let RunEnd::Hardpoint { hardpoint, .. } = run_of.end else { return };
    let port = project.hardpoint(hardpoint).and_then(pipeloft_core::model::Hardpoint::outward).unwrap();
    let path = saved(folder.path(), "a.ron", &project);
    let words = |at: glam::DVec3, name: &str| {
        let way = -port.travel;
        let list = |v: glam::DVec3| format!("{},{},{}", v.x, v.y, v.z);
        let words = [("--run", name.to_owned()), ("--end", list(at)), ("--direction", list(way))]
            .map(|(a, b)| [a.to_owned(), b]);
        let mut out = vec!["close".to_owned(), path.display().to_string()];
        out.extend(words.into_iter().flatten());
        parse(out.into_iter().map(OsString::from)).expect("a command")
    };
    // 150 mm before the face and a little aside; at the face itself there is no room for anything
    let aside = port.forward(150.0).origin + port.index * 4.0;
    assert_eq!(run(&words(aside, &run_of.name)), Some(0));
    assert_eq!(run(&words(port.origin + port.index * 20.0, &run_of.name)), Some(1));
    assert_eq!(run(&words(aside, "no such run")), Some(2));
}

#[test]
fn a_window_is_not_the_command_line_s_business() {
    assert_eq!(run(&command(&[])), None);
    assert_eq!(run(&command(&[&"project.ron"])), None);
}

#[test]
fn a_route_is_taken_into_a_new_file_that_is_clear_of_everything() {
    let folder = tempfile::tempdir().unwrap();
    let mut project = sample::project();
    project.obstacles.truncate(1);
    project.obstacles[0].body = pipeloft_core::model::BodyId(2);
    "Tray".clone_into(&mut project.obstacles[0].name);
    project.obstacles[0].pose.position_mm = glam::DVec3::new(500.0, 385.0, 130.0);
    let still = pipeloft_core::model::Movement::default();
    project.bodies.push(pipeloft_core::model::Body {
        id: pipeloft_core::model::BodyId(2),
        name: "Engine".to_owned(),
        movement: still,
    });
    project.runs.truncate(1);
    project.runs[0].fittings.clear();
    "Hot side".clone_into(&mut project.runs[0].name);
    let clear = |p: &pipeloft_core::model::Project| {
        pipeloft_core::report::Report::new(p).clearance.iter().all(|c| c.ok)
    };
    assert!(!clear(&project), "as it is drawn it runs into the tray");
    let path = saved(folder.path(), "a.ron", &project);
    let out = folder.path().join("b.ron");
    let words: [&dyn AsRef<Path>; 10] =
        [&"routes", &path, &"--run", &"Hot side", &"--effort", &"15", &"--take", &"1", &"--out", &out];
    assert_eq!(run(&command(&words)), Some(0));
    let taken = file::load(&out).unwrap();
    assert!(clear(&taken));
    assert_ne!(taken.runs[0], project.runs[0]);

    // no such route, no such run, no such file
    let none = folder.path().join("c.ron");
    let words: [&dyn AsRef<Path>; 10] =
        [&"routes", &path, &"--run", &"Hot side", &"--effort", &"15", &"--take", &"99", &"--out", &none];
    assert_eq!(run(&command(&words)), Some(2));
    assert!(!none.exists());
    assert_eq!(run(&command(&[&"routes", &path, &"--run", &"Cold side"])), Some(2));
    assert_eq!(run(&command(&[&"routes", &none, &"--run", &"Hot side"])), Some(2));

    // straight out of its start stands something: there can be none
    project.obstacles[0].pose.position_mm = glam::DVec3::new(110.0, 0.0, 0.0);
    let shut = saved(folder.path(), "shut.ron", &project);
    let words: [&dyn AsRef<Path>; 6] = [&"routes", &shut, &"--run", &"Hot side", &"--shortest", &"40"];
    assert_eq!(run(&command(&words)), Some(1));
}
