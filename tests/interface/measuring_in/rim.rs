//! Ports from points on their rim, typed and clicked.

use super::{PLACE, bench, can_enter, clear, near, open, selected, with_port};
use crate::bench::{Shop, same};
use eframe::egui::Key;
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Item, Shape};

/// Points at these degrees round a rim.
fn rim_points(centre: DVec3, axis: DVec3, radius: f64, degrees: &[f64]) -> Vec<DVec3> {
    let one = axis.cross(DVec3::new(0.3, -0.2, 0.9)).try_normalize().unwrap();
    let two = axis.cross(one);
    let at = |deg: &f64| centre + (one * deg.to_radians().cos() + two * deg.to_radians().sin()) * radius;
    degrees.iter().map(at).collect()
}

fn type_points(shop: &mut Shop, points: &[DVec3]) {
    for (i, p) in points.iter().enumerate() {
        if i >= 3 {
            shop.press("+ Add point");
        }
        for (axis, value) in ["X", "Y", "Z"].into_iter().zip(p.to_array()) {
            shop.fill(&format!("{axis} {}", i + 1), &value.to_string());
        }
    }
}

#[test]
fn a_rim_gives_centre_direction_and_the_size_in_stock() {
    let project = bench(&[]);
    let stock = project.tubes[0].od_mm;
    let axis = DVec3::new(0.6, 0.3, 0.5).try_normalize().unwrap();
    let points = rim_points(PLACE, axis, stock / 2.0 + 0.6, &[0.0, 100.0, 190.0, 280.0]);
    let mut shop = open(&project);
    shop.press("Points on a rim");
    assert!(!can_enter(&shop));
    type_points(&mut shop, &points);
    assert!(shop.has("The 4 points lie on the circle"));
    assert!(shop.has("the size in stock nearest to that"));
    shop.press("Enter it");
    let port = shop.project().hardpoints[0].clone();
    near(port.position_mm, PLACE, 1e-6);
    // the window opens on a view from ahead, the left and above: the axis that faces it
    near(port.direction, axis, 1e-7);
    assert_eq!(port.od_mm, stock);
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "one step");
}

#[test]
fn a_rim_turns_round_by_a_button_and_keeps_a_size_that_is_not_in_stock() {
    let mut project = bench(&[]);
    let item = with_port(&mut project, DVec3::new(100.0, 0.0, 0.0));
    let axis = DVec3::new(0.1, 0.8, 0.4).try_normalize().unwrap();
    let od = project.tubes[0].od_mm + 4.0;
    let mut shop = Shop::open(&project);
    shop.select("Turbo");
    shop.press("Measure in…");
    shop.press("Points on a rim");
    type_points(&mut shop, &rim_points(PLACE, axis, od / 2.0, &[0.0, 120.0, 240.0]));
    assert!(shop.has("Three points always lie on a circle"));
    shop.press("Turn the arrow round");
    assert!(shop.has("No tube in stock is within 1.50 mm"));
    shop.fill("Known diameter", "60");
    assert!(shop.has("where 60 mm is known"));
    clear(&mut shop, "Known diameter");
    shop.press("Enter it");
    let port = shop.project().hardpoints[0].clone();
    assert_eq!(Item::Hardpoint(port.id), item);
    near(port.position_mm, PLACE, 1e-6);
    near(port.direction, -axis, 1e-7);
    assert!((port.od_mm - od).abs() < 1e-6, "{}", port.od_mm);
    assert_eq!((port.name.as_str(), port.clock), ("Turbo", DVec3::Z), "the rest stays");
}

#[test]
fn a_rim_is_picked_by_clicks_in_the_view() {
    let mut project = bench(&[]);
    let (middle, radius) = (DVec3::new(200.0, 100.0, 50.0), 150.0);
    let ball = new_item::obstacle(&mut project, Shape::Sphere { diameter_mm: 2.0 * radius }, middle);
    project.obstacles.push(ball);
    let mut shop = open(&project);
    shop.press("Points on a rim");
    shop.press("Pick in the view");
    // a small circle of the ball about the line to the viewer: all of it can be seen
    let eye = shop.h.state().view().camera.eye();
    let axis = (eye - middle).try_normalize().unwrap();
    let (sin, cos) = 25_f64.to_radians().sin_cos();
    let points =
        rim_points(middle + axis * (radius * cos), axis, radius * sin, &[10.0, 90.0, 170.0, 250.0, 330.0]);
    for p in &points {
        let pos = shop.on_screen(*p);
        shop.click_at(pos);
    }
    assert!(shop.has("Point 5"));
    shop.press("Pick in the view");
    shop.press("Enter it");
    let port = shop.project().hardpoints[0].clone();
    near(port.position_mm, middle + axis * (radius * cos), 0.05);
    near(port.direction, axis, 1e-3);
    assert!((port.od_mm - 2.0 * radius * sin).abs() < 0.05 + 1.5, "{}", port.od_mm);
    assert!(
        selected(&shop).is_some_and(|i| matches!(i, Item::Hardpoint(_))),
        "clicks did not select the ball"
    );
}

#[test]
fn rim_points_in_one_line_make_no_rim() {
    let mut shop = open(&bench(&[]));
    shop.press("Points on a rim");
    type_points(&mut shop, &[0.0, 10.0, 25.0].map(|t| DVec3::new(t, 2.0 * t, 5.0)));
    assert!(shop.has("lie in one line, which no circle does"));
    assert!(!can_enter(&shop));
}
