//! Jobs at the edge of what can be built: right, or refused with a sentence, never quietly wrong.

use super::checker::faults;
use glam::DVec3;
use pipeloft_core::edit::reshape::{inserted, without};
use pipeloft_core::fab::build;
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{Fitting, FittingId, Offcut, Project, Run, Waypoint, WaypointId};
use pipeloft_core::report::Report;
use pipeloft_tests::shop::{COUPLER, full, half, run_through, shop};
use serde_json::Value;

fn json(report: &Report) -> Value {
    serde_json::from_str(&report.to_json().expect("a report is always text")).expect("and JSON")
}

fn is_stopped(report: &Report) -> bool {
    report.findings.iter().any(|f| f.severity == Severity::Stop)
}

/// Marks of pieces to saw that stand on no stick, or on more than one.
pub(crate) fn not_on_one_stick(report: &Report) -> Vec<String> {
    let cuts: Vec<&str> =
        report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts).map(|c| c.mark.as_str()).collect();
    let sawn = report.runs.iter().flat_map(|r| &r.printed).filter(|p| p.source.name() == "stick");
    sawn.filter(|p| cuts.iter().filter(|c| **c == p.mark).count() != 1).map(|p| p.mark.clone()).collect()
}

/// A U with 1053.9 between its legs; its middle piece is 1214.444 long on the centreline and 1231.459 at its heel.
fn deep_u(stick_mm: f64) -> Project {
    let mut project = shop(63.5, 1.65);
    project.tubes[0].stick_mm = stick_mm;
    // bare lengths: nothing to trim, nothing for the saw to grip
    project.settings.allowances.trim_mm = 0.0;
    project.settings.saw.grip_mm = 0.0;
    let points =
        [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 1353.9, 0.0), DVec3::new(0.0, 1353.9, 0.0)];
    run_through(&mut project, &points, half(95.25, 3));
    project
}

/// Straight runs of the given lengths, one above the other.
fn straight_runs(lengths_mm: &[f64]) -> Project {
    let mut project = shop(63.5, 1.65);
    project.settings.allowances.trim_mm = 0.0;
    project.settings.saw.grip_mm = 0.0;
    for (i, length) in lengths_mm.iter().enumerate() {
        let from = DVec3::Z * 500.0 * i as f64;
        let points = [from, from + DVec3::X * (length / 2.0), from + DVec3::X * *length];
        run_through(&mut project, &points, half(95.25, 3));
    }
    project
}

#[test]
fn every_piece_of_tube_is_cut_from_one_stick() {
    let report = Report::new(&deep_u(1300.0));
    assert_eq!(report.runs[0].pieces.len(), 7);
    assert_eq!(not_on_one_stick(&report), Vec::<String>::new());
    let report = Report::new(&straight_runs(&[5000.0, 3000.0, 2990.0, 10.0]));
    assert_eq!(not_on_one_stick(&report), Vec::<String>::new());
    assert_eq!(report.stock[0].sticks.len(), 2);
}

#[test]
fn a_piece_longer_than_any_stick_is_refused() {
    assert!(is_stopped(&Report::new(&deep_u(1231.0))));
    assert!(is_stopped(&Report::new(&straight_runs(&[6000.4]))));
    // the blade of the last cut wants its kerf of metal: 1.6 of the 6000
    assert!(is_stopped(&Report::new(&straight_runs(&[5999.0]))));
    assert!(!is_stopped(&Report::new(&straight_runs(&[5998.0]))));
}

/// With both its ends mitred it also needs the ramp of the first cut (8.507) and that cut's kerf (1.656): 1233.115 in
/// all, so it fits no stick of 1232; where the last cut has metal for the blade on its long side too (another ramp and kerf),
/// one of 1245 does.
#[test]
fn a_piece_that_its_stick_is_just_too_short_for_is_refused_not_left_out() {
    assert_eq!(not_on_one_stick(&Report::new(&deep_u(1245.0))), Vec::<String>::new());
    let report = Report::new(&deep_u(1232.0));
    assert!(is_stopped(&report) || not_on_one_stick(&report).is_empty(), "{:?}", not_on_one_stick(&report));
}

/// The rack's one offcut of 1500 holds one of the two; sticks of 1000 hold neither.
#[test]
fn one_long_offcut_does_not_do_for_two_long_pieces() {
    for count in [0, 1] {
        let mut project = straight_runs(&[1450.0, 1440.0]);
        project.tubes[0].stick_mm = 1000.0;
        project.tubes[0].offcuts = vec![Offcut { length_mm: 1500.0, count }];
        assert!(is_stopped(&Report::new(&project)), "{count} offcuts");
    }
}

/// 450 and 70 lie on both offcuts, 480 and 540, but 540 alone would hold them.
#[test]
fn a_layout_is_called_proved_only_where_no_stick_can_be_saved() {
    let mut project = straight_runs(&[450.0, 70.0]);
    let offcut = |length_mm| Offcut { length_mm, count: 1 };
    project.tubes[0].offcuts = vec![offcut(480.0), offcut(540.0)];
    let report = Report::new(&project);
    let stock = &report.stock[0];
    assert!(stock.sticks.len() == 1 || !stock.proved_optimal);
}

/// OD 63.5, R 95.25, 90°: with 95.25 to the bend its first whole slice stands on the port's face.
#[test]
fn whole_slices_right_on_the_face_of_a_port_close_or_are_refused() {
    for (before, after) in [(95.25, 300.0), (300.0, 95.25), (95.25, 95.25)] {
        let mut project = shop(63.5, 1.65);
        let points = [DVec3::ZERO, DVec3::X * before, DVec3::new(before, after, 0.0)];
        run_through(&mut project, &points, full(95.25, 5));
        let report = Report::new(&project);
        if !is_stopped(&report) {
            assert_eq!(faults(&json(&report)["runs"][0]), Vec::<String>::new(), "{before} and {after}");
        }
    }
}

/// A port points +X; a corner at the face or behind it would have the pipe leave it sideways or into the part.
#[test]
fn a_pipe_leaves_its_port_along_the_port_s_axis_or_is_refused() {
    for reach_mm in [0.0, -300.0] {
        for at_end in [false, true] {
            let mut project = shop(63.5, 1.65);
            let points =
                [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 600.0, 0.0), DVec3::new(700.0, 600.0, 0.0)];
            run_through(&mut project, &points, half(60.0, 3));
            let run = &mut project.runs[0];
            match &mut run.end {
                pipeloft_core::model::RunEnd::Hardpoint { corner, .. } if at_end => {
                    corner.reach_mm = reach_mm;
                }
                _ => run.start_corner.reach_mm = reach_mm,
            }
            let report = Report::new(&project);
            let (start, end) = (report.runs[0].start.direction, report.runs[0].end.direction);
            let along = start.distance(DVec3::X) < 1e-3 && end.distance(DVec3::X) < 1e-3;
            assert!(
                along || is_stopped(&report),
                "reach {reach_mm}: leaves along {start}, arrives along {end}"
            );
        }
    }
}

/// Middle of the coupler of the run in space.
fn coupler_at(project: &Project, run: &Run) -> DVec3 {
    let built = build(project, run);
    let i = built.pieces.iter().position(|p| p.mark == "AJ1").expect("the coupler fits");
    built.frames[i].0.origin.midpoint(built.frames[i].1.origin)
}

/// A leg of 700 with a coupler 300 beyond its tangent point, so 395.25 from its corner.
fn with_coupler() -> (Project, Run) {
    let mut project = shop(63.5, 1.65);
    let points =
        [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 700.0, 0.0), DVec3::new(700.0, 700.0, 0.0)];
    run_through(&mut project, &points, half(95.25, 3));
    let coupler =
        Fitting { id: FittingId(900), joint: COUPLER, leg: 1, station_mm: 300.0, lobe_clock_deg: 0.0 };
    project.runs[0].fittings.push(coupler);
    let run = project.runs[0].clone();
    (project, run)
}

#[test]
fn a_waypoint_put_on_a_leg_or_taken_off_leaves_its_coupler_in_place() {
    let (project, run) = with_coupler();
    let was = coupler_at(&project, &run);
    assert!(was.distance(DVec3::new(300.0, 395.25, 0.0)) < 1e-9);
    let waypoint =
        Waypoint { id: WaypointId(777), position_mm: DVec3::new(300.0, 200.0, 0.0), make: half(95.25, 3) };
    let more = inserted(&project, &run, 1, waypoint).expect("a middle leg takes a waypoint");
    assert!(coupler_at(&project, &more).distance(was) < 1e-6, "moved to {}", coupler_at(&project, &more));
    let less = without(&project, &more, WaypointId(777));
    assert!(coupler_at(&project, &less).distance(was) < 1e-6, "moved to {}", coupler_at(&project, &less));
}
