//! What joints take out of the pipe and which welds they bring, worked by hand.

use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::model::{Attachment, Fitting, FittingId, Project};
use pipeloft_core::report::{Report, RunReport};
use pipeloft_tests::shop::{COUPLER, half, run_through, shop};
use std::f64::consts::PI;

/// OD 63.5, 300 to a 90° bend at R 95.25 in two welds, and 300 on. Setback 95.25; end 95.25·tan 22.5° = 39.4538.
fn bend() -> Project {
    let mut project = shop(63.5, 1.5);
    let points = [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)];
    run_through(&mut project, &points, half(95.25, 2));
    project
}

fn with_coupler(leg: usize, station_mm: f64) -> Project {
    let mut project = bend();
    project.runs[0].fittings.push(coupler(leg, station_mm, 900));
    project
}

fn coupler(leg: usize, station_mm: f64, id: u32) -> Fitting {
    Fitting { id: FittingId(id), joint: COUPLER, leg, station_mm, lobe_clock_deg: 45.0 }
}

fn lengths(run: &RunReport) -> Vec<(&str, f64)> {
    run.pieces.iter().map(|p| (p.mark.as_str(), (p.centre_mm * 1e4).round() / 1e4)).collect()
}

fn said(project: &Project, code: &str) -> String {
    let report = Report::new(project);
    let found = report.findings.iter().find(|f| f.code == code);
    found.map_or_else(|| format!("no {code}"), |f| f.text.clone())
}

/// A1 100 − 15 = 85; the coupler is 30; A2 from 115 to the tangent point 204.75 and 39.4538 on: 129.2038.
/// Slice 78.9077; A4 300 − 95.25 + 39.4538 = 244.2038.
#[test]
fn the_tube_ends_half_a_make_up_before_and_after_the_middle_of_a_coupler() {
    let report = Report::new(&with_coupler(0, 100.0));
    let run = &report.runs[0];
    let want = [("A1", 85.0), ("AJ1", 30.0), ("A2", 129.2038), ("A3", 78.9077), ("A4", 244.2038)];
    let got = lengths(run);
    assert_eq!(got.len(), want.len(), "{got:?}");
    for (g, w) in got.iter().zip(want) {
        assert_eq!(g.0, w.0);
        assert_relative_eq!(g.1, w.1, epsilon = 1.1e-4);
    }
    assert_relative_eq!(run.end.position_mm, DVec3::new(300.0, 300.0, 0.0), epsilon = 1e-9);
    // a coupler half on each side, welded all round, and the two welds of the bend
    let kinds: Vec<_> = run.welds.iter().map(|w| w.kind.name()).collect();
    assert_eq!(kinds, ["joint half", "joint half", "mitre", "mitre"]);
    assert_relative_eq!(run.welds[0].length_mm, PI * 63.5, max_relative = 1e-12);
    assert_eq!(run.pieces[1].lobe_clock_deg.map(f64::round), Some(45.0));
    assert_eq!(run.pieces[1].joint.as_deref(), Some("Coupler"));
}

#[test]
fn a_station_on_the_second_leg_counts_from_where_its_straight_begins() {
    let report = Report::new(&with_coupler(1, 60.0));
    // A3 from the bend: 39.4538 of the end and 60 − 15
    let got = lengths(&report.runs[0]);
    assert_eq!(got[2].0, "A3");
    assert_relative_eq!(got[2].1, 84.4538, epsilon = 1.1e-4);
    // the middle of the coupler lies 60 beyond the tangent point, 155.25 from the corner
    let built = &report.runs[0].built;
    let joint = built.pieces.iter().position(|p| p.mark == "AJ1").unwrap();
    let middle = built.frames[joint].0.origin.midpoint(built.frames[joint].1.origin);
    assert_relative_eq!(middle, DVec3::new(300.0, 155.25, 0.0), epsilon = 1e-9);
}

#[test]
fn a_coupler_at_the_port_starts_at_its_face() {
    let mut project = bend();
    project.hardpoints[0].attachment = Attachment::Joint { joint: COUPLER, lobe_clock_deg: -30.0 };
    let report = Report::new(&project);
    let run = &report.runs[0];
    // AJ1 0 to 30, A1 from 30 to 204.75 and 39.4538 on
    let got = lengths(run);
    assert_eq!((got[0].0, got[1].0), ("AJ1", "A1"));
    assert_relative_eq!(got[1].1, 214.2038, epsilon = 1.1e-4);
    assert_eq!(run.welds[0].between, ["AJ1".to_owned(), "A1".to_owned()]);
    assert_eq!(run.pieces[0].lobe_clock_deg.map(f64::round), Some(-30.0));
}

#[test]
fn a_port_that_is_welded_to_adds_a_square_weld_at_each_end() {
    let mut project = bend();
    let bare = Report::new(&project).runs[0].weld_length_mm;
    for port in &mut project.hardpoints {
        port.attachment = Attachment::Welded;
    }
    let report = Report::new(&project);
    let run = &report.runs[0];
    assert_eq!(run.welds.len(), 4);
    assert_relative_eq!(run.weld_length_mm - bare, 2.0 * PI * 63.5, epsilon = 1e-9);
    assert_eq!(run.welds[0].between, ["from".to_owned(), "A1".to_owned()]);
    assert_eq!(run.welds[3].between, ["A3".to_owned(), "to".to_owned()]);
}

#[test]
fn a_joint_that_only_slides_on_brings_no_weld() {
    let mut project = with_coupler(0, 100.0);
    project.joints[0].welded = false;
    let kinds: Vec<_> = Report::new(&project).runs[0].welds.iter().map(|w| w.kind.name()).collect();
    assert_eq!(kinds, ["mitre", "mitre"]);
}

/// Middle at 195.25 of a straight of 204.75: its end at 210.25 runs 5.5 into the bend. At 10 it begins 5 before the face.
/// At 100 and 110 the second begins 20 before the first ends.
#[test]
fn a_joint_that_has_no_room_is_refused_with_the_amount() {
    for (stations, amount) in
        [(vec![195.25], "5.5 mm"), (vec![10.0], "5.0 mm"), (vec![100.0, 110.0], "20.0 mm")]
    {
        let mut project = bend();
        for (i, station) in stations.iter().enumerate() {
            project.runs[0].fittings.push(coupler(0, *station, 900 + i as u32));
        }
        let text = said(&project, "joint-off-leg");
        assert!(text.contains(amount), "{stations:?}: {text}");
        assert!(Report::new(&project).runs[0].pieces.is_empty());
    }
    // ends flush with the tangent point: it fits
    assert_eq!(said(&with_coupler(0, 204.75 - 15.0), "joint-off-leg"), "no joint-off-leg");
}

#[test]
fn a_joint_on_a_leg_that_is_not_there_or_of_another_size_is_named() {
    assert!(said(&with_coupler(7, 50.0), "no-such-leg").contains("leg 8"));
    let mut project = with_coupler(0, 100.0);
    project.joints[0].od_mm = 76.2;
    assert!(said(&project, "joint-size").contains("76.2 mm"), "{}", said(&project, "joint-size"));
}
