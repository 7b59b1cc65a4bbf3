//! Gaps of branches to the runs they sit on.

use crate::edit::{Edit, apply};
use crate::model::{BendMake, Corner, Ends, Item, Project, RunEnd, RunId, Seat, Spot};
use crate::report::{Effort, Report, margins};
use crate::space::scan::Scans;
use crate::testing::{branch, run_through, tube};
use glam::DVec3;

fn header() -> (Project, RunId) {
    let (project, run) = run_through(&[DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 700.0, 0.0)]);
    (project, run.id)
}

fn seat(run: RunId, spot: Spot, angle_deg: f64) -> Seat {
    Seat::Run { run, spot, clock_deg: 0.0, angle_deg, offset_mm: 0.0 }
}

fn between(report: &Report, a: RunId, b: RunId) -> Vec<f64> {
    let of = |c: &&crate::report::ClearanceReport| c.run_id == a && c.other == Item::Run(b);
    report.clearance.iter().filter(of).map(|c| c.gap_mm).collect()
}

#[test]
fn where_a_branch_sits_it_is_not_too_close_whichever_run_comes_first() {
    for (spot, angle) in [
        (Spot::Leg { leg: 0, station_mm: 300.0 }, 90.0),
        (Spot::Leg { leg: 0, station_mm: 300.0 }, 30.0),
        (Spot::Leg { leg: 0, station_mm: 300.0 }, 150.0),
        (Spot::Bend { leg: 0, turn_deg: 45.0 }, 90.0),
    ] {
        let (mut project, run) = header();
        let id = branch(&mut project, seat(run, spot, angle), 300.0);
        if matches!(spot, Spot::Bend { .. }) {
            // one of full size does not seat on slices
            let told = Report::new(&project).findings;
            assert!(
                told.iter().any(|f| f.text.contains("does not seat all round here: take one of at most")),
                "{told:?}"
            );
            project.runs[1].tube = tube(&mut project, 38.1);
        }
        for _ in 0..2 {
            let report = Report::new(&project);
            assert!(report.run(id).unwrap().built.is_buildable(), "{:?}", report.findings);
            let close: Vec<_> = report.findings.iter().filter(|f| f.code == "too-close").collect();
            assert!(close.is_empty(), "{angle}: {close:?}");
            // nothing is said of where it is cut off for measuring
            assert_eq!(between(&report, id, run), between(&report, run, id));
            assert!(between(&report, id, run).iter().all(|mm| *mm > 60.0), "{:?}", between(&report, id, run));
            for of in [id, run] {
                let room = margins(&project, &Scans::default(), &report, of);
                assert!(room.iter().all(|m| m.margin_mm >= 0.0), "{room:?}");
            }
            project.runs.reverse();
        }
    }
}

/// A branch that goes up and comes back down to beside its header.
fn folded() -> (Project, RunId, RunId) {
    let (mut project, run) = header();
    let id = branch(&mut project, seat(run, Spot::Leg { leg: 0, station_mm: 250.0 }, 90.0), 300.0);
    let mut back = project.run(id).unwrap().clone();
    let make = BendMake::mitred(95.25, 4, Ends::Half);
    back.start_corner = Corner { reach_mm: 260.0, make };
    back.waypoints.push(crate::model::Waypoint {
        id: crate::model::WaypointId(project.fresh_id()),
        position_mm: DVec3::new(600.0, 0.0, 290.0),
        make,
    });
    // 31.75 mm of header and branch each and 6 mm between
    back.end = RunEnd::open(DVec3::new(600.0, 0.0, 31.75 + 6.0));
    project = apply(&project, &Edit::PutRun(back)).unwrap();
    (project, run, id)
}

#[test]
fn a_branch_that_comes_back_to_its_header_is_too_close() {
    let (mut project, run, id) = folded();
    for _ in 0..2 {
        let report = Report::new(&project);
        assert!(report.run(id).unwrap().built.is_buildable(), "{:?}", report.findings);
        let gaps = between(&report, id, run);
        assert!(gaps.len() == 1 && (gaps[0] - 6.0).abs() < 0.01, "{gaps:?}");
        assert!(report.findings.iter().any(|f| f.code == "too-close"));
        project.runs.reverse();
    }
}

#[test]
fn a_change_of_the_header_is_felt_by_the_branch() {
    let (project, _, _) = folded();
    let before = Report::new(&project);
    let mut from = project.hardpoints[0].clone();
    from.position_mm += DVec3::new(0.0, 0.0, 25.0);
    let moved = apply(&project, &Edit::PutHardpoint(from)).unwrap();
    let after = before.after(&project, &moved, &Scans::default(), Effort::Thorough);
    assert_eq!(after, Report::new(&moved));
    assert_ne!(after.clearance, before.clearance);
}
