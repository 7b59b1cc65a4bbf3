//! How long jobs of many bends and many runs take: the first report, and the one after a bend has moved. Numbers are in
//! DEVELOPERS.md.
#![allow(missing_docs, reason = "criterion's macros make public items without docs")]

use criterion::{Criterion, criterion_group, criterion_main};
use glam::DVec3;
use pipeloft_core::edit::apply;
use pipeloft_core::edit::handle::{Handle, drag_edit, place};
use pipeloft_core::model::Project;
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::Scans;
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{half, run_through, shop};
use std::hint::black_box;
use std::time::Duration;

/// Runs of so many bends each, which climb like stairs side by side; each bend at an angle of its own where `is_own`.
fn stairs(runs: usize, bends: usize, is_own: bool) -> Project {
    let mut project = shop(63.5, 1.65);
    let mut dice = Dice(7);
    for i in 0..runs {
        let mut at = DVec3::new(0.0, 0.0, 150.0 * i as f64);
        let mut points = vec![at];
        for step in 0..=bends {
            let way = if step % 2 == 0 { DVec3::X } else { DVec3::Y };
            let off = if is_own && step > 0 && step < bends {
                DVec3::new(dice.between(-0.2, 0.2), dice.between(-0.2, 0.2), dice.between(-0.05, 0.05))
            } else {
                DVec3::ZERO
            };
            at += (way + off) * 400.0;
            points.push(at);
        }
        run_through(&mut project, &points, half(95.25, 4));
    }
    project
}

fn sizes(c: &mut Criterion) {
    let jobs =
        [(1, 30, false), (1, 190, false), (1, 190, true), (1, 200, true), (100, 5, true), (300, 5, true)];
    let mut group = c.benchmark_group("sizes");
    group.sample_size(10).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(3));
    for (runs, bends, is_own) in jobs {
        let project = stairs(runs, bends, is_own);
        let name = format!("{runs} runs of {bends} bends, {}", if is_own { "own angles" } else { "alike" });
        group.bench_function(format!("first report/{name}"), |b| {
            b.iter(|| Report::quick(black_box(&project)));
        });
        let before = Report::quick(&project);
        assert_eq!(before.totals.runs, runs, "{:?}", before.findings.first());
        let vertices = project.runs[0].vertices();
        let handle = Handle::Vertex(project.runs[0].id, vertices[vertices.len() / 2]);
        let Some(start) = place(&project, handle) else { continue };
        let mut step = 0.0;
        group.bench_function(format!("a bend moved/{name}"), |b| {
            b.iter(|| {
                step = (step + 0.37) % 8.0;
                let edit = drag_edit(&project, handle, start + DVec3::splat(step));
                let next = edit.and_then(|edit| apply(&project, &edit).ok());
                next.map(|next| before.after(&project, &next, &Scans::default(), Effort::Quick))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, sizes);
criterion_main!(benches);
