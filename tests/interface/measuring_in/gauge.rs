//! Directions from angle gauges.

use super::{bench, can_enter, is_on, near, open, with_port};
use crate::bench::{Shop, same};
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::model::Project;

fn gauge_shop() -> (Shop, Project) {
    let mut project = bench(&[]);
    with_port(&mut project, DVec3::new(500.0, 40.0, 300.0));
    let mut shop = Shop::open(&project);
    shop.select("Turbo");
    shop.press("Measure in…");
    shop.press("Gauge angles");
    (shop, project)
}

#[test]
fn slope_and_heading_turn_a_hardpoint() {
    let (mut shop, project) = gauge_shop();
    assert!(shop.has("Enter both angles."));
    shop.fill("Slope", "20");
    shop.fill("Heading", "35");
    shop.press("Enter it");
    let (slope, heading) = (20_f64.to_radians(), 35_f64.to_radians());
    let want = DVec3::new(slope.cos() * heading.cos(), slope.cos() * heading.sin(), slope.sin());
    let port = shop.project().hardpoints[0].clone();
    near(port.direction, want, 1e-9);
    assert_eq!(port.position_mm, project.hardpoints[0].position_mm);
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "one step");
}

#[test]
fn two_views_turn_a_hardpoint() {
    let (mut shop, _) = gauge_shop();
    shop.press("By two views");
    shop.fill("From the side", "20");
    shop.fill("From above", "145");
    assert!(shop.has("forward in one view and backward in the other") && !can_enter(&shop));
    shop.fill("From above", "35");
    shop.press("Enter it");
    let want = DVec3::new(1.0, 35_f64.to_radians().tan(), 20_f64.to_radians().tan()).try_normalize().unwrap();
    near(shop.project().hardpoints[0].direction, want, 1e-9);
}

#[test]
fn angles_to_two_lines_leave_a_choice_of_two_directions() {
    let (mut shop, _) = gauge_shop();
    let want = DVec3::new(0.48, -0.6, 0.64);
    assert!((want.length() - 1.0).abs() < 1e-12);
    shop.press("By two lines");
    shop.fill("Angle to line 1", &format!("{}", want.x.acos().to_degrees()));
    shop.fill("Angle to line 2", &format!("{}", want.z.acos().to_degrees()));
    // lines forward and up: the two answers are left and right of them
    assert!(shop.has("Choose which of the two directions it is.") && !can_enter(&shop));
    shop.press("The one that points further left");
    assert!(can_enter(&shop));
    let mark = "The one that points further right, in the 3D view";
    shop.h.get_by_role_and_label(Role::RadioButton, mark).click();
    shop.run();
    assert!(is_on(&shop, "The one that points further right"));
    shop.press("Enter it");
    near(shop.project().hardpoints[0].direction, want, 1e-6);
}

#[test]
fn lines_that_run_one_way_are_refused_and_a_gauge_needs_a_hardpoint() {
    let (mut shop, _) = gauge_shop();
    shop.press("By two lines");
    shop.fill("Angle to line 1", "10");
    shop.fill("Angle to line 2", "20");
    assert!(shop.has("No direction makes both angles") && !can_enter(&shop));
    shop.choose("Line 2", 0, "Forward");
    assert!(shop.has("too nearly one direction to measure from"));
    let bare = open(&bench(&[]));
    assert!(bare.button("Gauge angles").accesskit_node().is_disabled());
}
