mod asked;
mod branch;

use super::*;
use crate::edit::handle::{Handle, drag_edit, place};
use crate::edit::{Edit, apply, new_item};
use crate::model::{
    Attachment, BodyId, Fitting, FittingId, HoseEnds, JointId, JointStyle, Pose, RunId, ScanFile, Service,
    Shape, ToolRoom,
};
use crate::report::{Effort, Report};
use crate::space::scan::{Scan, ScanState, ScanTree, ScanUnit, Unwatched};
use crate::testing::{port, run_through};
use approx::assert_relative_eq;
use std::path::Path;
use std::sync::Arc;

/// A pipe that runs along +X for the first 300 mm.
fn sample() -> Project {
    let points =
        [DVec3::ZERO, DVec3::X * 400.0, DVec3::new(400.0, 500.0, 0.0), DVec3::new(900.0, 500.0, 0.0)];
    run_through(&points).0
}

/// An obstacle of no body that carries a run.
fn put(project: &mut Project, shape: Shape, at: DVec3, gap_mm: f64) -> usize {
    let new = new_item::obstacle(project, shape, at);
    project.obstacles.push(Obstacle { gap_mm, body: BodyId(77), ..new });
    project.obstacles.len() - 1
}

fn codes(report: &Report) -> Vec<&'static str> {
    report.findings.iter().filter(|f| f.severity != crate::finding::Severity::Note).map(|f| f.code).collect()
}

#[test]
fn an_obstacle_can_ask_for_a_hot_gap_of_its_own() {
    let mut project = sample();
    // 128.25 mm from the outside of the pipe
    let i = put(&mut project, Shape::Sphere { diameter_mm: 80.0 }, DVec3::new(150.0, -200.0, 0.0), 10.0);
    project.obstacles[i].heat_sensitive = true;
    project.runs[0].service = Service::Exhaust;
    assert!(Report::new(&project).clearance[0].ok, "75 mm are asked for");
    project.obstacles[i].hot_gap_mm = Some(130.0);
    let report = Report::new(&project);
    assert_relative_eq!(report.clearance[0].gap_mm, 200.0 - 40.0 - 31.75, epsilon = 0.01);
    assert_eq!((report.clearance[0].required_mm, codes(&report)), (130.0, vec!["too-hot"]));
    project.runs[0].service = Service::ChargeAir;
    assert!(Report::new(&project).clearance[0].ok, "a cold pipe need not care");
}

#[test]
fn a_hot_pipe_keeps_away_from_the_hoses_of_another_but_not_from_its_tube() {
    let mut project = sample();
    let hose = crate::model::JointKind {
        id: JointId(500),
        name: "Hose".to_owned(),
        style: JointStyle::HoseAndClamps,
        lobe: None,
        hose: Some(HoseEnds { insertion_mm: 30.0, bead_mm: Some(8.0) }),
        body_od_mm: 73.5,
        body_width_mm: 80.0,
        make_up_mm: 10.0,
        ..project.joints[0].clone()
    };
    project.joints.push(hose);
    let mut hot = project.runs[0].clone();
    (hot.id, hot.name, hot.service) = (RunId(600), "Hot".to_owned(), Service::Exhaust);
    hot.start = port(&mut project, "c", DVec3::Z * 120.0, DVec3::X);
    let end = port(&mut project, "d", DVec3::new(900.0, 500.0, 120.0), -DVec3::X);
    if let crate::model::RunEnd::Hardpoint { hardpoint, .. } = &mut hot.end {
        *hardpoint = end;
    }
    project.runs.push(hot);
    assert_eq!(codes(&Report::new(&project)), Vec::<&str>::new(), "56.5 mm between two tubes is enough");
    project.runs[0].fittings.push(Fitting {
        id: FittingId(501),
        joint: JointId(500),
        leg: 0,
        station_mm: 150.0,
        lobe_clock_deg: 0.0,
    });
    let report = Report::new(&project);
    assert_eq!(codes(&report), ["too-hot"]);
    let told = report.clearance.iter().find(|c| c.heat).unwrap();
    assert!(told.against.starts_with("hose AJ1 of Run"), "{}", told.against);
    assert_relative_eq!(told.gap_mm, 120.0 - 31.75 - 36.75, epsilon = 0.01);
    assert_eq!(told.run, "Hot");
}

#[test]
fn a_tool_that_cannot_get_on_is_said() {
    let mut project = sample();
    project.joints[0].tool = Some(ToolRoom { reach_mm: 50.0, width_mm: 10.0, swing_deg: 0.0 });
    let joint = project.joints[0].id;
    let lobe_mm = project.joints[0].lobe.unwrap().reach_mm;
    project.runs[0].fittings.push(Fitting {
        id: FittingId(501),
        joint,
        leg: 0,
        station_mm: 150.0,
        lobe_clock_deg: 0.0,
    });
    // a roof over the pipe: 12 o'clock is +Z
    let slab = Shape::Box { size_mm: DVec3::new(600.0, 600.0, 10.0) };
    let i = put(&mut project, slab, DVec3::new(150.0, 0.0, lobe_mm + 50.0 + 5.0 + 1.0), 5.0);
    assert_eq!(codes(&Report::new(&project)), Vec::<&str>::new(), "1 mm of room beyond the tool");
    project.obstacles[i].pose.position_mm.z -= 2.0;
    let report = Report::new(&project);
    assert_eq!(codes(&report), ["tool-blocked"]);
    let told = report.findings.iter().find(|f| f.code == "tool-blocked").unwrap();
    assert!(told.text.contains("The tool for AJ1 cannot get on: Box is in its way"), "{}", told.text);
    // the clock turned down, away from the roof
    project.runs[0].fittings[0].lobe_clock_deg = 180.0;
    assert_eq!(codes(&Report::new(&project)), Vec::<&str>::new());
    // a swing of half a turn about a lobe that points sideways comes up to the roof again
    project.runs[0].fittings[0].lobe_clock_deg = 90.0;
    project.joints[0].tool = Some(ToolRoom { reach_mm: 50.0, width_mm: 0.0, swing_deg: 180.0 });
    assert_eq!(codes(&Report::new(&project)), ["tool-blocked"]);
}

/// The twelve triangles of a box about the origin.
fn crate_mesh(half: DVec3) -> Scan {
    let points: Vec<DVec3> = (0..8_u32)
        .map(|i| {
            let sign = |bit: u32| if i & bit == 0 { -1.0 } else { 1.0 };
            half * DVec3::new(sign(1), sign(2), sign(4))
        })
        .collect();
    let quads = [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> =
        quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    Scan::from_triangles(&points, &triangles, ScanUnit::Millimetre).unwrap()
}

#[test]
fn a_scan_of_a_box_gives_the_gap_of_the_box_and_one_not_read_is_said() {
    let mut project = sample();
    let half = DVec3::new(60.0, 40.0, 30.0);
    let pose = Pose { position_mm: DVec3::new(200.0, -130.0, 35.0), turn_deg: DVec3::new(20.0, -35.0, 50.0) };
    let i = put(&mut project, Shape::Box { size_mm: half * 2.0 }, DVec3::ZERO, 10.0);
    project.obstacles[i].pose = pose;
    let file = ScanFile {
        path: "crate.stl".to_owned(),
        bytes: 684,
        sha256: "ab".repeat(32),
        // in inches, and the tree of the same numbers
        mm_per_unit: 25.4,
        low_mm: -half,
        high_mm: half,
        keep: None,
    };
    let j = put(&mut project, Shape::Scan(file.clone()), DVec3::ZERO, 10.0);
    project.obstacles[j].pose = pose;
    let blind = Report::new(&project);
    assert_eq!(codes(&blind), ["scan-missing"]);
    assert!(!blind.clearance.iter().any(|c| c.other == Item::Obstacle(project.obstacles[j].id)));
    let mut scans = Scans::default();
    let tree = ScanTree::new(crate_mesh(half / 25.4), &Unwatched).unwrap();
    scans.set(file, ScanState::Ready(Arc::new(tree)));
    let report = Report::of(&project, &scans, Effort::Quick);
    let gap = |i: usize| {
        let item = Item::Obstacle(project.obstacles[i].id);
        report.clearance.iter().find(|c| c.other == item).unwrap().gap_mm
    };
    assert!(gap(i) > 1.0, "they are apart");
    // the scan's points are f32 in inches
    assert_relative_eq!(gap(i), gap(j), epsilon = 0.001);
    assert_eq!(codes(&report), Vec::<&str>::new());
}

/// Every demo, every handle, a few steps: what is taken over from before is what would be found afresh.
#[test]
fn after_a_drag_step_the_gaps_are_those_of_a_fresh_look() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-projects");
    let mut compared = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let mut project = crate::file::load(&entry.unwrap().path()).unwrap();
        let mut report = Report::quick(&project);
        let runs: Vec<RunId> = project.runs.iter().map(|r| r.id).collect();
        let handles = runs.iter().flat_map(|id| {
            let vertices = project.run(*id).map(crate::model::Run::vertices).unwrap_or_default();
            vertices.into_iter().map(|v| Handle::Vertex(*id, v)).collect::<Vec<_>>()
        });
        let ports = project.hardpoints.iter().map(|h| Handle::Hardpoint(h.id));
        let obstacles = project.obstacles.iter().map(|o| Handle::Obstacle(o.id));
        let all: Vec<Handle> = handles.chain(ports).chain(obstacles).step_by(5).collect();
        for handle in all {
            let Some(at) = place(&project, handle) else { continue };
            let Some(edit) = drag_edit(&project, handle, at + DVec3::new(7.0, -11.0, 5.0)) else { continue };
            let Ok(next) = apply(&project, &edit) else { continue };
            let fresh = Report::quick(&next);
            let after = report.after(&project, &next, &Scans::default(), Effort::Quick);
            assert_eq!(after.clearance, fresh.clearance, "{handle:?}");
            assert_eq!(after.findings, fresh.findings, "{handle:?}");
            compared += 1;
            (project, report) = (next, after);
        }
        // changes of what gaps depend on besides solids
        let mut hot = project.runs[0].clone();
        (hot.service, hot.name) = (Service::Exhaust, "Renamed".to_owned());
        let mut settings = project.settings.clone();
        settings.hot_gap_mm += 400.0;
        let moved = project.hardpoints.iter().map(|h| {
            Edit::PutHardpoint(crate::model::Hardpoint { attachment: Attachment::Loose, ..h.clone() })
        });
        let body = project
            .bodies
            .iter()
            .map(|b| Edit::PutBody(crate::model::Body { name: format!("{} 2", b.name), ..b.clone() }));
        let edits: Vec<Edit> =
            [Edit::PutRun(hot), Edit::SetSettings(settings)].into_iter().chain(moved).chain(body).collect();
        for edit in edits {
            let Ok(next) = apply(&project, &edit) else { continue };
            let after = report.after(&project, &next, &Scans::default(), Effort::Quick);
            assert_eq!(after.clearance, Report::quick(&next).clearance);
            compared += 1;
            (project, report) = (next, after);
        }
    }
    assert!(compared > 60, "{compared}");
}

/// A run on an engine that shifts and rolls, past an obstacle on the chassis; the positions are sampled one by one by
/// moving the obstacle the other way.
#[test]
fn a_moving_engine_is_checked_everywhere_it_can_go() {
    let mut project = sample();
    let engine = crate::model::Body {
        id: BodyId(50),
        name: "Engine".to_owned(),
        movement: crate::model::Movement {
            shift_mm: DVec3::new(0.0, 8.0, 4.0),
            roll: Some(crate::model::Roll {
                through_mm: DVec3::new(0.0, 250.0, -200.0),
                axis: DVec3::X,
                turn_deg: 2.0,
            }),
        },
    };
    project.bodies.push(engine);
    for port in &mut project.hardpoints {
        port.body = BodyId(50);
    }
    let at = DVec3::new(180.0, -95.0, 20.0);
    let i = put(&mut project, Shape::Box { size_mm: DVec3::new(80.0, 30.0, 60.0) }, at, 40.0);
    let item = Item::Obstacle(project.obstacles[i].id);
    let find =
        |project: &Project| Report::quick(project).clearance.into_iter().find(|c| c.other == item).unwrap();
    let found = find(&project);
    // the same obstacle seen from the engine: first shifted back, then turned back
    let mut still = project.clone();
    still.bodies[1].movement = crate::model::Movement::default();
    let drawn = find(&still);
    assert_relative_eq!(drawn.gap_mm, found.as_drawn_mm, epsilon = 1e-9);
    let mut least = f64::INFINITY;
    let steps = [-1.0_f64, -0.5, 0.0, 0.5, 1.0];
    for (roll, y, z) in steps.iter().flat_map(|r| steps.iter().flat_map(move |y| steps.map(|z| (*r, *y, z))))
    {
        let through = DVec3::new(0.0, 250.0, -200.0);
        let back = glam::DQuat::from_axis_angle(DVec3::X, -(2.0 * roll).to_radians());
        let moved = at - DVec3::new(0.0, 8.0 * y, 4.0 * z) - through;
        still.obstacles[i].pose =
            Pose { position_mm: through + back * moved, turn_deg: DVec3::new(-2.0 * roll, 0.0, 0.0) };
        least = least.min(find(&still).gap_mm);
    }
    assert!(found.gap_mm < drawn.gap_mm - 8.0, "{} {}", found.gap_mm, drawn.gap_mm);
    // the grid has the corners, and here the tightest is at one
    assert_relative_eq!(found.gap_mm, least, epsilon = 0.1);
    assert!(found.never_below_mm <= least + 1e-9 && found.never_below_mm > least - 0.2);
    assert!(found.pose.contains("Engine 8.0 mm to the right"), "{}", found.pose);
    assert!(!found.ok && drawn.ok);
    let finding = Report::quick(&project).findings.into_iter().find(|f| f.code == "too-close").unwrap();
    assert!(finding.text.starts_with("With Engine 8.0 mm to the right"), "{}", finding.text);
    // an obstacle on the engine goes with it
    project.obstacles[i].body = BodyId(50);
    assert_eq!(find(&project).pose, AS_DRAWN);
}

/// From a joint that gives onwards, a run goes with the body it ends on.
#[test]
fn a_joint_that_gives_parts_what_goes_with_the_engine_from_what_stays() {
    let mut project = sample();
    let shift_mm = DVec3::new(0.0, 0.0, 20.0);
    let movement = crate::model::Movement { shift_mm, roll: None };
    project.bodies.push(crate::model::Body { id: BodyId(50), name: "Engine".to_owned(), movement });
    project.hardpoints[0].body = BodyId(50);
    let joint = project.joints[0].id;
    let clutch = Fitting { id: FittingId(501), joint, leg: 0, station_mm: 270.0, lobe_clock_deg: 0.0 };
    project.runs[0].fittings.push(clutch);
    // one under the part on the engine, one under the part on the chassis; both on the chassis
    let plate = |project: &mut Project, x: f64, y: f64| {
        let at = DVec3::new(x, y, -31.75 - 30.0 - 5.0);
        let i = put(project, Shape::Box { size_mm: DVec3::new(60.0, 60.0, 10.0) }, at, 5.0);
        project.obstacles[i].body = BodyId(1);
        i
    };
    let (near, far) = (plate(&mut project, 120.0, 0.0), plate(&mut project, 650.0, 500.0));
    let report = Report::quick(&project);
    let gap = |i: usize| {
        let item = Item::Obstacle(project.obstacles[i].id);
        report.clearance.iter().find(|c| c.other == item).unwrap()
    };
    assert_relative_eq!(gap(near).gap_mm, 10.0, epsilon = 0.1);
    assert_relative_eq!(gap(far).gap_mm, 30.0, epsilon = 0.1);
    assert!(gap(near).is_moved() && !gap(far).is_moved());
}
