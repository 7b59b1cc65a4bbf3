//! How long a scan of a million triangles takes: to read, to prepare, and to measure to while a pipe is dragged.
#![allow(missing_docs, reason = "criterion's macros make public items without docs")]
#![expect(clippy::print_stdout, reason = "a bench prints what it finds")]

use criterion::{BatchSize, Criterion, criterion_group};
use glam::DVec3;
use pipeloft_core::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use pipeloft_core::model::obstacle::Pose;
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched, Watch, read};
use std::cell::Cell;
use std::fmt::Write as _;
use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A sheet of a million triangles, 2.4 m × 1.6 m, as uneven as an engine bay; `rough` 0 makes it flat.
fn sheet(rough: f64) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let (columns, rows) = (1000_u32, 500_u32);
    let mut points = Vec::new();
    for row in 0..=rows {
        for column in 0..=columns {
            let (x, y) = (f64::from(column) * 2.4, f64::from(row) * 3.2);
            let z = 50.0 * (x / 90.0).sin() * (y / 70.0).cos() + 20.0 * (x / 23.0 + y / 31.0).sin();
            points.push(DVec3::new(x, y, rough * z));
        }
    }
    let at = |row: u32, column: u32| row * (columns + 1) + column;
    let mut triangles = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let [a, b] = [at(row, column), at(row, column + 1)];
            let [c, d] = [at(row + 1, column), at(row + 1, column + 1)];
            triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    (points, triangles)
}

/// A run of ten bends over the sheet: 40 solids. The middle bend is moved up by `lift_mm`.
fn run(height_mm: f64, lift_mm: f64) -> Vec<Solid> {
    let radius_mm = 31.75;
    let mut solids = Vec::new();
    let mut at = Frame::new(DVec3::new(150.0, 300.0, height_mm), DVec3::X, DVec3::Z);
    for bend in 0..10 {
        if bend == 5 {
            at.origin.z += lift_mm;
        }
        let square =
            Barrel { start: at, length_mm: 90.0, radius_mm, start_normal: at.travel, end_normal: at.travel };
        solids.push(Solid::Barrel(square));
        at = at.forward(90.0);
        // to the left and to the right in turn, every third up and down a little
        let clock = if bend % 2 == 0 { -1.57 } else { 1.57 };
        let (clr_mm, angle_rad) = (95.0, if bend % 3 == 0 { 0.9 } else { 0.8 });
        let toward = at.at_clock(clock);
        solids.push(Solid::Elbow(Elbow { start: at, toward, clr_mm, angle_rad, radius_mm }));
        at = at.around(clock, clr_mm, angle_rad);
        solids.push(Solid::Drum(Drum { start: at, length_mm: 40.0, radius_mm: 37.0 }));
        let axes = [at.travel, at.index, at.travel.cross(at.index)];
        let half_mm = DVec3::new(12.0, 8.0, 10.0);
        solids.push(Solid::Block(Block { centre: at.forward(20.0).origin + at.index * 44.0, axes, half_mm }));
        at = at.forward(40.0);
    }
    solids
}

fn placed(rough: f64) -> Option<PlacedScan> {
    let (points, triangles) = sheet(rough);
    let scan = Scan::from_triangles(&points, &triangles, ScanUnit::Millimetre).ok()?;
    let tree = ScanTree::new(scan, &Unwatched).ok()?;
    PlacedScan::new(Arc::new(tree), &Pose::at(DVec3::ZERO), 1.0)
}

/// The longest time between two looks at the watch.
struct Stopwatch {
    last: Cell<Instant>,
    longest: Cell<Duration>,
}

impl Watch for Stopwatch {
    fn progress(&self, _part: f64) {}

    fn is_cancelled(&self) -> bool {
        let now = Instant::now();
        self.longest.set(self.longest.get().max(now - self.last.get()));
        self.last.set(now);
        false
    }
}

fn longest_wait(work: impl FnOnce(&dyn Watch)) -> Duration {
    let watch = Stopwatch { last: Cell::new(Instant::now()), longest: Cell::default() };
    work(&watch);
    watch.is_cancelled();
    watch.longest.get()
}

/// The sheet as binary STL and as OBJ, in a folder of its own.
fn files() -> Option<(tempfile::TempDir, [std::path::PathBuf; 2])> {
    let (points, triangles) = sheet(1.0);
    let mut stl = vec![b' '; 80];
    stl.extend((triangles.len() as u32).to_le_bytes());
    for corners in &triangles {
        stl.extend([0; 12]);
        stl.extend(
            corners.iter().flat_map(|&c| points[c as usize].as_vec3().to_array()).flat_map(f32::to_le_bytes),
        );
        stl.extend([0; 2]);
    }
    let mut obj = String::new();
    for p in &points {
        writeln!(obj, "v {:.4} {:.4} {:.4}", p.x, p.y, p.z).ok()?;
    }
    for [a, b, c] in &triangles {
        writeln!(obj, "f {} {} {}", a + 1, b + 1, c + 1).ok()?;
    }
    let folder = tempfile::tempdir().ok()?;
    let paths = [folder.path().join("a.stl"), folder.path().join("a.obj")];
    std::fs::write(&paths[0], stl).ok()?;
    std::fs::write(&paths[1], obj).ok()?;
    Some((folder, paths))
}

/// Names the scan to a process that is only to load it.
const ONLY_LOAD: &str = "PIPELOFT_BENCH_ONLY_LOAD";

fn loaded(path: &Path) -> Option<ScanTree> {
    ScanTree::new(read(path, &Unwatched).ok()?, &Unwatched).ok()
}

/// What this process has at the most taken of the machine's memory, kB; `None` where the system does not say.
fn most_memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches("kB").trim().parse().ok()
}

/// Loads the scan in a process of its own, which prints the most memory it took.
fn print_memory_of_load(path: &Path) {
    let Ok(program) = std::env::current_exe() else { return };
    if let Err(error) = Command::new(program).env(ONLY_LOAD, path).status() {
        println!("memory while loading was not measured: {error}");
    }
}

fn only_load(path: &Path) {
    let before = most_memory_kb();
    let Some(tree) = loaded(path) else {
        println!("memory while loading was not measured: {} cannot be read", path.display());
        return;
    };
    let name = path.extension().unwrap_or_default().display();
    match before.zip(most_memory_kb()) {
        Some((before, most)) => {
            let now = tree.bytes() / 1024;
            println!(
                "memory: {most} kB at the most while loading {name} (before it {before} kB, kept {now} kB)"
            );
        }
        None => println!("memory while loading was not measured: the system does not say"),
    }
}

fn load(c: &mut Criterion) {
    let mut group = c.benchmark_group("scan of 1 M triangles");
    group.sample_size(10);
    let Some((_folder, paths)) = files() else { return };
    for path in &paths {
        print_memory_of_load(path);
    }
    group.bench_function("load: read STL and prepare the tree", |b| b.iter(|| loaded(&paths[0])));
    for (path, name) in paths.iter().zip(["read STL", "read OBJ"]) {
        group.bench_function(name, |b| b.iter(|| read(path, &Unwatched)));
        let wait = longest_wait(|watch| drop(read(path, watch)));
        println!("{name}: longest time between two looks at the watch {wait:?}");
    }
    if let Ok(scan) = read(&paths[0], &Unwatched) {
        let wait = longest_wait(|watch| drop(ScanTree::new(scan.clone(), watch)));
        println!("tree: longest time between two looks at the watch {wait:?}");
        group.bench_function("tree", |b| {
            b.iter_batched(|| scan.clone(), |scan| ScanTree::new(scan, &Unwatched), BatchSize::PerIteration);
        });
        if let Ok(tree) = ScanTree::new(scan, &Unwatched) {
            println!("memory: scan {} bytes, with its tree {} bytes", tree.scan().bytes(), tree.bytes());
        }
    }
    group.finish();
}

fn gaps(c: &mut Criterion) {
    let (Some(uneven), Some(flat)) = (placed(1.0), placed(0.0)) else { return };
    let mut group = c.benchmark_group("gap of 10 bends, 40 solids, to 1 M triangles");
    let solids = run(120.0, 0.0);
    println!("tightest {:?}", uneven.tightest(&solids, 300.0, None));
    let whole = |scan: &PlacedScan, height_mm: f64, closer_than_mm: f64| {
        let solids = run(height_mm, 0.0);
        let scan = scan.clone();
        move || scan.tightest(black_box(&solids), closer_than_mm, None)
    };
    let question = whole(&uneven, 120.0, 300.0);
    group.bench_function("uneven", |b| b.iter(&question));
    let question = whole(&uneven, 300.0, f64::INFINITY);
    group.bench_function("uneven, far off, no cut-off", |b| b.iter(&question));
    let question = whole(&flat, 50.0, 300.0);
    group.bench_function("along a flat sheet", |b| b.iter(&question));
    let question = whole(&uneven, 20.0, 300.0);
    group.bench_function("through the sheet", |b| b.iter(&question));
    let question = whole(&flat, 10.0, 300.0);
    group.bench_function("lying in a flat sheet", |b| b.iter(&question));
    group.bench_function("each solid by itself", |b| {
        b.iter(|| solids.iter().map(|s| uneven.tightest(black_box(&[*s]), 300.0, None)).collect::<Vec<_>>());
    });
    group.finish();

    // three bends and four straights, and what is on them, are what one dragged vertex moves
    let mut step = 0.0;
    let mut hint = None;
    c.bench_function("one drag step, 16 solids, to 1 M triangles", |b| {
        b.iter(|| {
            step = (step + 0.37) % 20.0;
            let solids = run(120.0, step);
            let found = uneven.tightest(&solids[12..28], 300.0, hint);
            hint = found.map(|found| found.hint());
            found
        });
    });
    let mut hint = None;
    c.bench_function("one drag step, all 40 solids, to 1 M triangles", |b| {
        b.iter(|| {
            step = (step + 0.37) % 20.0;
            let found = uneven.tightest(&run(120.0, step), 300.0, hint);
            hint = found.map(|found| found.hint());
            found
        });
    });
    c.bench_function("pick, 1 M triangles", |b| {
        b.iter(|| uneven.pick(black_box(DVec3::new(300.0, 200.0, 2000.0)), DVec3::new(0.4, 0.3, -1.0)));
    });
}

criterion_group!(benches, load, gaps);

fn main() {
    if let Some(path) = std::env::var_os(ONLY_LOAD) {
        only_load(Path::new(&path));
        return;
    }
    benches();
    Criterion::default().configure_from_args().final_summary();
}
