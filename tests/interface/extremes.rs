//! Nothing at all, far too much, and small windows.

use crate::bench::{Shop, same};
use eframe::egui::{Key, Modifiers, vec2};
use glam::DVec3;
use pipeloft::demos;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{BendMake, Ends, Hardpoint, Project, RunEnd, Waypoint, WaypointId};
use pipeloft_core::units::UnitSystem;

/// `runs` pipes beside each other, each up and down over `bends` waypoints.
pub(crate) fn field_of_pipes(runs: usize, bends: usize) -> Project {
    let mut project = Project::new("Field", UnitSystem::Millimetre);
    let tube = new_item::tube(&mut project);
    project.tubes.push(tube);
    let make = BendMake::mitred(95.25, 2, Ends::Half);
    for i in 0..runs {
        let y = 200.0 * i as f64;
        let port = new_item::hardpoint(&mut project, DVec3::new(0.0, y, 0.0));
        let start = port.id;
        project.hardpoints.push(Hardpoint { direction: DVec3::X, ..port });
        let mut run = new_item::run(&mut project, start, None).unwrap();
        run.start_corner.make = make;
        run.start_corner.reach_mm = 200.0;
        for k in 0..bends {
            let id = WaypointId(project.fresh_id());
            let z = if k % 2 == 0 { 250.0 } else { 0.0 };
            let position_mm = DVec3::new(500.0 + 300.0 * k as f64, y, z);
            run.waypoints.push(Waypoint { id, position_mm, make });
        }
        let x = 500.0 + 300.0 * bends as f64;
        run.end = RunEnd::open(DVec3::new(x, y, 125.0));
        project.runs.push(run);
    }
    project
}

#[test]
fn an_empty_project_has_no_rough_edges() {
    let mut shop = Shop::open(&Project::new("Nothing", UnitSystem::InchFraction));
    assert!(shop.has("A run is one pipe."));
    for key in
        [Key::F, Key::Home, Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::P, Key::L, Key::H, Key::Delete]
    {
        shop.key(key);
    }
    shop.h.key_press_modifiers(Modifiers::SHIFT, Key::F);
    shop.run();
    assert_eq!(shop.undo_name(), None);
    shop.key(Key::R);
    assert!(shop.says().contains("Enter a size of tube first"), "{}", shop.says());
    shop.ctrl(Key::P);
    assert!(shop.says().contains("no sheet to print"), "{}", shop.says());
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Y);
    let camera = &shop.h.state().view().camera;
    assert!(camera.eye().is_finite() && camera.target.is_finite());
}

#[test]
fn a_pipe_can_be_drawn_from_nothing() {
    let mut shop = Shop::small();
    shop.ctrl(Key::N);
    assert_eq!(shop.title(), "Untitled – Pipeloft");
    shop.key(Key::R);
    assert!(shop.says().contains("enter one first"), "{}", shop.says());
    for (x, way) in [("0", "Forward"), ("900", "Back")] {
        shop.key(Key::A);
        shop.fill("X, forward", x);
        let buttons = shop.h.root();
        let turn = egui_kittest::kittest::Queryable::get_all_by_label(&buttons, way).next().unwrap().rect();
        shop.press_and_move(turn.center(), turn.center());
        shop.move_and_release(turn.center());
    }
    shop.key(Key::R);
    let project = shop.project();
    assert_eq!((project.hardpoints.len(), project.runs.len()), (2, 1));
    let report = shop.h.state().session().report();
    assert_eq!(report.totals.runs, 1, "{:?}", report.findings.iter().map(|f| &f.text).collect::<Vec<_>>());
    assert!(shop.has("Bend handle 1") || shop.has("Bend handle 2"), "it is in view");
}

#[test]
fn two_hundred_runs_of_twenty_bends_open_and_step() {
    let project = field_of_pipes(200, 20);
    let mut shop = Shop::open(&project);
    same(&shop.project(), &project, "all of it");
    let report = shop.h.state().session().report();
    assert_eq!(report.runs.len(), 200);
    assert!(report.runs[199].bends.len() >= 20);
    shop.run();
    shop.select("Run 200");
    assert!(shop.has("Bends (21)"));
    shop.key(Key::F);
}

#[test]
fn every_demo_stands_every_view_and_look() {
    for index in 0..demos::ALL.len() {
        let mut shop = Shop::demo(index);
        let before = shop.project();
        let keys = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::P, Key::L, Key::F, Key::L, Key::P];
        for key in keys {
            shop.key(key);
        }
        shop.menu(&["View", "Dark or light"]);
        shop.run();
        same(&shop.project(), &before, "looking changes nothing");
        assert!(!shop.is_starred());
    }
}

#[test]
fn turning_shifting_and_zooming_change_the_view_and_not_the_project() {
    use eframe::egui::{Event, MouseWheelUnit, PointerButton, TouchPhase};
    use egui_kittest::kittest::Queryable as _;
    let mut shop = Shop::small();
    let before = shop.project();
    let corner = shop.h.get_by_label("3D view").rect().left_bottom() + vec2(40.0, -40.0);
    for button in [PointerButton::Primary, PointerButton::Middle, PointerButton::Secondary] {
        let camera = shop.h.state().view().camera.clone();
        let press = |pos, pressed| Event::PointerButton { pos, button, pressed, modifiers: Modifiers::NONE };
        let to = corner + vec2(60.0, -30.0);
        shop.frame(&[Event::PointerMoved(corner)]);
        shop.frame(&[press(corner, true)]);
        shop.frame(&[Event::PointerMoved(to)]);
        shop.frame(&[press(to, false)]);
        shop.run();
        assert_ne!(shop.h.state().view().camera, camera, "{button:?}");
    }
    let far = shop.h.state().view().camera.distance_mm;
    shop.frame(&[Event::PointerMoved(corner)]);
    shop.frame(&[Event::MouseWheel {
        unit: MouseWheelUnit::Point,
        delta: vec2(0.0, 200.0),
        phase: TouchPhase::Move,
        source: eframe::egui::MouseWheelSource::Wheel,
        modifiers: Modifiers::NONE,
    }]);
    for _ in 0..30 {
        shop.h.step();
    }
    shop.run();
    assert!(shop.h.state().view().camera.distance_mm < far, "the wheel comes nearer");
    same(&shop.project(), &before, "looking changes nothing");
}
