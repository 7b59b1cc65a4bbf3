//! From a project: where the gap is, the joint at the hardpoint, and why there is none.

use super::super::gap::Gap;
use super::super::{NoGap, Offset, OpenFace, close, written};
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::fab::build;
use pipeloft_core::file;
use pipeloft_core::model::{Attachment, Project, RunEnd, RunId};
use std::path::Path;

/// A demo project with a run that ends at a hardpoint.
fn demo(name: &str) -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-projects");
    file::load(&folder.join(name)).unwrap()
}

fn names() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-projects");
    let mut out: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|n| Path::new(n).extension().is_some_and(|e| e == "ron"))
        .collect();
    out.sort();
    assert!(out.len() >= 3, "{out:?}");
    out
}

/// Every run of the demos that ends at a hardpoint on no pipe, tacked up to each of its last pieces and there off by some
/// millimetres and a degree: it closes, and what is laid out ends at the hardpoint.
#[test]
fn runs_of_the_demos_close_where_they_are_tacked_a_little_off() {
    let (mut tried, mut joints) = (0, 0);
    for name in names() {
        let project = demo(&name);
        for run in &project.runs {
            let RunEnd::Hardpoint { hardpoint, .. } = run.end else { continue };
            let port = project.hardpoint(hardpoint).unwrap();
            let built = build(&project, run);
            if port.seat.is_some() || !built.is_buildable() {
                continue;
            }
            let last = built.pieces.iter().rposition(|p| p.is_sawn() && p.start.tilt_rad <= 0.0);
            let Some(last) = last.filter(|i| *i > 0 && built.pieces[*i].centre_mm > 60.0) else { continue };
            let drawn = built.frames[last].0;
            let off = Offset {
                along_mm: -1.0,
                to_index_mm: 2.0,
                to_three_mm: -1.5,
                lean_rad: 0.02,
                lean_clock_rad: 1.0,
            };
            let answer = match close(&project, run.id, OpenFace::off(&drawn, off), 8) {
                Ok(answer) => answer,
                // what comes before is of another tube
                Err(NoGap::OtherTube { .. }) => continue,
                Err(other) => panic!("{name} {}: {other}", run.name),
            };
            tried += 1;
            assert!(answer.closes(), "{name} {}: {:?}", run.name, answer.offers.first());
            let joint = matches!(port.attachment, Attachment::Joint { .. });
            joints += usize::from(joint);
            for offer in &answer.offers {
                let mut at = super::super::end_of(&answer.gap.from, offer.tube_pieces());
                if joint {
                    at = at.forward(offer.pieces.last().unwrap().centre_mm);
                }
                assert!(at.origin.distance(port.position_mm) < 0.5, "{name} {}", run.name);
            }
            let text = written(&project, &run.name, &answer).unwrap();
            let json: serde_json::Value = serde_json::from_str(&text).unwrap();
            let (pieces, left) = (json["pieces"].as_array().unwrap(), json["left"].as_array().unwrap());
            assert_eq!((pieces.len(), left.len()), (answer.offers.len(), answer.offers.len()));
            assert!(pieces[0][0]["centre_mm"].as_f64().unwrap() > 0.0 && left[0]["gap_mm"].is_number());
        }
    }
    assert!(tried >= 4, "{tried}");
    assert!(joints >= 1, "{joints}");
}

#[test]
fn where_there_is_no_gap_a_sentence_says_why() {
    let project = demo(&names()[0]);
    let face = OpenFace { point_mm: DVec3::ZERO, direction: DVec3::X };
    assert_eq!(close(&project, RunId(999_999), face, 8).unwrap_err(), NoGap::NoRun);
    let run = project.runs.iter().find(|r| matches!(r.end, RunEnd::Hardpoint { .. })).unwrap().clone();
    let RunEnd::Hardpoint { hardpoint, .. } = run.end else { return };
    let none = OpenFace { direction: DVec3::ZERO, ..face };
    assert_eq!(close(&project, run.id, none, 8).unwrap_err(), NoGap::FaceNoDirection);
    for x in [f64::NAN, f64::INFINITY, 1e9] {
        let far = OpenFace { point_mm: DVec3::X * x, ..face };
        assert_eq!(close(&project, run.id, far, 8).unwrap_err(), NoGap::FaceTooFar);
    }
    let mut open = project.clone();
    let at = open.runs.iter().position(|r| r.id == run.id).unwrap();
    open.runs[at].end = RunEnd::open(DVec3::X * 400.0);
    assert!(matches!(close(&open, run.id, face, 8), Err(NoGap::EndsOpen { .. })));
    let mut lost = project.clone();
    lost.hardpoints.retain(|h| h.id != hardpoint);
    assert!(matches!(close(&lost, run.id, face, 8), Err(NoGap::Missing { what: "hardpoint", .. })));
    let mut mute = project;
    for h in mute.hardpoints.iter_mut().filter(|h| h.id == hardpoint) {
        h.direction = DVec3::ZERO;
        h.seat = None;
    }
    assert!(matches!(close(&mute, run.id, face, 8), Err(NoGap::NoDirection { .. })));
    let told = [
        NoGap::NoRun,
        NoGap::EndsOpen { run: "Feed".to_owned() },
        NoGap::EndsOnPipe { run: "Feed".to_owned(), hardpoint: "Log".to_owned() },
        NoGap::Missing { run: "Feed".to_owned(), what: "tube" },
        NoGap::NoDirection { hardpoint: "Log".to_owned() },
        NoGap::FaceNoDirection,
        NoGap::FaceTooFar,
        NoGap::OtherTube { run: "Feed".to_owned() },
    ];
    for why in told {
        let text = why.to_string();
        assert!(text.ends_with('.') && text.contains(". ") && !text.contains("  "), "{text}");
    }
}

#[test]
fn offsets_are_read_along_the_index_line_and_to_three_o_clock() {
    let drawn = pipeloft_core::geom::Frame::new(DVec3::splat(10.0), DVec3::X, DVec3::Z);
    let off =
        Offset { along_mm: 1.0, to_index_mm: 2.0, to_three_mm: 3.0, lean_rad: 0.1, lean_clock_rad: 0.0 };
    let face = OpenFace::off(&drawn, off);
    // +Y is left, so three o'clock is −Y
    assert!(face.point_mm.distance(DVec3::new(11.0, 7.0, 12.0)) < 1e-12);
    assert!(face.direction.distance(DVec3::new(0.1_f64.cos(), 0.0, 0.1_f64.sin())) < 1e-12);
}

#[test]
fn a_project_without_a_tube_is_refused() {
    let mut project = demo(&names()[0]);
    let run = project.runs.iter().find(|r| matches!(r.end, RunEnd::Hardpoint { .. })).unwrap().id;
    project.tubes.clear();
    let face = OpenFace { point_mm: DVec3::ZERO, direction: DVec3::X };
    assert!(matches!(Gap::of(&project, run, face), Err(NoGap::Missing { .. } | NoGap::EndsOnPipe { .. })));
    let fresh = new_item::datum(&mut project, DVec3::ZERO);
    assert!(fresh.position_mm.length() < 1e-9);
}
