//! Cures for a run as it is drawn: the smallest change that clears its problems, and bends at angles that can be made.

use super::hidden::{TUBE_MM, bench, port, run_through};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{
    BendMake, BodyId, ElbowId, Ends, Obstacle, ObstacleId, Pose, Project, RunEnd, RunId, Shape,
};
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::Scans;
use pipeloft_core::watch::Unwatched;
use pipeloft_propose::routes::{Before, Proposal, mend, tidy};

/// A pipe with three bends in space.
fn drawn(make: BendMake) -> (Project, RunId) {
    let mut project = bench();
    let points = [
        DVec3::ZERO,
        DVec3::new(190.0, 0.0, 0.0),
        DVec3::new(431.7, 260.3, 40.9),
        DVec3::new(640.2, 180.6, 300.0),
        DVec3::new(640.2, 180.6, 560.0),
    ];
    let start = port(&mut project, "From", points[0], DVec3::X);
    let end = port(&mut project, "To", points[4], -DVec3::Z);
    let run = run_through(&mut project, [start, end], &points[1..4], make);
    let project = apply(&project, &Edit::PutRun(run.clone())).unwrap();
    (project, run.id)
}

const ELBOWS: BendMake = BendMake::Elbow { elbow: ElbowId(11) };

fn brick(project: &mut Project, middle: DVec3, size_mm: DVec3) {
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: "Tray".to_owned(),
        body: BodyId(2),
        shape: Shape::Box { size_mm },
        pose: Pose::at(middle),
        gap_mm: 12.0,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
}

fn report(project: &Project) -> Report {
    Report::of(project, &Scans::default(), Effort::Quick)
}

/// What the report finds of the project with a proposal taken, but for notes.
fn faults(project: &Project, route: &Proposal) -> Vec<String> {
    let next = apply(project, &route.edit()).unwrap();
    let fresh = Report::new(&next);
    let stops = fresh.findings.iter().filter(|f| f.severity == Severity::Stop).map(|f| f.text.clone());
    let tight = fresh.clearance.iter().filter(|c| !c.ok).map(|c| format!("{} {}", c.against, c.gap_mm));
    stops.chain(tight).collect()
}

/// The furthest that a vertex has moved, mm.
fn moved_mm(project: &Project, run: RunId, route: &Proposal) -> f64 {
    let before = report(project);
    let old = &before.run(run).unwrap().vertices_mm;
    assert_eq!(old.len(), route.vertices_mm.len());
    old.iter().zip(&route.vertices_mm).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max)
}

#[test]
fn a_run_that_is_too_near_to_something_is_moved_by_little_more_than_that() {
    let (mut project, run) = drawn(ELBOWS);
    let at = DVec3::new(310.85, 130.15, 20.45);
    let aside = DVec3::new(0.0, -0.155_240, 0.987_877);
    // the middle of the second leg lies there: a box comes 9 mm nearer to it from above than it may
    brick(&mut project, at + aside * (TUBE_MM / 2.0 + 12.0 - 9.0 + 10.0), DVec3::new(20.0, 20.0, 20.0));
    let before = report(&project);
    assert!(before.clearance.iter().any(|c| !c.ok), "the scene is one that needs a cure");
    let scans = Scans::default();
    let route = mend(Before { project: &project, scans: &scans, report: &before }, run, &Unwatched).unwrap();
    assert_eq!(faults(&project, &route), Vec::<String>::new());
    let mm = moved_mm(&project, run, &route);
    assert!(mm > 2.0 && mm < 30.0, "{mm}");
}

#[test]
fn a_run_that_is_well_stays_as_it_is() {
    let (project, run) = drawn(ELBOWS);
    let before = report(&project);
    let scans = Scans::default();
    let route = mend(Before { project: &project, scans: &scans, report: &before }, run, &Unwatched).unwrap();
    assert!(moved_mm(&project, run, &route) < 1e-6);
}

#[test]
fn bends_that_run_into_each_other_are_drawn_apart() {
    let (mut project, run) = drawn(ELBOWS);
    let mut short = project.run(run).unwrap().clone();
    short.waypoints[0].position_mm = DVec3::new(225.0, 40.0, 10.0);
    project = apply(&project, &Edit::PutRun(short)).unwrap();
    let before = report(&project);
    let overlap = before.findings.iter().any(|f| f.code == "bends-overlap");
    assert!(overlap, "the scene is one that needs a cure: {:?}", before.findings);
    let scans = Scans::default();
    let route = mend(Before { project: &project, scans: &scans, report: &before }, run, &Unwatched).unwrap();
    assert_eq!(faults(&project, &route), Vec::<String>::new());
}

#[test]
fn tidied_bends_turn_whole_steps_and_end_on_both_ports() {
    for (make, step_deg) in [(ELBOWS, 1.0), (BendMake::mitred(95.25, 4, Ends::Half), 2.0)] {
        let (mut project, run) = drawn(make);
        project.settings.saw.step_deg = 0.25;
        let before = report(&project);
        let scans = Scans::default();
        let at = Before { project: &project, scans: &scans, report: &before };
        let route = tidy(at, run, &Unwatched).unwrap();
        for bend in &route.bends {
            let off = bend.angle_deg / step_deg - (bend.angle_deg / step_deg).round();
            assert!(off.abs() < 1e-5, "{}", bend.angle_deg);
        }
        assert_eq!(faults(&project, &route), Vec::<String>::new());
        // the same ports, and the pipe still leaves them along their axes
        let n = route.vertices_mm.len();
        assert!(route.vertices_mm[0].distance(DVec3::ZERO) < 1e-9);
        assert!(route.vertices_mm[n - 1].distance(DVec3::new(640.2, 180.6, 560.0)) < 1e-9);
        let leaves = (route.vertices_mm[1] - route.vertices_mm[0]).try_normalize().unwrap();
        assert!(leaves.distance(DVec3::X) < 1e-9);
        assert!(matches!(route.run.end, RunEnd::Hardpoint { .. }));
        assert!(moved_mm(&project, run, &route) < 40.0);
    }
}
