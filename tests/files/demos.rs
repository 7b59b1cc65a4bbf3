//! Every demo opens, can be built, and is the same after saving and loading.

use pipeloft_core::file;
use pipeloft_core::finding::Severity;
use pipeloft_core::model::FORMAT;
use pipeloft_core::report::Report;
use pipeloft_tests::shop::demos;
use std::path::Path;

#[test]
fn every_demo_opens_and_nothing_in_it_stops_the_saw() {
    let mut wrong = Vec::new();
    for path in demos() {
        match file::load(&path) {
            Err(error) => wrong.push(error.to_string()),
            Ok(project) => {
                if project.runs.is_empty() {
                    wrong.push(format!("{}: has no run", path.display()));
                }
                let report = Report::new(&project);
                let stops = report.findings.iter().filter(|f| f.severity == Severity::Stop);
                wrong.extend(stops.map(|f| format!("{}: {}", path.display(), f.text)));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_demo_is_the_same_after_saving_and_loading() {
    let folder = tempfile::tempdir().unwrap();
    for path in demos() {
        let project = file::load(&path).unwrap();
        let copy = folder.path().join("copy.ron");
        file::save(&copy, &project).unwrap();
        assert_eq!(file::load(&copy).unwrap(), project, "{}", path.display());
        // what is written twice is the same twice, so that copies can be compared
        let first = std::fs::read(&copy).unwrap();
        file::save(&copy, &file::load(&copy).unwrap()).unwrap();
        assert_eq!(std::fs::read(&copy).unwrap(), first, "{}", path.display());
    }
}

#[test]
fn a_project_with_one_of_everything_is_the_same_after_saving_and_loading() {
    let project = super::sample::project();
    let loaded = file::from_text(&super::sample::text(), Path::new("sample.ron")).unwrap();
    assert_eq!(loaded, project);
    let report = Report::new(&loaded);
    assert!(report.runs.iter().all(|r| !r.pieces.is_empty()), "{:?}", report.findings);
    assert_eq!(Report::new(&loaded).to_json().unwrap(), report.to_json().unwrap());
}

#[test]
fn numbers_survive_saving_to_the_last_digit() {
    let mut project = super::sample::project();
    for (i, x) in [0.1, 1.0 / 3.0, 5e-324, 49_999.999_999_999_99, -0.0, 25.4 / 64.0].into_iter().enumerate() {
        project.obstacles[0].pose.position_mm.x = x;
        let text = file::to_text(&project).unwrap();
        let back = file::from_text(&text, Path::new("sample.ron")).unwrap();
        assert_eq!(back.obstacles[0].pose.position_mm.x.to_bits(), f64::to_bits(x), "number {i}");
    }
}

#[test]
fn a_file_with_the_highest_id_there_is_still_takes_new_things() {
    let text = super::sample::text().replacen("next_id: 2000", "next_id: 4294967295", 1);
    if let Ok(mut project) = file::from_text(&text, Path::new("sample.ron")) {
        let (first, second) = (project.fresh_id(), project.fresh_id());
        assert_ne!(first, second);
    }
}

#[test]
fn a_waypoint_or_a_joint_that_is_there_twice_is_refused() {
    let mut project = super::sample::project();
    let (way, fitting) = (project.runs[0].waypoints[0], project.runs[0].fittings[0]);
    project.runs[0].waypoints.push(way);
    assert!(file::from_text(&file::to_text(&project).unwrap(), Path::new("sample.ron")).is_err());
    project.runs[0].waypoints.pop();
    project.runs[0].fittings.push(fitting);
    assert!(file::from_text(&file::to_text(&project).unwrap(), Path::new("sample.ron")).is_err());
}

/// A file of the first format says nothing of what came later; it opens with the usual values and is written in the
/// present format.
#[test]
fn a_file_of_the_first_format_opens_and_is_brought_up_to_date() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("files/old/format-1.ron");
    let project = file::load(&path).unwrap();
    assert_eq!(project.format, FORMAT);
    assert_eq!((project.runs.len(), project.tubes.len()), (4, 4));
    assert!((project.settings.saw.step_deg - 0.5).abs() < 1e-12);
    assert!(project.settings.saw.grip_mm > 0.0 && project.settings.allowances.weld_gap_mm.abs() < 1e-12);
    assert!(project.done.is_empty() && project.runs.iter().all(|r| r.fit_weld.is_none()));
    let text = file::to_text(&project).unwrap();
    assert!(text.contains("format: 6"));
    assert_eq!(file::from_text(&text, Path::new("new.ron")).unwrap(), project);
    let report = Report::new(&project);
    assert!(report.runs.iter().all(|r| !r.pieces.is_empty()), "{:?}", report.findings);
}

/// A file of the second format has no datums, scans or movements; all that it has stays.
#[test]
fn a_file_of_the_second_format_opens_and_keeps_all_it_has() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("files/old/format-2.ron");
    let project = file::load(&path).unwrap();
    assert_eq!(project.format, FORMAT);
    assert_eq!((project.runs.len(), project.obstacles.len()), (4, 50));
    assert!(project.datums.is_empty() && project.bodies.iter().all(|b| b.movement.is_still()));
    assert!(project.joints.iter().all(|j| j.tool.is_none()));
    let text = file::to_text(&project).unwrap();
    assert_eq!(file::from_text(&text, Path::new("new.ron")).unwrap(), project);
}

/// A file of the third format has no tapers, parts, merges or bars; all that it has stays.
#[test]
fn a_file_of_the_third_format_opens_and_keeps_all_it_has() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("files/old/format-3.ron");
    let project = file::load(&path).unwrap();
    assert_eq!(project.format, FORMAT);
    assert_eq!((project.runs.len(), project.obstacles.len()), (5, 38));
    assert!(project.merges.is_empty() && project.bars.is_empty());
    assert!(project.runs.iter().all(|r| r.tapers.is_empty() && r.parts.is_empty()));
    assert!(!project.datums.is_empty() && project.bodies.iter().any(|b| !b.movement.is_still()));
    let text = file::to_text(&project).unwrap();
    assert_eq!(file::from_text(&text, Path::new("new.ron")).unwrap(), project);
}

/// A file of the fourth format letters its runs by their place; all that it has stays.
#[test]
fn a_file_of_the_fourth_format_opens_and_keeps_all_it_has() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("files/old/format-4.ron");
    let project = file::load(&path).unwrap();
    assert_eq!(project.format, pipeloft_core::model::FORMAT);
    assert_eq!((project.runs.len(), project.merges.len()), (8, 1));
    assert!(project.done.is_empty() && !project.hardpoints.is_empty());
    // the eighth was H once, which reads like a hole
    let letters: Vec<&str> = project.runs.iter().map(|r| r.letters.as_str()).collect();
    assert_eq!(letters.join(" "), "A B C D E F G K");
    let text = file::to_text(&project).unwrap();
    assert_eq!(file::from_text(&text, Path::new("new.ron")).unwrap(), project);
    let report = Report::new(&project);
    assert!(report.runs.iter().all(|r| !r.pieces.is_empty()), "{:?}", report.findings);
}

/// Letters are given by the program: a file written by hand may leave them out or give them twice.
#[test]
fn runs_without_letters_of_their_own_get_some() {
    let text = super::sample::text();
    let without: Vec<&str> = text.lines().filter(|l| !l.contains("letters:")).collect();
    let project = file::from_text(&without.join("\n"), Path::new("hand.ron")).unwrap();
    let letters = |p: &pipeloft_core::model::Project| -> Vec<String> {
        p.runs.iter().map(|r| r.letters.clone()).collect()
    };
    assert_eq!(letters(&project), ["A", "B"]);
    for odd in ["A", "W", "", "b", "A7", "BAR"] {
        let twice = text.replacen(" letters: \"B\"", &format!(" letters: {odd:?}"), 1);
        let project = file::from_text(&twice, Path::new("hand.ron")).unwrap();
        assert_eq!(letters(&project), ["A", "C"], "{odd}");
    }
}
