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
use pipeloft_core::fab::nest::{Effort, SawRules, nest};
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::model::Project;
use pipeloft_core::report::{Report, margins};
use pipeloft_core::sheet::{PaperSize, pdf};
use pipeloft_core::space::scan::Scans;
use pipeloft_core::view3d::{Emphasis, build_scene};
use pipeloft_tests::GlowTestRenderer;
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{TUBE, shop};
use std::hint::black_box;

fn all_demos() -> Vec<(&'static str, Project)> {
    demos::ALL.iter().filter_map(|d| Some((d.file, d.open().ok()?))).collect()
}

/// The whole report: every run, every gap, every stick.
fn report(c: &mut Criterion) {
    for (name, project) in all_demos() {
        c.bench_function(&format!("report/{name}"), |b| b.iter(|| Report::new(black_box(&project))));
        c.bench_function(&format!("quick report/{name}"), |b| b.iter(|| Report::quick(black_box(&project))));
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
        let before = Report::quick(&project);
        c.bench_function(&format!("drag step/{name}"), |b| {
            b.iter(|| {
                step = (step + 0.37) % 8.0;
                let edit = drag_edit(&project, handle, start + DVec3::splat(step));
                let next = edit.and_then(|e| apply(&project, &e).ok());
                next.map(|p| {
                    let report = before.after(&project, &p, &Scans::default(), Effort::Quick);
                    let scene = build_scene(&p, &report, &Scans::default(), &Emphasis::default());
                    (report, scene)
                })
            });
        });
    }
}

/// The room along the longest run, as its colours need it.
fn room(c: &mut Criterion) {
    for (name, project) in all_demos() {
        let report = Report::quick(&project);
        let longest = report.runs.iter().max_by(|a, b| a.centreline_mm.total_cmp(&b.centreline_mm));
        let Some(id) = longest.map(|r| r.id) else { continue };
        let scans = Scans::default();
        c.bench_function(&format!("room/{name}"), |b| b.iter(|| margins(&project, &scans, &report, id)));
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
                    look_on: false,
                };
                App::new(cc, setup)
            });
            harness.render().ok()
        });
    });
    group.finish();
}

/// So many pieces: a third slices at two saw angles, a third straights with one such end, a third square; or only square
/// ones of 20 to 50 % of a stick, the hardest sizes to lay out.
fn pieces(count: u64, is_hard: bool) -> Vec<Piece> {
    let mut state = 5_u64;
    let mut below = |n: u64| {
        // Knuth's linear congruential generator, from memory
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) % n
    };
    (0..count)
        .map(|i| {
            let saw = [7.5, 11.25][below(2) as usize];
            let (length_mm, tilts) = match (is_hard, i % 3) {
                (true, _) => (600.0 + below(9000) as f64 / 10.0, [0.0, 0.0]),
                (false, 0) => (30.0 + below(2) as f64 * 15.5, [saw, saw]),
                (false, 1) => (60.0 + below(9000) as f64 / 10.0, [0.0, saw]),
                (false, _) => (60.0 + below(9000) as f64 / 10.0, [0.0, 0.0]),
            };
            let [start, end] = tilts.map(|deg: f64| Cut::tilted(deg.to_radians(), 0.0));
            Piece {
                mark: format!("A{i}"),
                key: None,
                kind: PieceKind::Straight,
                tube: TUBE,
                od_mm: 76.2,
                centre_mm: length_mm,
                start,
                end,
                bend: None,
                lobe_clock_rad: None,
                curves: [None, None],
            }
        })
        .collect()
}

/// Mitred pieces, nearly every end at a setting of its own: what makes the order on a stick hard.
fn own_settings(count: u64) -> Vec<Piece> {
    let mut dice = Dice(count);
    (0..count)
        .map(|i| {
            let [start, end] = [dice.between(1.0, 25.0), dice.between(1.0, 25.0)]
                .map(|deg: f64| Cut::tilted(deg.to_radians(), 0.0));
            let centre_mm = 80.0 + dice.below(5200) as f64 / 10.0;
            Piece { mark: format!("A{i}"), centre_mm, start, end, ..pieces(1, false).remove(0) }
        })
        .collect()
}

/// Pieces on sticks.
fn sticks(c: &mut Criterion) {
    let mut tube = shop(76.2, 1.65).tubes[0].clone();
    tube.stick_mm = 3000.0;
    let rules = SawRules { kerf_mm: 1.6, grip_mm: 120.0, first_trim_mm: 5.0 };
    let mut group = c.benchmark_group("sticks");
    group.sample_size(10);
    for (effort, counts) in
        [(Effort::Quick, &[20, 60, 100, 200, 400, 2000][..]), (Effort::Thorough, &[20, 60, 100, 400])]
    {
        for word in ["mixed", "hard", "own settings"] {
            for count in counts {
                let all = if word == "own settings" {
                    own_settings(*count)
                } else {
                    pieces(*count, word == "hard")
                };
                let all: Vec<&Piece> = all.iter().collect();
                group.bench_function(format!("{effort:?}/{word}/{count}"), |b| {
                    b.iter(|| nest(&tube, black_box(&all), &rules, effort));
                });
            }
        }
    }
    group.finish();
}

criterion_group!(benches, report, sticks, drag_step, room, sheet, first_frame);
criterion_main!(benches);
