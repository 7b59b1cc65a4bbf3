//! Pipes hidden in scans: a floor of 200,000 triangles with a trench that a pipe was laid through.

use super::hidden::{CLR_MM, Lot, TUBE_MM, bench, forgotten, pipe, port, run_through};
use super::walk::{walk, worked_s};
use glam::DVec3;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::model::{
    BendMake, BodyId, ElbowId, Obstacle, ObstacleId, Pose, Project, RunId, ScanFile, Shape,
};
use pipeloft_core::report::{Effort as ReportEffort, Report};
use pipeloft_core::space::scan::{Scan, ScanState, ScanTree, ScanUnit, Scans};
use pipeloft_core::watch::Unwatched;
use pipeloft_propose::routes::{Ask, Before, Way, propose};
use std::sync::Arc;

/// Squares along each side of the floor, two triangles each.
const SIDE: usize = 320;

const GAP_MM: f64 = 12.0;

struct Trench {
    project: Project,
    scans: Scans,
    run: RunId,
    nodes: Vec<DVec3>,
}

/// A floor that lies over a pipe everywhere but where the pipe needs room.
fn trench(seed: u64) -> Trench {
    let mut lot = Lot::new(1000 + seed);
    let points = pipe(&mut lot, 2 + (seed % 3) as usize);
    let walked = walk(&points, CLR_MM);
    let low = walked.iter().copied().reduce(DVec3::min).unwrap() - 150.0;
    let high = walked.iter().copied().reduce(DVec3::max).unwrap() + 150.0;
    let step = (high - low) / SIDE as f64;
    // a facet between two nodes may cut into the trench by as much as it is long
    let need_mm = TUBE_MM / 2.0 + GAP_MM + 6.0 + step.x.hypot(step.y);
    let top_mm = high.z - 120.0;
    let mut nodes = Vec::with_capacity((SIDE + 1) * (SIDE + 1));
    for j in 0..=SIDE {
        for i in 0..=SIDE {
            let (x, y) = (low.x + step.x * i as f64, low.y + step.y * j as f64);
            let floor = walked.iter().step_by(3).fold(top_mm, |z, p| {
                let across = (p.x - x).powi(2) + (p.y - y).powi(2);
                let inside = (need_mm + 2.0).powi(2) - across;
                if inside > 0.0 { z.min(p.z - inside.sqrt()) } else { z }
            });
            nodes.push(DVec3::new(x, y, floor));
        }
    }
    let at = |i: usize, j: usize| (j * (SIDE + 1) + i) as u32;
    let mut triangles = Vec::with_capacity(2 * SIDE * SIDE);
    for j in 0..SIDE {
        for i in 0..SIDE {
            triangles.push([at(i, j), at(i + 1, j), at(i, j + 1)]);
            triangles.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    let scan = Scan::from_triangles(&nodes, &triangles, ScanUnit::Millimetre).unwrap();
    let tree = Arc::new(ScanTree::new(scan, &Unwatched).unwrap());
    let mut project = bench();
    let n = points.len();
    let start = port(&mut project, "From", points[0], points[1] - points[0]);
    let end = port(&mut project, "To", points[n - 1], points[n - 2] - points[n - 1]);
    let elbows = BendMake::Elbow { elbow: ElbowId(11) };
    let run = forgotten(run_through(&mut project, [start, end], &points[1..n - 1], elbows));
    let file = ScanFile {
        path: "floor.stl".to_owned(),
        bytes: 1,
        sha256: "00".repeat(32),
        mm_per_unit: 1.0,
        low_mm: low,
        high_mm: high,
        keep: None,
    };
    let id = ObstacleId(project.fresh_id());
    project.obstacles.push(Obstacle {
        id,
        name: "Floor".to_owned(),
        body: BodyId(2),
        shape: Shape::Scan(file.clone()),
        pose: Pose::at(DVec3::ZERO),
        gap_mm: GAP_MM,
        heat_sensitive: false,
        hot_gap_mm: None,
        hidden: false,
    });
    let project = apply(&project, &Edit::PutRun(run.clone())).unwrap();
    let mut scans = Scans::default();
    scans.set(file, ScanState::Ready(tree));
    Trench { project, scans, run: run.id, nodes }
}

#[test]
fn a_pipe_is_laid_through_the_trench_of_a_scan() {
    let count = if std::env::var("PIPELOFT_SCENES").is_ok() { 12 } else { 2 };
    let mut found = 0;
    for seed in 0..count {
        let scene = trench(seed);
        let report = Report::of(&scene.project, &scene.scans, ReportEffort::Quick);
        let before = Before { project: &scene.project, scans: &scene.scans, report: &report };
        let ask = Ask {
            ways: vec![Way::Elbows { clr_mm: CLR_MM }],
            shortest_mm: Some(20.0),
            most_bends: 8,
            ..Ask::of(scene.run)
        };
        let begun = worked_s();
        let mut first = None;
        let out = propose(before, &ask, &Unwatched, &mut |_| {
            first.get_or_insert(worked_s() - begun);
        });
        if std::env::var("PIPELOFT_TIMES").is_ok() {
            eprintln!(
                "scan {seed}: first {first:.3?} s, all {:.3} s, {} routes",
                worked_s() - begun,
                out.routes.len()
            );
        }
        found += usize::from(!out.routes.is_empty());
        for route in &out.routes {
            for p in walk(&route.vertices_mm, CLR_MM).into_iter().step_by(5) {
                // nodes lie on the scan, so that no pipe may be nearer to one
                let nearest = scene.nodes.iter().map(|n| n.distance_squared(p)).fold(f64::INFINITY, f64::min);
                assert!(nearest.sqrt() > TUBE_MM / 2.0 + GAP_MM - 0.01, "scan {seed}: {}", nearest.sqrt());
            }
        }
    }
    assert!(found * 100 >= count as usize * 90, "{found} of {count}");
}
