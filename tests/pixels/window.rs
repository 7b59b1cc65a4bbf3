//! Pictures of the whole window, 3D view included, on each worked example.

use crate::shot;
use eframe::egui::accesskit::Role;
use eframe::egui::{self, Key, Modifiers, Pos2, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use image::RgbaImage;
use pipeloft::{App, Setup, demos};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::{Item, RunId};
use pipeloft_tests::GlowTestRenderer;
use pipeloft_tests::headless::or_skip;
use std::collections::BTreeSet;

const SIZE: [f32; 2] = [1480.0, 900.0];

/// A window on a worked example, drawn at a scale factor.
pub(crate) struct Window {
    pub(crate) h: Harness<'static, App>,
    scale: f32,
    _folder: tempfile::TempDir,
}

impl Window {
    pub(crate) fn new(demo: usize, size: [f32; 2], scale: f32) -> Option<Self> {
        let pixels = size.map(|s| (s * scale) as u32);
        let renderer = or_skip(GlowTestRenderer::new(pixels[0], pixels[1]))?;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(demos::ALL[demo].file);
        pipeloft_core::file::save(&path, &demos::ALL[demo].open().unwrap()).unwrap();
        let setup = Setup { open: Some(path), ..Setup::default() };
        let builder = Harness::builder().with_size(size).with_max_steps(10).with_pixels_per_point(scale);
        let h = builder.renderer(renderer).build_eframe(|cc| App::new(cc, setup));
        Some(Self { h, scale, _folder: folder })
    }

    fn picture(&mut self, name: &str) -> RgbaImage {
        self.h.run();
        shot::keep(&self.h.render().unwrap(), name)
    }

    fn select(&mut self, item: &str) {
        let row = self.h.get_all_by_role(Role::Button).find(|node| {
            let label = node.accesskit_node().label().unwrap_or_default();
            node.rect().right() < 320.0 && label.trim_start_matches(['✖', '⚠', ' ']).trim_end() == item
        });
        row.unwrap_or_else(|| panic!("no row “{item}”")).click_accesskit();
        self.h.run();
    }

    /// The 3D view, points.
    fn view(&self) -> Rect {
        self.h.get_by_label("3D view").rect()
    }

    /// Where in the window a world point is seen, points; only well inside the view.
    fn at(&self, point: DVec3) -> Option<Pos2> {
        let view = self.h.state().view();
        let (ui, _) = view.camera.ui_from_world(point, view.size())?;
        let rect = self.view();
        let pos = rect.min + egui::vec2(ui.x as f32, ui.y as f32);
        rect.shrink(6.0).contains(pos).then_some(pos)
    }

    fn pixel(&self, picture: &RgbaImage, pos: Pos2) -> [u8; 3] {
        let [r, g, b, _] = picture.get_pixel((pos.x * self.scale) as u32, (pos.y * self.scale) as u32).0;
        [r, g, b]
    }

    /// All pixels within `reach` points.
    fn near(&self, picture: &RgbaImage, pos: Pos2, reach: f32) -> Vec<[u8; 3]> {
        let steps = (reach * self.scale) as i32;
        let all = (-steps..=steps).flat_map(|x| (-steps..=steps).map(move |y| (x, y)));
        all.map(|(x, y)| self.pixel(picture, pos + egui::vec2(x as f32, y as f32) / self.scale)).collect()
    }

    fn colours_in_view(&self, picture: &RgbaImage) -> usize {
        let rect = self.view() * self.scale;
        let inside =
            picture.enumerate_pixels().filter(|(x, y, _)| rect.contains(egui::pos2(*x as f32, *y as f32)));
        inside.map(|(_, _, p)| p.0).collect::<BTreeSet<_>>().len()
    }

    /// Middles of the pieces of a run.
    fn middles(&self, run: RunId) -> Vec<DVec3> {
        let report = self.h.state().session().report();
        let frames = report.run(run).map_or(&[][..], |r| &r.built.frames);
        frames.iter().map(|(a, b)| a.origin.midpoint(b.origin)).collect()
    }
}

/// The examples whose pipes have room round them in colours and something to solve; the fourth is about shaped ends: its
/// first pipe is short, and nothing is wrong with it.
const WITH_PROBLEMS: usize = 3;

/// Red as what is too close glows.
fn is_red([r, g, b]: [u8; 3]) -> bool {
    r > 140 && u32::from(r) > 2 * u32::from(g.max(b)) - u32::from(g.max(b)) / 3
}

/// Orange as what is selected glows.
fn is_orange([r, g, b]: [u8; 3]) -> bool {
    r > 110 && r > g && g > b && r - b > 60
}

/// Bare metal of any kind in light or shade: hardly any colour, and brighter than the background.
fn is_metal([r, g, b]: [u8; 3]) -> bool {
    let (most, least) = (r.max(g).max(b), r.min(g).min(b));
    most > 70 && most - least < 60
}

#[test]
fn the_pipes_of_every_example_are_seen_as_metal() {
    for (index, demo) in demos::ALL.iter().enumerate() {
        let Some(mut window) = Window::new(index, SIZE, 1.0) else { return };
        // nothing selected, so that no pipe glows
        window.h.key_press(Key::Escape);
        let picture = window.picture(&format!("window_{index}_none"));
        let colours = window.colours_in_view(&picture);
        assert!(colours > 1000, "{}: only {colours} colours", demo.title);
        let runs: Vec<RunId> = window.h.state().session().project().runs.iter().map(|r| r.id).collect();
        let (mut seen, mut all) = (0, 0);
        for run in runs {
            for middle in window.middles(run) {
                let Some(pos) = window.at(middle) else { continue };
                all += 1;
                let near = window.near(&picture, pos, 4.0);
                seen += usize::from(
                    near.iter().filter(|p| is_metal(**p) || is_red(**p)).count() * 3 > near.len(),
                );
            }
        }
        assert!(all > 10, "{}: only {all} pieces are in the opening view", demo.title);
        // some lie behind the engine
        assert!(seen * 2 > all, "{}: {seen} of {all} pieces look like metal", demo.title);
    }
}

#[test]
fn the_selected_run_shows_its_way_and_its_handles() {
    for index in 0..WITH_PROBLEMS {
        let Some(mut window) = Window::new(index, SIZE, 1.0) else { return };
        let id = window.h.state().session().project().runs[0].id;
        assert_eq!(window.h.state().session().selection.item, Some(Item::Run(id)));
        // the room along the pipe as the colour of its middle: green, amber or red
        let coloured = window.picture(&format!("window_{index}_room"));
        window.h.key_press(Key::G);
        let picture = window.picture(&format!("window_{index}_selected"));
        let differ =
            |p: &eframe::egui::Pos2| window.near(&coloured, *p, 3.0) != window.near(&picture, *p, 3.0);
        let middles = window.middles(id).into_iter().filter_map(|m| window.at(m)).filter(differ).count();
        assert!(middles > 2, "{index}: {middles} pieces have their room as a colour");
        window.h.key_press(Key::Escape);
        let without = window.picture(&format!("window_{index}_none"));
        let orange = |window: &Window, picture: &RgbaImage| {
            let spots = window.middles(id).into_iter().filter_map(|m| window.at(m)).collect::<Vec<_>>();
            spots.iter().filter(|p| window.near(picture, **p, 3.0).iter().any(|c| is_orange(*c))).count()
        };
        let (on, off) = (orange(&window, &picture), orange(&window, &without));
        assert!(on > off && on > 2, "{index}: {on} pieces have the orange line, {off} when not selected");
        window.select(&window.h.state().session().project().runs[0].name.clone());
        window.h.key_press_modifiers(Modifiers::SHIFT, Key::F);
        let close = window.picture(&format!("window_{index}_close"));
        let handles: Vec<Rect> = {
            let all = window.h.query_all_by_label_contains("Bend handle");
            all.map(|n| n.rect()).collect()
        };
        assert!(handles.len() >= 2, "{index}");
        for rect in handles {
            let colours: BTreeSet<_> = window.near(&close, rect.center(), 10.0).into_iter().collect();
            let ink = colours.iter().filter(|c| c.iter().all(|v| *v > 215)).count();
            assert!(ink > 0, "{index}: no ring at {rect:?}");
        }
    }
}

#[test]
fn a_piece_picked_in_the_table_glows_orange_in_the_view() {
    let Some(mut window) = Window::new(0, SIZE, 1.0) else { return };
    window.h.key_press_modifiers(Modifiers::SHIFT, Key::F);
    let before = window.picture("piece_none");
    let session = window.h.state().session();
    let id = session.project().runs[0].id;
    // the longest straight has room beside its labels
    let pieces = &session.report().run(id).unwrap().pieces;
    let straights = pieces.iter().enumerate().filter(|(_, p)| p.kind.name() == "straight");
    let (index, piece) = straights.max_by(|a, b| a.1.long_mm.total_cmp(&b.1.long_mm)).unwrap();
    let mark = piece.mark.clone();
    window.h.get_by_role_and_label(Role::Button, &mark).click_accesskit();
    let after = window.picture("piece_selected");
    let pos = window.at(window.middles(id)[index]).unwrap();
    let count = |p: &RgbaImage| window.near(p, pos, 12.0).into_iter().filter(|c| is_orange(*c)).count();
    assert!(count(&after) > count(&before) + 150, "{} and {} orange pixels", count(&after), count(&before));
}

#[test]
fn what_is_too_close_glows_red_at_its_place() {
    let mut looked_at = 0;
    for index in 0..WITH_PROBLEMS {
        let Some(mut window) = Window::new(index, SIZE, 1.0) else { return };
        let report = window.h.state().session().report().clone();
        let close: Vec<_> = report.clearance.iter().filter(|c| !c.ok).collect();
        for (n, gap) in close.iter().enumerate() {
            window.select(&gap.run);
            // the buttons stand in the order of the run's findings
            let place = report
                .findings_of(gap.run_id)
                .position(|f| format!("{}{}", f.lead(), f.text).contains(&gap.against))
                .unwrap();
            window.h.get_all_by_role_and_label(Role::Button, "Show").nth(place).unwrap().click_accesskit();
            window.h.run();
            let selected = window.picture(&format!("close_{index}_{n}_selected"));
            window.h.key_press(Key::Escape);
            let picture = window.picture(&format!("close_{index}_{n}"));
            let Some(pos) = window.at(gap.run_point_mm) else { continue };
            let red = |picture: &RgbaImage| {
                window.near(picture, pos, 60.0).into_iter().filter(|p| is_red(*p)).count()
            };
            assert!(
                red(&picture) > 40,
                "{}: {} red pixels round the gap to {}",
                gap.run,
                red(&picture),
                gap.against
            );
            assert!(red(&selected) > 10, "{}: selected, the problem must still be seen", gap.run);
            looked_at += 1;
        }
        assert!(
            report.findings.iter().any(|f| f.severity != Severity::Note),
            "{index} leaves nothing to solve"
        );
    }
    assert!(looked_at >= 2, "{looked_at} gaps were looked at");
}

#[test]
fn twice_the_pixels_show_the_same_window() {
    let Some(mut one) = Window::new(0, SIZE, 1.0) else { return };
    let Some(mut two) = Window::new(0, SIZE, 2.0) else { return };
    let (small, large) = (one.picture("scale_1"), two.picture("scale_2"));
    assert_eq!((large.width(), large.height()), (2 * small.width(), 2 * small.height()));
    assert!((one.view().min - two.view().min).length() < 1.5, "{:?} {:?}", one.view(), two.view());
    let shrunk = image::imageops::resize(&large, small.width(), small.height(), image::imageops::Triangle);
    let rect = one.view();
    let mut far = 0_u32;
    let mut all = 0_u32;
    for (x, y, p) in small.enumerate_pixels() {
        if rect.contains(egui::pos2(x as f32, y as f32)) {
            let q = shrunk.get_pixel(x, y);
            let off = (0..3).map(|i| u32::from(p.0[i].abs_diff(q.0[i]))).max().unwrap_or(0);
            far += u32::from(off > 60);
            all += 1;
        }
    }
    assert!(far * 20 < all, "{far} of {all} pixels of the view differ");
}

#[test]
fn a_small_window_shows_pipes_too() {
    for index in 0..demos::ALL.len() {
        let Some(mut window) = Window::new(index, [1024.0, 640.0], 1.0) else { return };
        let picture = window.picture(&format!("small_{index}"));
        assert!(window.colours_in_view(&picture) > 500, "{index}");
        let view = window.view();
        assert!(view.width() > 300.0, "{index}: the 3D view is left with {view:?}");
    }
}

#[test]
fn the_light_look_is_drawn_all_over() {
    let Some(mut window) = Window::new(0, SIZE, 1.0) else { return };
    let dark = window.picture("look_dark");
    window.h.get_by_role_and_label(Role::Button, "View").click();
    window.h.run();
    window.h.get_by_label_contains("Dark or light").click();
    let light = window.picture("look_light");
    let mean = |p: &RgbaImage| {
        p.pixels().map(|p| u64::from(p.0[1])).sum::<u64>() / u64::from(p.width() * p.height())
    };
    assert!(mean(&light) > mean(&dark) + 60, "{} and {}", mean(&light), mean(&dark));
}
