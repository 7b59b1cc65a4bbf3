//! Routes where more is asked than a gap to what stands still: hot pipes, bodies that move, other runs, the port's own
//! part; and what is said where there is none.

use super::hidden::{bench, port, run_through};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::finding::{NoRoute, Severity};
use pipeloft_core::model::{
    Attachment, BendMake, BodyId, ElbowId, Fitting, FittingId, Hole, JointId, JointKind, JointStyle,
    Movement, Obstacle, ObstacleId, Pose, Project, Roll, RunEnd, RunId, Service, Shape,
};
use pipeloft_core::report::{Effort as ReportEffort, Report};
use pipeloft_core::space::scan::Scans;
use pipeloft_core::watch::{Unwatched, Watch};
use pipeloft_propose::routes::{Ask, Before, Effort, Proposals, Way, propose};
use std::cell::Cell;

const ELBOWS: BendMake = BendMake::Elbow { elbow: ElbowId(11) };

/// Two ports 700 mm apart and a run between them that knows nothing of what stands between.
fn scene() -> (Project, RunId) {
    let mut project = bench();
    let start = port(&mut project, "From", DVec3::ZERO, DVec3::X);
    let end = port(&mut project, "To", DVec3::new(700.0, 90.0, 40.0), -DVec3::X);
    let vertices = [DVec3::new(200.0, 0.0, 0.0), DVec3::new(500.0, 90.0, 40.0)];
    let run = run_through(&mut project, [start, end], &vertices, ELBOWS);
    let project = apply(&project, &Edit::PutRun(run.clone())).unwrap();
    (project, run.id)
}

fn thing(project: &mut Project, name: &str, body: BodyId, shape: Shape, pose: Pose) -> ObstacleId {
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: name.to_owned(),
        body,
        shape,
        pose,
        gap_mm: 12.0,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
    id
}

fn block(project: &mut Project, name: &str, body: BodyId, low: DVec3, high: DVec3) -> ObstacleId {
    thing(project, name, body, Shape::Box { size_mm: high - low }, Pose::at(low.midpoint(high)))
}

fn ask(run: RunId) -> Ask {
    Ask { ways: vec![Way::Elbows { clr_mm: 95.25 }], effort: Effort::of(20), ..Ask::of(run) }
}

/// Routes of a project, all of which a fresh report is content with.
fn routes(project: &Project, ask: &Ask) -> Proposals {
    let scans = Scans::default();
    let report = Report::of(project, &scans, ReportEffort::Quick);
    let found = propose(Before { project, scans: &scans, report: &report }, ask, &Unwatched, &mut |_| {});
    for route in &found.routes {
        let fresh = Report::new(&apply(project, &route.edit()).unwrap());
        let tight: Vec<_> = fresh.clearance.iter().filter(|c| !c.ok).collect();
        assert!(tight.is_empty(), "{tight:?}");
        assert!(fresh.findings_of(ask.run).all(|f| f.severity != Severity::Stop));
        assert!((fresh.run(ask.run).unwrap().centreline_mm - route.tube_mm).abs() < 1e-9);
        assert_eq!(fresh.run(ask.run).unwrap().welds.len(), route.welds);
    }
    found
}

#[test]
fn several_different_routes_are_ranked_by_what_they_cost() {
    let (mut project, run) = scene();
    block(&mut project, "Box", BodyId(2), DVec3::new(280.0, -60.0, -400.0), DVec3::new(420.0, 160.0, 140.0));
    let found = routes(&project, &ask(run));
    assert!(found.routes.len() >= 2, "{}", found.routes.len());
    assert!(found.routes.windows(2).all(|r| r[0].cost <= r[1].cost));
    assert_eq!(found.none, None);
}

#[test]
fn a_hot_pipe_keeps_further_from_what_heat_harms() {
    let (mut project, run) = scene();
    let hose =
        block(&mut project, "Hose", BodyId(2), DVec3::new(340.0, -20.0, -60.0), DVec3::new(360.0, 60.0, 0.0));
    let o = project.obstacles.iter_mut().find(|o| o.id == hose).unwrap();
    o.heat_sensitive = true;
    let mut hot = project.run(run).unwrap().clone();
    hot.service = Service::Exhaust;
    let project = apply(&project, &Edit::PutRun(hot)).unwrap();
    let found = routes(&project, &ask(run));
    let best = &found.routes[0];
    assert!(best.tightest_gap_mm.unwrap() >= project.settings.hot_gap_mm, "{:?}", best.tightest_gap_mm);
}

#[test]
fn an_engine_that_rocks_is_cleared_in_every_position() {
    let (mut project, run) = scene();
    project.bodies[1].movement = Movement {
        shift_mm: DVec3::new(0.0, 6.0, 4.0),
        roll: Some(Roll { through_mm: DVec3::new(0.0, 400.0, -100.0), axis: DVec3::X, turn_deg: 3.0 }),
    };
    block(&mut project, "Sump", BodyId(2), DVec3::new(250.0, -80.0, -90.0), DVec3::new(450.0, 200.0, 70.0));
    assert!(!routes(&project, &ask(run)).routes.is_empty());
}

#[test]
fn another_run_is_passed_with_the_gap_that_both_keep() {
    let (mut project, run) = scene();
    let from = port(&mut project, "Left", DVec3::new(350.0, -300.0, 20.0), DVec3::Y);
    let to = port(&mut project, "Right", DVec3::new(350.0, 400.0, 20.0), -DVec3::Y);
    let middle = [DVec3::new(350.0, 0.0, 20.0), DVec3::new(350.0, 100.0, 20.0)];
    let other = run_through(&mut project, [from, to], &middle, ELBOWS);
    let project = apply(&project, &Edit::PutRun(other)).unwrap();
    assert!(!routes(&project, &ask(run)).routes.is_empty());
}

#[test]
fn the_part_that_a_port_sits_on_is_no_obstacle_to_its_stub() {
    let (mut project, run) = scene();
    block(&mut project, "Flange", BodyId(1), DVec3::new(-30.0, -60.0, -60.0), DVec3::new(0.0, 60.0, 60.0));
    assert!(!routes(&project, &ask(run)).routes.is_empty());
}

#[test]
fn slices_are_kept_clear_with_their_heels() {
    let (mut project, run) = scene();
    block(&mut project, "Box", BodyId(2), DVec3::new(280.0, -60.0, -400.0), DVec3::new(420.0, 160.0, 140.0));
    let mitred = Way::Mitred { clr_mm: 95.25, ends: pipeloft_core::model::Ends::Half };
    let found = routes(&project, &Ask { ways: vec![mitred], ..ask(run) });
    assert!(found.routes[0].bends.iter().all(|b| b.make == "mitred"));
}

#[test]
fn a_wall_without_a_hole_is_proved_to_leave_no_way() {
    let (mut project, run) = scene();
    let wall = Shape::Panel { width_mm: 6000.0, height_mm: 6000.0, thickness_mm: 8.0, holes: Vec::new() };
    let pose = Pose { position_mm: DVec3::new(350.0, 0.0, 0.0), turn_deg: DVec3::new(0.0, 90.0, 0.0) };
    thing(&mut project, "Wall", BodyId(2), wall, pose);
    let found = routes(&project, &ask(run));
    assert!(matches!(found.none, Some(NoRoute::NoWay { .. })), "{:?}", found.none);
    let words = found.none_because(&project).unwrap();
    assert!(words.contains("cannot be") && words.contains("Without Wall"), "{words}");
}

#[test]
fn a_hole_that_the_pipe_gets_through_is_never_said_to_be_closed() {
    let (mut project, run) = scene();
    let hole = Hole { x_mm: 20.0, y_mm: 30.0, diameter_mm: 92.0 };
    let wall = Shape::Panel { width_mm: 6000.0, height_mm: 6000.0, thickness_mm: 8.0, holes: vec![hole] };
    let pose = Pose { position_mm: DVec3::new(350.0, 0.0, 0.0), turn_deg: DVec3::new(0.0, 90.0, 0.0) };
    thing(&mut project, "Wall", BodyId(2), wall, pose);
    let found = routes(&project, &ask(run));
    assert!(!found.none.as_ref().is_some_and(NoRoute::is_proved), "{:?}", found.none);
    assert!(!found.routes.is_empty());
}

#[test]
fn a_stub_that_is_blocked_is_told_by_name() {
    let (mut project, run) = scene();
    block(&mut project, "Bracket", BodyId(2), DVec3::new(40.0, -40.0, -40.0), DVec3::new(60.0, 40.0, 40.0));
    let found = routes(&project, &ask(run));
    match &found.none {
        Some(NoRoute::Blocked { at_end: false, against, .. }) => assert_eq!(against, "Bracket"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_pipe_that_ends_in_the_open_gets_there_as_it_likes() {
    let (mut project, run) = scene();
    let mut open = project.run(run).unwrap().clone();
    open.end = RunEnd::open(DVec3::new(520.0, 260.0, 200.0));
    project = apply(&project, &Edit::PutRun(open)).unwrap();
    block(&mut project, "Box", BodyId(2), DVec3::new(280.0, -60.0, -400.0), DVec3::new(420.0, 160.0, 140.0));
    let found = routes(&project, &ask(run));
    let last = *found.routes[0].vertices_mm.last().unwrap();
    assert!(last.distance(DVec3::new(520.0, 260.0, 200.0)) < 1e-9);
}

#[test]
fn joints_at_a_port_and_on_the_first_leg_stay_where_they_are() {
    let (mut project, run) = scene();
    let joint = JointKind {
        id: JointId(12),
        name: "Coupler".to_owned(),
        style: JointStyle::ClampCoupler,
        od_mm: 63.5,
        make_up_mm: 30.0,
        body_od_mm: 84.0,
        body_width_mm: 45.0,
        lobe: None,
        tool: None,
        hose: None,
        welded: true,
    };
    project.joints.push(joint);
    project.hardpoints[1].attachment = Attachment::Joint { joint: JointId(12), lobe_clock_deg: 0.0 };
    let mut fitted = project.run(run).unwrap().clone();
    fitted.fittings.push(Fitting {
        id: FittingId(project.fresh_id()),
        joint: JointId(12),
        leg: 0,
        station_mm: 55.0,
        lobe_clock_deg: 0.0,
    });
    project = apply(&project, &Edit::PutRun(fitted)).unwrap();
    block(&mut project, "Box", BodyId(2), DVec3::new(280.0, -60.0, -400.0), DVec3::new(420.0, 160.0, 140.0));
    let found = routes(&project, &ask(run));
    let taken = &found.routes[0].run.fittings[0];
    assert_eq!((taken.leg, taken.station_mm.to_bits()), (0, 55.0_f64.to_bits()));
}

/// Stops what it watches after so many looks.
struct After(Cell<usize>);

impl Watch for After {
    fn progress(&self, _part: f64) {}

    fn is_cancelled(&self) -> bool {
        self.0.set(self.0.get().saturating_sub(1));
        self.0.get() == 0
    }
}

#[test]
fn a_search_that_is_stopped_claims_nothing_and_keeps_what_it_has() {
    let (mut project, run) = scene();
    block(&mut project, "Box", BodyId(2), DVec3::new(280.0, -60.0, -400.0), DVec3::new(420.0, 160.0, 140.0));
    let scans = Scans::default();
    let report = Report::of(&project, &scans, ReportEffort::Quick);
    let before = Before { project: &project, scans: &scans, report: &report };
    let stopped = propose(before, &ask(run), &After(Cell::new(2)), &mut |_| {});
    assert!(stopped.none.is_none_or(|none| none == NoRoute::Stopped));
    let whole = propose(before, &ask(run), &Unwatched, &mut |_| {});
    let again = propose(before, &ask(run), &Unwatched, &mut |_| {});
    assert_eq!(whole, again, "the same effort gives the same answers");
    assert!(stopped.routes.len() <= whole.routes.len());
}

#[test]
fn what_cannot_be_asked_is_said() {
    let (project, run) = scene();
    let nobody = Ask { run: RunId(9_999), ..ask(run) };
    assert_eq!(routes(&project, &nobody).none, Some(NoRoute::NoSuchRun));
}
