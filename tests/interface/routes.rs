//! The program proposes routes: a list to choose from, taken as one step; cures for a run; what is said where there is none.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::obstacle::{Pose, Shape};
use pipeloft_core::model::{BodyId, Obstacle, Project};
use std::time::{Duration, Instant};

/// One pipe with a block in its way, that belongs to no part it is fixed to.
fn blocked() -> Project {
    let mut project = one_pipe();
    "Boost pipe".clone_into(&mut project.runs[0].name);
    let [from, to] = [0, 1].map(|i| project.hardpoints[i].position_mm);
    let new = new_item::obstacle(&mut project, Shape::Box { size_mm: DVec3::splat(90.0) }, from.midpoint(to));
    let body = new_item::body(&mut project);
    let id = body.id;
    project.bodies.push(body);
    let vertex = pipeloft_core::report::Report::quick(&project).runs[0].vertices_mm.clone();
    let on_pipe = vertex[1].midpoint(vertex[2]);
    project.obstacles.push(Obstacle {
        name: "Block".to_owned(),
        gap_mm: 10.0,
        body: id,
        pose: Pose::at(on_pipe),
        ..new
    });
    project
}

fn is_clear(shop: &Shop) -> bool {
    shop.h.state().session().report().clearance.iter().all(|c| c.ok)
}

/// Lets the search in its thread come to its end.
fn wait(shop: &mut Shop) {
    let begun = Instant::now();
    loop {
        std::thread::sleep(Duration::from_millis(20));
        shop.h.step();
        shop.h.step();
        if !shop.has("Looking, ") {
            return;
        }
        assert!(begun.elapsed() < Duration::from_mins(4), "the search never ends");
    }
}

#[test]
fn routes_are_found_ranked_and_taken_as_one_step() {
    let mut shop = Shop::open(&blocked());
    let before = shop.project();
    assert!(!is_clear(&shop), "drawn by hand it runs into the block");
    shop.select("Boost pipe");
    shop.press("Find routes…");
    shop.press("Look for routes");
    wait(&mut shop);
    assert!(shop.has("Route 1") && shop.has("Tightest gap "), "a route is listed with its tightest gap");
    same(&shop.project(), &before, "nothing is changed by looking");
    shop.press("Show route 1");
    shop.press("Take route 1");
    assert!(is_clear(&shop));
    assert_eq!(shop.undo_name().as_deref(), Some("take a route for Boost pipe"));
    assert_ne!(shop.project().runs[0].waypoints, before.runs[0].waypoints);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step");
}

#[test]
fn a_run_is_mended_from_the_menu_as_one_step() {
    let mut project = blocked();
    // it only comes a little too near
    project.obstacles[0].pose.position_mm.z += 55.0 + project.tubes[0].od_mm / 2.0;
    project.obstacles[0].gap_mm = 20.0;
    let mut shop = Shop::open(&project);
    assert!(!is_clear(&shop));
    shop.select("Boost pipe");
    shop.menu(&["Edit", "Mend this run…"]);
    wait(&mut shop);
    shop.press("Take route 1");
    assert!(is_clear(&shop));
    assert_eq!(shop.undo_name().as_deref(), Some("mend Boost pipe"));
}

#[test]
fn bends_are_tidied_to_angles_the_saw_makes() {
    let mut shop = Shop::small();
    let run = shop.project().runs[0].clone();
    shop.select(&run.name);
    shop.press("Tidy bends…");
    wait(&mut shop);
    shop.press("Take route 1");
    assert_eq!(shop.undo_name(), Some(format!("tidy the bends of {}", run.name)));
    let session = shop.h.state().session();
    let step_deg = shop.project().settings.saw.step_deg;
    for bend in &session.report().run(run.id).unwrap().bends {
        let steps = bend.saw_angle_deg.unwrap() / step_deg;
        assert!((steps - steps.round()).abs() < 1e-4, "{bend:?}");
    }
    let ends = |r: &pipeloft_core::model::Run| (r.start, r.id);
    assert_eq!(ends(&shop.project().runs[0]), ends(&run));
}

#[test]
fn where_there_is_no_route_it_is_said_what_is_in_the_way() {
    let mut project = blocked();
    let body = BodyId(project.obstacles[0].body.0);
    let port = project.hardpoints[0].clone();
    let out = port.direction.try_normalize().unwrap();
    project.obstacles[0].name = "Bracket".to_owned();
    project.obstacles[0].body = body;
    project.obstacles[0].pose.position_mm = port.position_mm + out * 60.0;
    let mut shop = Shop::open(&project);
    shop.select("Boost pipe");
    shop.press("Find routes…");
    shop.press("Look for routes");
    wait(&mut shop);
    assert!(shop.has("There cannot be a route") && shop.has("Bracket"));
    assert!(!shop.has("Take route 1"));
}
