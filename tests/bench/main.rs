//! How long the things take that a person waits for. Numbers are in DEVELOPERS.md.
#![allow(missing_docs, reason = "criterion's macros make public items without docs")]

use criterion::{Criterion, criterion_group, criterion_main};
use eframe::egui::Vec2;
use egui_kittest::Harness;
use glam::DVec3;
use pipeloft::platform::{PrefsStore, Recovery};
use pipeloft::{App, Setup, demos};
use pipeloft_core::edit::apply;
use pipeloft_core::edit::handle::{Handle, drag_edit, place};
use pipeloft_core::model::{Project, Vertex};
use pipeloft_core::report::Report;
use pipeloft_core::sheet::{PaperSize, pdf};
use pipeloft_core::view3d::{Emphasis, build_scene};
use pipeloft_tests::GlowTestRenderer;
use std::hint::black_box;

fn all_demos() -> Vec<(&'static str, Project)> {
    demos::ALL.iter().filter_map(|d| Some((d.file, d.open().ok()?))).collect()
}

/// The whole report: every run, every gap, every stick.
fn report(c: &mut Criterion) {
    for (name, project) in all_demos() {
        c.bench_function(&format!("report/{name}"), |b| b.iter(|| Report::new(black_box(&project))));
    }
}

/// One step of a drag: the edit, the whole report with all gaps, and the scene.
fn drag_step(c: &mut Criterion) {
    for (name, project) in all_demos() {
        let Some(run) = project.runs.iter().max_by_key(|r| r.waypoints.len()) else { continue };
        let vertex = run.waypoints.first().map_or(Vertex::Start, |w| Vertex::Way(w.id));
        let handle = Handle::Vertex(run.id, vertex);
        let Some(start) = place(&project, handle) else { continue };
        let mut step = 0.0;
        c.bench_function(&format!("drag step/{name}"), |b| {
            b.iter(|| {
                step = (step + 0.37) % 8.0;
                let edit = drag_edit(&project, handle, start + DVec3::splat(step));
                let next = edit.and_then(|e| apply(&project, &e).ok());
                next.map(|p| {
                    let report = Report::new(&p);
                    let scene = build_scene(&p, &report, &Emphasis::default());
                    (report, scene)
                })
            });
        });
    }
}

fn sheet(c: &mut Criterion) {
    for (name, project) in all_demos() {
        let report = Report::new(&project);
        c.bench_function(&format!("sheet/{name}"), |b| b.iter(|| pdf(&project, &report, PaperSize::Letter)));
    }
}

/// From nothing to the first finished picture of the first demo, software OpenGL.
fn first_frame(c: &mut Criterion) {
    let size = Vec2::new(1480.0, 900.0);
    let mut group = c.benchmark_group("window");
    group.sample_size(10);
    group.bench_function("first frame", |b| {
        b.iter(|| {
            let renderer = GlowTestRenderer::new(1480, 900).ok()?;
            let mut harness = Harness::builder().with_size(size).renderer(renderer).build_eframe(|cc| {
                let setup = Setup {
                    open: None,
                    files: None,
                    prefs: PrefsStore::default(),
                    recovery: Recovery::default(),
                };
                App::new(cc, setup)
            });
            harness.render().ok()
        });
    });
    group.finish();
}

criterion_group!(benches, report, drag_step, sheet, first_frame);
criterion_main!(benches);
