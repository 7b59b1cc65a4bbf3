//! How long a scan of a million triangles takes: to read, to prepare, and to measure to while a pipe is dragged.
#![allow(missing_docs, reason = "criterion's macros make public items without docs")]
#![expect(clippy::print_stdout, reason = "a bench prints what it finds")]

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use glam::DVec3;
use pipeloft_core::model::obstacle::Pose;
use pipeloft_core::space::scan::{PlacedScan, Scan, ScanTree, ScanUnit, Unwatched, Watch, read};
use pipeloft_tests::heavy::{run, sheet, write_stl};
use std::cell::Cell;
use std::fmt::Write as _;
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

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
    let mut obj = String::new();
    for p in &points {
        writeln!(obj, "v {:.4} {:.4} {:.4}", p.x, p.y, p.z).ok()?;
    }
    for [a, b, c] in &triangles {
        writeln!(obj, "f {} {} {}", a + 1, b + 1, c + 1).ok()?;
    }
    let folder = tempfile::tempdir().ok()?;
    let paths = [folder.path().join("a.stl"), folder.path().join("a.obj")];
    write_stl(&paths[0], &points, &triangles).ok()?;
    std::fs::write(&paths[1], obj).ok()?;
    Some((folder, paths))
}

fn load(c: &mut Criterion) {
    let mut group = c.benchmark_group("scan of 1 M triangles");
    group.sample_size(10);
    let Some((_folder, paths)) = files() else { return };
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
    c.bench_function("pick, 1 M triangles", |b| {
        b.iter(|| uneven.pick(black_box(DVec3::new(300.0, 200.0, 2000.0)), DVec3::new(0.4, 0.3, -1.0)));
    });
}

criterion_group!(benches, load, gaps);
criterion_main!(benches);
