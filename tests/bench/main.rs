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
use pipeloft_core::model::Project;
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

/// A bend that can be dragged about while its run stays buildable, and where it is: else the step would skip the very
/// work it is to measure.
fn draggable(project: &Project) -> Option<(Handle, DVec3)> {
    let buildable = |p: &Project| Report::new(p).totals.runs == project.runs.len();
    let vertices =
        project.runs.iter().flat_map(|r| r.vertices().into_iter().map(|v| Handle::Vertex(r.id, v)));
    vertices.filter_map(|handle| Some((handle, place(project, handle)?))).find(|(handle, start)| {
        [0.37, 4.0, 7.9].iter().all(|step| {
            let edit = drag_edit(project, *handle, *start + DVec3::splat(*step));
            edit.and_then(|e| apply(project, &e).ok()).is_some_and(|p| buildable(&p))
        })
    })
}

/// One step of a drag: the edit, the whole report with all gaps, and the scene.
fn drag_step(c: &mut Criterion) {
    for (name, project) in all_demos() {
        let Some((handle, start)) = draggable(&project) else { continue };
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
