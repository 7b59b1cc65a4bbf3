//! Writes a scene for other programs to measure, and measures it: a scan of a million triangles and a run of ten bends
//! over it.
//!
//! `cargo run --release -p pipeloft-tests --example gaps -- FOLDER` writes `scan.stl` and `run.json` (the skin of each
//! solid of the run as triangles, chords within 0.05 mm), and prints what was found and how long it took as JSON.
//! With `load` after the folder it only reads the scan that lies there, and prints the memory that took.
//! `clearance.py` beside this does all of it and compares.

#![expect(clippy::print_stdout, reason = "what it prints is its result")]

use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use pipeloft_core::model::Pose;
use pipeloft_core::space::scan::{PlacedScan, ScanTree, Unwatched, read};
use pipeloft_tests::heavy::{run, sheet, write_stl};
use std::f64::consts::TAU;
use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

/// Corners round a tube: 35 mm × (1 − cos(π/96)) is 0.02 mm.
const AROUND: u32 = 96;

/// Triangles: points and three places each.
type Skin = (Vec<[f64; 3]>, Vec<[u32; 3]>);

/// Closed rings of corners skinned, and both ends shut.
fn rings(count: u32, ring: impl Fn(u32, f64) -> DVec3, middles: [DVec3; 2]) -> Skin {
    let mut points: Vec<[f64; 3]> = Vec::new();
    for i in 0..count {
        points.extend((0..AROUND).map(|j| ring(i, TAU * f64::from(j) / f64::from(AROUND)).to_array()));
    }
    let at = |i: u32, j: u32| i * AROUND + j % AROUND;
    let mut triangles = Vec::new();
    for i in 1..count {
        for j in 0..AROUND {
            triangles.push([at(i - 1, j), at(i - 1, j + 1), at(i, j + 1)]);
            triangles.push([at(i - 1, j), at(i, j + 1), at(i, j)]);
        }
    }
    for (middle, i) in [(middles[0], 0), (middles[1], count - 1)] {
        let centre = points.len() as u32;
        points.push(middle.to_array());
        triangles.extend((0..AROUND).map(|j| [centre, at(i, j), at(i, j + 1)]));
    }
    (points, triangles)
}

fn skin(solid: &Solid) -> Skin {
    match solid {
        Solid::Barrel(b) => barrel(b),
        Solid::Drum(d) => drum(d),
        Solid::Elbow(e) => elbow(e),
        Solid::Block(b) => block(b),
    }
}

fn barrel(b: &Barrel) -> Skin {
    let (start, end) = b.axis();
    rings(2, |i, clock| b.edge(i == 1, clock), [start, end])
}

fn drum(d: &Drum) -> Skin {
    let frames = [d.start, d.start.forward(d.length_mm)];
    let ring = |i: u32, clock: f64| {
        let frame: &Frame = &frames[i as usize];
        frame.origin + frame.at_clock(clock) * d.radius_mm
    };
    rings(2, ring, frames.map(|f| f.origin))
}

fn elbow(e: &Elbow) -> Skin {
    // steps of 2°: 127 mm × (1 − cos 1°) is 0.02 mm
    let steps = (e.angle_rad.to_degrees() / 2.0).ceil();
    let frame = |i: u32| e.frame_at(e.angle_rad * f64::from(i) / steps);
    let ring = |i: u32, clock: f64| frame(i).origin + frame(i).at_clock(clock) * e.radius_mm;
    rings(steps as u32 + 1, ring, [frame(0).origin, frame(steps as u32).origin])
}

fn block(b: &Block) -> Skin {
    let corner = |i: u32| {
        let sign = |bit: u32| if i & bit == 0 { -1.0 } else { 1.0 };
        let half = b.half_mm * DVec3::new(sign(1), sign(2), sign(4));
        (b.centre + b.axes[0] * half.x + b.axes[1] * half.y + b.axes[2] * half.z).to_array()
    };
    let quads = [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]);
    ((0..8).map(corner).collect(), triangles.collect())
}

/// The least time of some rounds, seconds.
fn best_of<T>(rounds: usize, mut work: impl FnMut() -> T) -> f64 {
    let time = |_| {
        let begin = Instant::now();
        black_box(work());
        begin.elapsed().as_secs_f64()
    };
    (0..rounds).map(time).fold(f64::INFINITY, f64::min)
}

/// The most memory the process has had at any time, MB; only Linux tells.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("say a folder to write into")?;
    let folder = Path::new(&folder);
    if std::env::args().nth(2).as_deref() == Some("load") {
        let tree = ScanTree::new(read(&folder.join("scan.stl"), &Unwatched)?, &Unwatched)?;
        let bytes = tree.bytes();
        println!("{}", serde_json::json!({ "kept_mb": bytes as f64 / 1e6, "peak_mb": peak_mb() }));
        return Ok(());
    }
    let (points, triangles) = sheet(1.0);
    let path = folder.join("scan.stl");
    write_stl(&path, &points, &triangles)?;
    let solids = run(120.0, 0.0);
    let skins: Vec<Skin> = solids.iter().map(skin).collect();
    std::fs::write(folder.join("run.json"), serde_json::to_string(&skins)?)?;
    let begin = Instant::now();
    let tree = ScanTree::new(read(&path, &Unwatched)?, &Unwatched)?;
    let load_s = begin.elapsed().as_secs_f64();
    let scan = PlacedScan::new(Arc::new(tree), &Pose::at(DVec3::ZERO), 1.0).ok_or("the scan has no size")?;
    let found = scan.tightest(&solids, f64::INFINITY, None).ok_or("nothing was found")?;
    let gap = |solid: &Solid| scan.tightest(std::slice::from_ref(solid), f64::INFINITY, None);
    let each: Vec<Option<f64>> = solids.iter().map(|s| gap(s).map(|f| f.gap.gap_mm)).collect();
    let result = serde_json::json!({
        "triangles": triangles.len(),
        "load_s": load_s,
        "gap_mm": found.gap.gap_mm,
        "each_mm": each,
        "whole_run_s": best_of(200, || scan.tightest(&solids, f64::INFINITY, None)),
        "each_solid_s": best_of(50, || solids.iter().map(gap).collect::<Vec<_>>()),
    });
    println!("{result}");
    Ok(())
}
