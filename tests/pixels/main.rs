//! What the 3D view really looks like, drawn without a window.
//!
//! The pictures are kept under `target/tmp` for people to look at; the tests ask only what any driver must
//! get right.
#![expect(clippy::unwrap_used, clippy::print_stderr, reason = "tests")]

mod bench;
mod readme;
mod scans;
mod shot;
mod window;

use eframe::egui;
use egui_kittest::Harness;
use glam::{DVec2, DVec3};
use pipeloft::viewport::gl::{DrawFrame, GlView, paint_callback};
use pipeloft_core::view3d::{Camera, NamedView, Projection, Scene};
use pipeloft_tests::{GlowTestRenderer, headless::or_skip};
use std::sync::{Arc, Mutex};
use std::time::Instant;

const SIZE: [u32; 2] = [1280, 800];

struct Bench {
    view: Arc<Mutex<GlView>>,
    frame: DrawFrame,
    /// Where in the window it is drawn, points.
    rect: egui::Rect,
}

/// A window at a scale factor, with the view all over it.
fn harness(scene: Scene, scale: f32) -> Option<Harness<'static, Bench>> {
    let renderer = or_skip(GlowTestRenderer::new(SIZE[0], SIZE[1]))?;
    let view = Arc::new(Mutex::new(GlView::new(renderer.gl()).unwrap()));
    let frame =
        DrawFrame { scene: Arc::new(scene), camera: Camera::default(), dark: true, rect: egui::Rect::ZERO };
    let ui = |ui: &mut egui::Ui, bench: &mut Bench| {
        let frame = DrawFrame { rect: bench.rect, ..bench.frame.clone() };
        ui.painter().add(paint_callback(&bench.view, frame));
    };
    let points = egui::vec2(SIZE[0] as f32, SIZE[1] as f32) / scale;
    let rect = egui::Rect::from_min_size(egui::Pos2::ZERO, points);
    let builder = Harness::builder().with_size(points).with_pixels_per_point(scale).renderer(renderer);
    Some(builder.build_ui_state(ui, Bench { view, frame, rect }))
}

/// Draws and keeps the picture under the name.
fn picture(h: &mut Harness<'static, Bench>, name: &str) -> image::RgbaImage {
    h.step();
    let start = Instant::now();
    let picture = h.render().unwrap();
    eprintln!("{name}: {:?}", start.elapsed());
    let folder = concat!(env!("CARGO_TARGET_TMPDIR"), "/pixels");
    std::fs::create_dir_all(folder).unwrap();
    picture.save(format!("{folder}/{name}.png")).unwrap();
    picture
}

fn size() -> DVec2 {
    DVec2::new(SIZE[0].into(), SIZE[1].into())
}

/// The pixel at which a world point is drawn.
fn at(picture: &image::RgbaImage, camera: &Camera, point: DVec3) -> [u8; 3] {
    let (ui, _) = camera.ui_from_world(point, size()).unwrap();
    let [r, g, b, _] = picture.get_pixel(ui.x as u32, ui.y as u32).0;
    [r, g, b]
}

#[test]
fn every_kind_of_part_is_seen_in_both_themes_and_projections() {
    let scene = bench::scene();
    let (low, high) = (scene.low, scene.high);
    let Some(mut h) = harness(scene, 1.0) else { return };
    let views = [
        ("free", NamedView::Free),
        ("front", NamedView::Front),
        ("left", NamedView::Left),
        ("top", NamedView::Top),
    ];
    for dark in [true, false] {
        for projection in [Projection::Perspective, Projection::Parallel] {
            // the square views once: theme and projection change nothing in them
            let all = dark && projection == Projection::Perspective;
            for (name, view) in views.into_iter().take(if all { views.len() } else { 1 }) {
                let mut camera = Camera { projection, ..Camera::default() };
                camera.look_from(view);
                camera.fit(low, high, size());
                let bench = h.state_mut();
                (bench.frame.camera, bench.frame.dark) = (camera.clone(), dark);
                let theme = if dark { "dark" } else { "light" };
                let seen = picture(&mut h, &format!("{theme}_{projection:?}_{name}"));
                assert!(seen.pixels().all(|p| p.0[3] == 255), "the window must not show through");
                if view == NamedView::Free {
                    check_free_view(&seen, &camera);
                }
            }
        }
    }
}

/// Obstacles stand out from the background, and glows are told by their colour.
fn check_free_view(seen: &image::RgbaImage, camera: &Camera) {
    let bare = seen.get_pixel(3, SIZE[1] / 2).0;
    for (what, point) in bench::middles() {
        let pixel = at(seen, camera, point);
        let off: u32 = (0..3).map(|i| u32::from(pixel[i].abs_diff(bare[i]))).sum();
        assert!(off > 12, "{what} cannot be told from the background: {pixel:?}");
    }
    let [r, g, b] = at(seen, camera, bench::ON_SELECTED);
    assert!(r > g && g > b && r - b > 70, "selected is orange: {r} {g} {b}");
    let [r, g, b] = at(seen, camera, bench::ON_TOO_CLOSE);
    assert!(r > 150 && r / 2 > g && r / 2 > b, "too close is red: {r} {g} {b}");
}

#[test]
fn the_view_keeps_to_its_own_part_of_the_window_at_any_scale() {
    let Some(mut h) = harness(bench::scene(), 2.0) else { return };
    let rect = egui::Rect::from_min_size(egui::pos2(200.0, 50.0), egui::vec2(300.0, 200.0));
    let mut camera = Camera::default();
    let bench = h.state_mut();
    camera.fit(bench.frame.scene.low, bench.frame.scene.high, DVec2::new(300.0, 200.0));
    (bench.rect, bench.frame.camera) = (rect, camera.clone());
    let seen = picture(&mut h, "part_of_window");
    let bare = seen.get_pixel(5, 5);
    for (x, y, pixel) in seen.enumerate_pixels() {
        let inside = (400..1000).contains(&x) && (100..500).contains(&y);
        assert!(inside || pixel == bare, "drawn outside at {x} {y}");
    }
    let (ui, _) = camera.ui_from_world(bench::ON_TOO_CLOSE, DVec2::new(300.0, 200.0)).unwrap();
    let [r, g, _, _] = seen.get_pixel((ui.x * 2.0) as u32 + 400, (ui.y * 2.0) as u32 + 100).0;
    assert!(r / 2 > g, "what is too close is where the camera says");
}

#[test]
fn a_close_look_shows_seams_joint_and_open_end() {
    let Some(mut h) = harness(bench::scene(), 1.0) else { return };
    for (name, low, high, view, dark) in [
        ("joint", DVec3::new(-90.0, 40.0, 110.0), DVec3::new(120.0, 200.0, 230.0), NamedView::Free, true),
        ("bend", DVec3::new(-120.0, -60.0, 110.0), DVec3::new(20.0, 160.0, 230.0), NamedView::Free, false),
        ("ends", DVec3::new(600.0, 100.0, 0.0), DVec3::new(760.0, 440.0, 110.0), NamedView::Free, false),
        ("panel", DVec3::new(-300.0, -260.0, 0.0), DVec3::new(-40.0, 0.0, 210.0), NamedView::Front, false),
    ] {
        let mut camera = Camera::default();
        camera.look_from(view);
        camera.fit(low, high, size());
        let bench = h.state_mut();
        (bench.frame.camera, bench.frame.dark) = (camera, dark);
        let seen = picture(&mut h, &format!("close_{name}"));
        let colours: std::collections::BTreeSet<[u8; 4]> = seen.pixels().map(|p| p.0).collect();
        assert!(colours.len() > 500, "shading shows the form");
    }
}
