//! A hardpoint from a scan, in a real window.

use crate::SIZE;
use crate::desk::Desk;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, pos2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use glam::{DVec2, DVec3};
use pipeloft::{App, Setup};
use pipeloft_core::edit::new_item;
use pipeloft_core::file::{load, save};
use pipeloft_core::model::{Pose, Project, ScanFile, Shape};
use pipeloft_core::space::scan::{ScanState, Unwatched, fingerprint};
use pipeloft_core::units::UnitSystem;
use pipeloft_tests::scans::{BLOCK, MOUTH, STUB_OD, engine, on_rim, stl};
use std::path::Path;
use std::time::{Duration, Instant};

/// Where the engine stands in the vehicle.
fn pose() -> Pose {
    Pose { position_mm: DVec3::new(900.0, -150.0, 240.0), turn_deg: DVec3::new(4.0, -7.0, 25.0) }
}

/// A project with nothing but a size of tube and the engine as a scan, in files of their own.
fn written(folder: &Path) -> Project {
    let scan = folder.join("engine.stl");
    std::fs::write(&scan, stl(&engine())).unwrap();
    let print = fingerprint(&scan, &Unwatched).unwrap();
    let mut project = Project::new("Bay", UnitSystem::Millimetre);
    let tube = new_item::tube(&mut project);
    project.tubes.push(tube);
    let shape = Shape::Scan(ScanFile {
        path: "engine.stl".to_owned(),
        bytes: print.bytes,
        sha256: print.to_string().split_once(':').unwrap().1.to_owned(),
        mm_per_unit: 1.0,
        low_mm: DVec3::ZERO,
        high_mm: DVec3::new(MOUTH.x, BLOCK.y, BLOCK.z),
        keep: None,
    });
    let mut obstacle = new_item::obstacle(&mut project, shape, DVec3::ZERO);
    (obstacle.name, obstacle.pose) = ("engine".to_owned(), pose());
    project.obstacles.push(obstacle);
    save(&folder.join("bay.ron"), &project).unwrap();
    project
}

/// The same window without a screen, in which the hand goes first: it tells where things are.
struct Rehearsal(Harness<'static, App>);

impl Rehearsal {
    fn open(file: &Path) -> Self {
        let setup = Setup { open: Some(file.to_owned()), ..Setup::default() };
        let size = SIZE.map(|s| s as f32);
        let h = Harness::builder().with_size(size).with_max_steps(10).build_eframe(|cc| App::new(cc, setup));
        let mut rehearsal = Self(h);
        let begin = Instant::now();
        while !rehearsal.is_read() {
            assert!(begin.elapsed() < Duration::from_mins(1), "the scan is never read");
            std::thread::sleep(Duration::from_millis(20));
            rehearsal.0.run();
        }
        rehearsal
    }

    fn is_read(&self) -> bool {
        let session = self.0.state().session();
        let scans = pipeloft_core::space::scan::scans_of(session.project());
        scans.into_iter().all(|(_, scan)| matches!(session.scans().state(scan), Some(ScanState::Ready(_))))
    }

    /// Clicks, and tells where.
    fn click(&mut self, at: Pos2) -> [i32; 2] {
        // a mouse is on whole pixels
        let pos = at.round();
        let button = |pressed| {
            let modifiers = Modifiers::NONE;
            Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers }
        };
        for event in [Event::PointerMoved(pos), button(true), button(false)] {
            self.0.input_mut().events.push(event);
            self.0.step();
        }
        self.0.run();
        [pos.x as i32, pos.y as i32]
    }

    fn press(&mut self, label: &str) -> [i32; 2] {
        let is_it = |node: &Node<'_>| node.accesskit_node().label().is_some_and(|l| l == label);
        let found = self.0.get_all_by_role(Role::Button).find(is_it);
        let at = found.unwrap_or_else(|| panic!("no “{label}”")).rect().center();
        self.click(at)
    }

    fn click_on(&mut self, place: DVec3) -> [i32; 2] {
        let view = self.0.get_by_label("3D view").rect();
        let size = DVec2::new(f64::from(view.width()), f64::from(view.height()));
        let (at, _) = self.0.state().view().camera.ui_from_world(place, size).unwrap();
        self.click(pos2(view.left() + at.x as f32, view.top() + at.y as f32))
    }
}

#[test]
fn three_clicks_round_a_rim_of_a_scan_make_a_hardpoint_where_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let original = written(folder.path());
    let file = folder.path().join("bay.ron");
    let mut rehearsal = Rehearsal::open(&file);
    let row = rehearsal.press("engine");
    rehearsal.0.key_press_modifiers(Modifiers::SHIFT, Key::F);
    rehearsal.0.run();
    let pick = rehearsal.press("Pick a rim…");
    // a mouse stands off the edge by half a pixel: a little further in there is still the mouth
    let rim = |clock_deg: f64| pose().world_from_own(on_rim(clock_deg) * 0.995 + MOUTH * 0.005);
    let points = [75.0, 195.0, 315.0].map(|clock_deg| rehearsal.click_on(rim(clock_deg)));
    let make = rehearsal.press("Make a hardpoint");

    let Some(mut desk) = Desk::open(&file, SIZE) else { return };
    desk.wait_for_star(false);
    desk.pause();
    desk.click(row);
    desk.key("shift+f");
    desk.pause();
    desk.click(pick);
    for point in points {
        desk.click(point);
    }
    desk.picture("rim");
    desk.click(make);
    desk.wait_for_star(true);
    desk.pause();
    desk.picture("hardpoint");
    desk.key("ctrl+s");
    desk.wait_for_star(false);

    let saved = load(&file).unwrap();
    let port = saved.hardpoints.last().unwrap();
    let centre = pose().world_from_own(MOUTH);
    // a pixel is about a millimetre here, and so is what three clicks may be off
    assert!(port.position_mm.distance(centre) < 1.0, "{} is not {centre}", port.position_mm);
    let axis = pose().rotation() * DVec3::X;
    assert!(port.direction.distance(axis) < 1e-3, "{} is not {axis}", port.direction);
    assert!((port.od_mm - STUB_OD).abs() < 1e-9, "{}", port.od_mm);
    assert!(saved.obstacles == original.obstacles, "the scan stays as it was");
    assert_eq!((saved.hardpoints.len(), saved.runs.len()), (1, 0));
}
