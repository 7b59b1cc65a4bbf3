//! How much room there is: bodies that move, hot gaps, the list of gaps and the colours along the pipe.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Body, BodyId, Item, Movement, Obstacle, Project, Shape};

/// One pipe on an engine, and a bar on the chassis 40 mm below its first leg.
fn engine_bay() -> Project {
    let mut project = one_pipe();
    let id = BodyId(project.fresh_id());
    project.bodies.push(Body { id, name: "Engine".to_owned(), movement: Movement::default() });
    for port in &mut project.hardpoints {
        port.body = id;
    }
    let od = project.tubes[0].od_mm;
    let at = DVec3::new(120.0, 0.0, -od / 2.0 - 40.0 - 10.0);
    let bar = new_item::obstacle(&mut project, Shape::Capsule { diameter_mm: 20.0, length_mm: 400.0 }, at);
    let lies = pipeloft_core::model::Pose { position_mm: at, turn_deg: DVec3::new(90.0, 0.0, 0.0) };
    project.obstacles.push(Obstacle { gap_mm: 30.0, pose: lies, name: "Cross bar".to_owned(), ..bar });
    project
}

#[test]
fn an_engine_that_moves_brings_its_pipe_nearer_and_the_list_says_so() {
    let mut shop = Shop::open(&engine_bay());
    let gap = |shop: &Shop| {
        let report = shop.h.state().session().report();
        let bar = Item::Obstacle(shop.project().obstacles[0].id);
        report.clearance.iter().find(|c| c.other == bar).cloned().unwrap()
    };
    assert!((gap(&shop).gap_mm - 40.0).abs() < 0.01 && gap(&shop).ok);
    let before = shop.project();
    shop.fold_tree("Bodies");
    shop.select("Engine");
    shop.fill("Up and down", "15");
    assert_eq!(shop.project().bodies[1].movement.shift_mm, DVec3::new(0.0, 0.0, 15.0));
    // straight down onto the bar
    assert!((gap(&shop).gap_mm - 25.0).abs() < 0.1, "{:?}", gap(&shop));
    assert!((gap(&shop).as_drawn_mm - 40.0).abs() < 0.01);
    assert!(!gap(&shop).ok && gap(&shop).pose.contains("Engine 15.0 mm down"), "{}", gap(&shop).pose);
    let run = before.runs[0].name.clone();
    shop.select(&run);
    assert!(shop.has("With Engine 15.0 mm down"), "the problem names the position");
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step back");
    // rolling about a line along the vehicle through the chassis' middle
    shop.select("Engine");
    shop.choose("Roll", 0, "Rolls about a line");
    assert_eq!(shop.project().bodies[1].movement.roll.unwrap().turn_deg, 3.0);
    shop.fill("Turns by", "-2");
    assert!(shop.says().contains("The roll of Engine"), "{}", shop.says());
    shop.fill("Turns by", "2");
    shop.choose("Line runs", 0, "Left");
    shop.fill("Line passes X", "1000");
    let roll = shop.project().bodies[1].movement.roll.unwrap();
    assert_eq!((roll.turn_deg, roll.axis, roll.through_mm.x), (2.0, DVec3::Y, 1000.0));
    shop.choose("Roll", 0, "Does not roll");
    assert!(shop.project().bodies[1].movement.is_still());
}

#[test]
fn the_first_body_stands_still() {
    let mut shop = Shop::open(&engine_bay());
    shop.fold_tree("Bodies");
    shop.select("Chassis");
    assert!(shop.has("This body stands still"));
    assert!(!shop.has("Up and down"));
}

#[test]
fn a_row_of_the_gaps_shows_its_dimension_instead_of_the_tightest() {
    let mut project = engine_bay();
    let far = DVec3::new(120.0, -150.0, 0.0);
    let ball = new_item::obstacle(&mut project, Shape::Sphere { diameter_mm: 60.0 }, far);
    project.obstacles.push(Obstacle { gap_mm: 5.0, name: "Bottle".to_owned(), ..ball });
    let bottle = project.obstacles[1].id;
    let mut shop = Shop::open(&project);
    shop.fold("Gaps");
    shop.press_right("Bottle");
    let selection = shop.h.state().session().selection;
    assert_eq!(selection.against, Some(Item::Obstacle(bottle)));
    assert_eq!(selection.item, Some(Item::Run(project.runs[0].id)));
    // the whole project lists each pair once, the least margin first
    shop.key(Key::Escape);
    shop.fold("Gaps, least to spare first (2)");
    let bar = format!("{} and Cross bar", project.runs[0].name);
    shop.press(&bar);
    let against = shop.h.state().session().selection.against;
    assert_eq!(against, Some(Item::Obstacle(project.obstacles[0].id)));
}

#[test]
fn an_obstacle_that_heat_harms_has_a_hot_gap_of_its_own() {
    let mut shop = Shop::open(&engine_bay());
    shop.select("Cross bar");
    assert!(!shop.has("Gap of hot pipes"));
    shop.press_box("Heat harms it");
    shop.fill("Gap of hot pipes", "120");
    assert_eq!(shop.project().obstacles[0].hot_gap_mm, Some(120.0));
    shop.fill("Gap of hot pipes", "75");
    assert_eq!(shop.project().obstacles[0].hot_gap_mm, None, "that of the settings");
}

#[test]
fn the_colours_along_the_pipe_can_be_switched() {
    let mut shop = Shop::open(&engine_bay());
    let before = shop.project();
    shop.click("Room");
    shop.key(Key::G);
    same(&shop.project(), &before, "a look, not a change");
    assert_eq!(shop.undo_name(), None);
}
