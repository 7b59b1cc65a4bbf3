//! Small projects for tests: one size of tube, one elbow, one joint, and runs through given points.

use crate::geom::vector::unit;
use crate::model::{
    Attachment, BendMake, BodyId, Corner, ElbowId, ElbowStock, Ends, Hardpoint, HardpointId, JointId,
    JointKind, JointStyle, Lobe, Material, Project, Run, RunEnd, RunId, Service, Tube, TubeId, Waypoint,
    WaypointId,
};
use crate::units::UnitSystem;
use glam::DVec3;

/// 2.5 in tube with a 90° elbow and a clamp coupler, nothing else.
pub(crate) fn bench_project() -> Project {
    let mut project = Project::new("Bench", UnitSystem::Millimetre);
    project.settings.saw.step_deg = 0.1;
    project.tubes.push(Tube {
        id: TubeId(10),
        material: Material::Stainless304,
        od_mm: 63.5,
        wall_mm: 1.65,
        stick_mm: 3000.0,
        sticks_on_hand: 1,
        offcuts: Vec::new(),
        slices: Vec::new(),
        stick_price: None,
    });
    project.elbows.push(ElbowStock {
        id: ElbowId(11),
        material: Material::Stainless304,
        od_mm: 63.5,
        wall_mm: 1.65,
        clr_mm: 95.25,
        angle_deg: 90.0,
        leg_mm: 40.0,
        count: 3,
    });
    project.joints.push(JointKind {
        id: JointId(12),
        name: "Coupler".to_owned(),
        style: JointStyle::ClampCoupler,
        od_mm: 63.5,
        make_up_mm: 30.0,
        body_od_mm: 84.0,
        body_width_mm: 45.0,
        lobe: Some(Lobe { width_mm: 22.0, reach_mm: 60.0, length_mm: 25.0 }),
        tool: None,
        hose: None,
        welded: true,
    });
    project.next_id = 100;
    project
}

/// Adds a loose port that fits the bench tube.
pub(crate) fn port(project: &mut Project, name: &str, position_mm: DVec3, direction: DVec3) -> HardpointId {
    let id = HardpointId(project.fresh_id());
    project.hardpoints.push(Hardpoint {
        id,
        name: name.to_owned(),
        body: BodyId(1),
        position_mm,
        direction,
        clock: DVec3::Z,
        od_mm: 63.5,
        attachment: Attachment::Loose,
        seat: None,
        hidden: false,
    });
    id
}

/// A run between two ports with one corner on each axis at the given reaches.
pub(crate) fn run_between(
    project: &mut Project,
    start: HardpointId,
    end: HardpointId,
    reach_mm: (f64, f64),
    make: BendMake,
) -> Run {
    Run {
        id: RunId(project.fresh_id()),
        name: "Run".to_owned(),
        letters: project.fresh_letters(),
        service: Service::ChargeAir,
        tube: project.tubes[0].id,
        start,
        start_corner: Corner { reach_mm: reach_mm.0, make },
        waypoints: Vec::new(),
        end: RunEnd::Hardpoint { hardpoint: end, corner: Corner { reach_mm: reach_mm.1, make } },
        fittings: Vec::new(),
        tapers: Vec::new(),
        parts: Vec::new(),
        gap_mm: 10.0,
        fit_weld: None,
        hidden: false,
    }
}

/// A project and a run through `points` (three or more), half-ended mitres of four welds, R 95.25.
pub(crate) fn run_through(points: &[DVec3]) -> (Project, Run) {
    let mut project = bench_project();
    let (n, first, last) = (points.len(), points[0], points[points.len() - 1]);
    let away = |from: DVec3, to: DVec3| unit(to - from).unwrap_or(DVec3::X);
    let start = port(&mut project, "from", first, away(first, points[1]));
    let end = port(&mut project, "to", last, away(last, points[n - 2]));
    let make = BendMake::mitred(95.25, 4, Ends::Half);
    let reach = (first.distance(points[1]), last.distance(points[n - 2]));
    let mut run = run_between(&mut project, start, end, reach, make);
    if n > 3 {
        for point in &points[2..n - 2] {
            let id = WaypointId(project.fresh_id());
            run.waypoints.push(Waypoint { id, position_mm: *point, make });
        }
    }
    project.runs.push(run.clone());
    (project, run)
}

/// Makes every bend of the run the same way.
pub(crate) fn set_makes(run: &mut Run, make: BendMake) {
    for vertex in run.vertices() {
        run.set_make(vertex, make);
    }
}

/// Puts a run out of the side of another one into the open, straight for `length_mm` in the bench tube, and gives its id.
pub(crate) fn branch(project: &mut Project, seat: crate::model::Seat, length_mm: f64) -> RunId {
    use crate::edit::{Edit, apply};
    let id = port(project, "branch", DVec3::ZERO, DVec3::X);
    let mut at = project.hardpoint(id).cloned().unwrap();
    at.seat = Some(seat);
    at.attachment = Attachment::Welded;
    *project = apply(project, &Edit::PutHardpoint(at)).unwrap();
    let face = project.hardpoint(id).and_then(Hardpoint::outward).unwrap();
    let mut run =
        run_between(project, id, id, (length_mm / 2.0, 0.0), BendMake::mitred(95.25, 4, Ends::Half));
    run.name = format!("Branch {}", run.id.0);
    run.end = RunEnd::open(face.forward(length_mm).origin);
    let id = run.id;
    *project = apply(project, &Edit::PutRun(run)).unwrap();
    id
}

/// Adds a tube of another size to the bench.
pub(crate) fn tube(project: &mut Project, od_mm: f64) -> TubeId {
    let id = TubeId(project.fresh_id());
    project.tubes.push(Tube { id, od_mm, ..project.tubes[0].clone() });
    id
}
