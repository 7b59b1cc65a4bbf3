//! The room against the built lobe turned degree by degree, measured by the plain gap functions.

use super::*;
use crate::geom::Block;
use crate::model::obstacle::Pose;
use crate::model::{
    Attachment, BodyId, Fitting, FittingId, JointId, Lobe, ObstacleId, RunId, ScanFile, Service, Shape,
    ToolRoom,
};
use crate::space::scan::{Scan, ScanState, ScanTree, ScanUnit, Unwatched};
use crate::testing::run_through;
use std::sync::Arc;

/// A pipe forward, to the left, forward, back beside itself; a coupler on its first leg.
fn bay() -> Project {
    let (mut project, mut run) = run_through(&[
        DVec3::ZERO,
        DVec3::X * 500.0,
        DVec3::new(500.0, 400.0, 0.0),
        DVec3::new(500.0, 400.0, 330.0),
        DVec3::new(100.0, 110.0, 330.0),
    ]);
    run.fittings.push(Fitting {
        id: FittingId(900),
        joint: JointId(12),
        leg: 0,
        station_mm: 200.0,
        lobe_clock_deg: 0.0,
    });
    run.gap_mm = 9.0;
    project.runs = vec![run];
    project
}

fn obstacle(project: &mut Project, shape: Shape, at: DVec3, gap_mm: f64) -> ObstacleId {
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: format!("thing {}", id.0),
        body: BodyId(1),
        shape,
        pose: Pose::at(at),
        gap_mm,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
    id
}

fn boxed(x: f64, y: f64, z: f64) -> Shape {
    Shape::Box { size_mm: DVec3::new(x, y, z) }
}

fn room_of(project: &Project, scans: &Scans) -> LobeRoom {
    let report = Report::of(project, scans, crate::report::Effort::Quick);
    let run = &report.runs[0];
    assert!(run.built.is_buildable(), "{:?}", run.built.problems);
    let piece = crate::fab::face::fitting_piece(&run.built, &project.runs[0].fittings[0]).unwrap();
    lobe_room(project, scans, &report, run.id, piece).unwrap()
}

/// Whether the lobe, built at that clock, and the box of a tool on it keep their gaps.
fn keeps(project: &Project, deg: f64, tool: Option<ToolRoom>) -> bool {
    let mut turned = project.clone();
    turned.runs[0].fittings[0].lobe_clock_deg = deg;
    let built = crate::fab::build(&turned, &turned.runs[0]);
    let at = built.solids.iter().position(|s| s.lobe).unwrap();
    let (lobe, piece) = (built.solids[at].solid, built.solids[at].piece);
    let Solid::Block(block) = lobe else { panic!("a lobe is a block") };
    let own: Vec<Solid> =
        built.solids.iter().filter(|s| s.piece.abs_diff(piece) > 1).map(|s| s.solid).collect();
    let others: Vec<Vec<Solid>> = turned.runs[1..]
        .iter()
        .map(|r| crate::fab::build(&turned, r).solids.iter().map(|s| s.solid).collect())
        .collect();
    let clear = |solid: &Solid, need: &dyn Fn(f64) -> f64| {
        let shapes = turned
            .obstacles
            .iter()
            .all(|o| gap_to_shape(solid, &PlacedShape::new(&o.shape, &o.pose), need(o.gap_mm)).is_none());
        let pipes = others.iter().chain([&own]).all(|solids| {
            solids.iter().all(|other| gap_between(solid, other, need(turned.runs[0].gap_mm)).is_none())
        });
        shapes && pipes
    };
    let tool_is_clear = tool.is_none_or(|t| {
        // the lobe's own box, further out by the reach and wider by the width
        let half = DVec3::new(0.0, t.reach_mm / 2.0, t.width_mm / 2.0);
        let centre = block.centre + block.axes[1] * (t.reach_mm / 2.0);
        clear(&Solid::Block(Block { centre, half_mm: block.half_mm + half, ..block }), &|_| LEAST_GAP_MM)
    });
    clear(&lobe, &|need| need) && tool_is_clear
}

/// Compares the room with the built lobe at every degree; how many are free.
#[track_caller]
fn agrees_degree_by_degree(project: &Project, room: &LobeRoom, tool: Option<ToolRoom>) -> usize {
    let mut free = 0;
    for i in 0..360 {
        let deg = f64::from(i) + 0.37;
        let said = room.room.is_free_at(deg.to_radians());
        let is = keeps(project, deg, tool);
        free += usize::from(is);
        // within a fifth of a degree of an edge either may be said
        let at_edge = [-0.2, 0.2].iter().any(|d| keeps(project, deg + d, tool) != is);
        assert!(said == is || at_edge, "{deg}°: said {said}, is {is}");
    }
    free
}

#[test]
fn each_degree_is_free_where_the_lobe_built_there_keeps_every_gap() {
    let mut project = bay();
    // a plate above that asks for much, a bar to the right that asks for little, a floor that asks for more
    obstacle(&mut project, boxed(300.0, 60.0, 10.0), DVec3::new(200.0, 10.0, 75.0), 14.0);
    obstacle(
        &mut project,
        Shape::Cylinder { diameter_mm: 20.0, length_mm: 300.0 },
        DVec3::new(210.0, -74.0, 0.0),
        1.0,
    );
    obstacle(&mut project, Shape::HalfSpace, DVec3::Z * -90.0, 26.0);
    let room = room_of(&project, &Scans::default());
    assert_eq!(room.parts.len(), 1);
    let free = agrees_degree_by_degree(&project, &room, None);
    assert!((100..330).contains(&free), "{free}");
    assert_eq!(room.is_free_now(), keeps(&project, 0.0, None));
    // with a tool that stands out further there is less, and what there is holds both
    let tool = ToolRoom { reach_mm: 45.0, width_mm: 14.0, swing_deg: 0.0 };
    project.joints[0].tool = Some(tool);
    let tooled = room_of(&project, &Scans::default());
    assert_eq!(tooled.parts.len(), 2);
    let less = agrees_degree_by_degree(&project, &tooled, Some(tool));
    assert!(less > 20 && less + 20 < free, "{less} of {free}");
    // a swing needs the box of its middle at least
    project.joints[0].tool = Some(ToolRoom { width_mm: 0.0, swing_deg: 60.0, ..tool });
    let swung = room_of(&project, &Scans::default());
    let straight_on = Some(ToolRoom { width_mm: 0.0, ..tool });
    let swung_free = (0..360).map(f64::from).filter(|deg| swung.room.is_free_at(deg.to_radians()));
    let swung_free: Vec<f64> = swung_free.collect();
    assert!(!swung_free.is_empty() && swung_free.len() < less);
    assert!(swung_free.iter().all(|deg| keeps(&project, *deg, straight_on)));
}

#[test]
fn another_pipe_and_the_far_side_of_its_own_are_in_the_way() {
    let mut project = bay();
    let alone = room_of(&project, &Scans::default());
    let free_alone = agrees_degree_by_degree(&project, &alone, None);
    // the same pipe again, shifted up and to the right
    let mut other = project.runs[0].clone();
    other.id = RunId(5000);
    other.fittings.clear();
    for way in &mut other.waypoints {
        way.position_mm += DVec3::new(0.0, -30.0, -92.0);
    }
    let (mut from, mut to) = (project.hardpoints[0].clone(), project.hardpoints[1].clone());
    (from.id, to.id) = (crate::model::HardpointId(5001), crate::model::HardpointId(5002));
    from.position_mm += DVec3::new(0.0, -30.0, -92.0);
    to.position_mm += DVec3::new(0.0, -30.0, -92.0);
    (other.start, other.end) = (
        from.id,
        RunEnd::Hardpoint {
            hardpoint: to.id,
            corner: match other.end {
                RunEnd::Hardpoint { corner, .. } => corner,
                RunEnd::Open { .. } => panic!("it ends at a port"),
            },
        },
    );
    project.hardpoints.extend([from, to]);
    project.runs.push(other);
    let room = room_of(&project, &Scans::default());
    let free = agrees_degree_by_degree(&project, &room, None);
    assert!(free + 30 < free_alone, "{free} of {free_alone}");
}

#[test]
fn a_scan_is_in_the_way_like_the_box_it_is_of() {
    let mut project = bay();
    let size = DVec3::new(300.0, 60.0, 10.0);
    let id = obstacle(&mut project, boxed(size.x, size.y, size.z), DVec3::new(200.0, 10.0, 75.0), 14.0);
    let solid = room_of(&project, &Scans::default());
    let corner = |i: u32| DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2)) - 0.5;
    let points: Vec<DVec3> = (0..8).map(|i| corner(i) * size).collect();
    let quads = [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> =
        quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    let scan = Scan::from_triangles(&points, &triangles, ScanUnit::Millimetre).unwrap();
    let file = ScanFile {
        path: "plate.stl".to_owned(),
        bytes: 1,
        sha256: "0".repeat(64),
        mm_per_unit: 1.0,
        low_mm: -size / 2.0,
        high_mm: size / 2.0,
        keep: None,
    };
    project.obstacles.iter_mut().find(|o| o.id == id).unwrap().shape = Shape::Scan(file.clone());
    let unread = room_of(&project, &Scans::default());
    assert!(
        unread.room.free.len() <= solid.room.free.len()
            && unread.room.best_spare_mm >= solid.room.best_spare_mm
    );
    let mut scans = Scans::default();
    scans.set(file, ScanState::Ready(Arc::new(ScanTree::new(scan, &Unwatched).unwrap())));
    let read = room_of(&project, &scans);
    assert_eq!(read.room.free.len(), solid.room.free.len());
    for (a, b) in read.room.free.iter().zip(&solid.room.free) {
        assert!((a.from_rad - b.from_rad).abs() < 0.002 && (a.sweep_rad - b.sweep_rad).abs() < 0.004);
    }
}

#[test]
fn heat_asks_for_its_own_gap() {
    let mut project = bay();
    obstacle(&mut project, boxed(400.0, 400.0, 10.0), DVec3::new(200.0, 0.0, 100.0), 5.0);
    project.settings.hot_gap_mm = 40.0;
    let cold = room_of(&project, &Scans::default());
    assert!(cold.room.is_free_at(0.0), "95 − 60 of room over the lobe");
    project.obstacles[0].heat_sensitive = true;
    assert_eq!(room_of(&project, &Scans::default()).room.free, cold.room.free, "charge air does not burn it");
    project.runs[0].service = Service::Exhaust;
    assert!(!room_of(&project, &Scans::default()).room.is_free_at(0.0));
    project.obstacles[0].hot_gap_mm = Some(20.0);
    assert!(room_of(&project, &Scans::default()).room.is_free_at(0.0), "its own hot gap is what counts");
}

#[test]
fn the_part_a_joint_sits_in_does_not_block_it_but_what_else_is_on_the_part_does() {
    let mut project = bay();
    project.runs[0].fittings.clear();
    project.hardpoints[0].attachment = Attachment::Joint { joint: JointId(12), lobe_clock_deg: 0.0 };
    // the flange of the part, right behind the face and round the joint's lobe; a bracket above
    obstacle(&mut project, boxed(30.0, 200.0, 200.0), DVec3::new(-10.0, 0.0, 0.0), 5.0);
    let room = |project: &Project| {
        let report = Report::quick(project);
        lobe_room(project, &Scans::default(), &report, report.runs[0].id, 0).unwrap()
    };
    assert!(room(&project).room.is_free_all_round());
    obstacle(&mut project, boxed(100.0, 60.0, 10.0), DVec3::new(20.0, 0.0, 70.0), 10.0);
    let bracket = room(&project);
    assert!(!bracket.room.is_free_at(0.0) && bracket.room.is_free_at(std::f64::consts::PI));
    // the flange of another part blocks
    project.obstacles[0].body = BodyId(77);
    assert!(room(&project).room.is_blocked());
}

#[test]
fn a_lobe_is_turned_to_the_clearest_place_or_to_the_eye_or_it_is_said_why_not() {
    let mut project = bay();
    obstacle(&mut project, boxed(300.0, 300.0, 10.0), DVec3::new(200.0, 0.0, 75.0), 14.0);
    let room = room_of(&project, &Scans::default());
    let clearest = room.clearest_deg().unwrap();
    assert!((clearest.abs() - 180.0).abs() < 30.0, "down, away from the plate: {clearest}");
    assert!((clearest * 10.0 - (clearest * 10.0).round()).abs() < 1e-9, "on a step of paper");
    // the pipe runs forward, 12 o'clock is up, so 3 o'clock is to the right
    assert_eq!(room.toward_deg(DVec3::NEG_Y), Ok(90.0));
    // from above and right only the edge of the free range can be had
    let aslant = room.toward_deg(DVec3::new(0.0, -0.5, 1.0)).unwrap();
    let seen = room.seen_from(DVec3::new(0.0, -0.5, 1.0)).unwrap();
    assert!(room.room.is_free_at(aslant.to_radians()) && seen.contains(aslant.to_radians()));
    assert!(!room.room.is_free_at((aslant - 2.0).to_radians()), "no nearer to the eye: {aslant}");
    assert_eq!(room.toward_deg(DVec3::X), Err(Unseen::Along));
    // boxed in above and to both sides, seen from above
    for y in [-75.0, 75.0] {
        obstacle(&mut project, boxed(300.0, 10.0, 300.0), DVec3::new(200.0, y, 0.0), 30.0);
    }
    let only_down = room_of(&project, &Scans::default());
    assert_eq!(only_down.toward_deg(DVec3::Z), Err(Unseen::OtherSide));
    assert!(!only_down.is_free_now());
    obstacle(&mut project, boxed(300.0, 300.0, 10.0), DVec3::new(200.0, 0.0, -75.0), 14.0);
    let nowhere = room_of(&project, &Scans::default());
    assert_eq!((nowhere.clearest_deg(), nowhere.toward_deg(DVec3::Z)), (None, Err(Unseen::Blocked)));
}

#[test]
fn what_has_no_lobe_has_no_room_to_find() {
    let mut project = bay();
    let report = Report::quick(&project);
    let run = report.runs[0].id;
    let none =
        |project: &Project, piece| lobe_room(project, &Scans::default(), &report, run, piece).is_none();
    let joint = report.runs[0].built.pieces.iter().position(|p| p.lobe_clock_rad.is_some()).unwrap();
    assert!(none(&project, joint + 1) && none(&project, 999) && !none(&project, joint));
    assert!(lobe_room(&project, &Scans::default(), &report, RunId(999), 0).is_none());
    project.joints[0].lobe = Some(Lobe { width_mm: f64::NAN, reach_mm: 60.0, length_mm: 20.0 });
    assert!(none(&project, joint));
    project.joints[0].lobe = None;
    assert!(none(&project, joint));
}
