//! The room round a joint's lobe, and taking a section off.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::obstacle::{Pose, Shape};
use pipeloft_core::model::{
    Attachment, Fitting, FittingId, JointKind, JointStyle, Lobe, Obstacle, Project, RunEnd, Vertex,
};
use pipeloft_core::report::lobes::{LobeRoom, lobe_room};
use pipeloft_core::space::scan::Scans;
use std::time::{Duration, Instant};

/// One pipe in the open with a coupler at its start and one on its first leg, and a plate over that.
fn coupled() -> Project {
    let mut project = one_pipe();
    let new = new_item::joint(&mut project);
    let od = project.tubes[0].od_mm;
    let joint = JointKind {
        name: "Coupler".to_owned(),
        style: JointStyle::ClampCoupler,
        od_mm: od,
        make_up_mm: 20.0,
        body_od_mm: od + 20.0,
        body_width_mm: 20.0,
        lobe: Some(Lobe { width_mm: 20.0, reach_mm: od / 2.0 + 30.0, length_mm: 20.0 }),
        tool: None,
        hose: None,
        welded: true,
        ..new
    };
    let id = joint.id;
    project.joints.push(joint);
    project.hardpoints[0].attachment = Attachment::Joint { joint: id, lobe_clock_deg: 0.0 };
    let run = &mut project.runs[0];
    let end = project.hardpoints[1].position_mm;
    run.end = RunEnd::open(end);
    "Boost pipe".clone_into(&mut run.name);
    run.start_corner.reach_mm = 420.0;
    let fitting =
        Fitting { id: FittingId(project.next_id), joint: id, leg: 0, station_mm: 150.0, lobe_clock_deg: 0.0 };
    run.fittings.push(fitting);
    project.next_id += 1;
    let plate = new_item::obstacle(
        &mut project,
        Shape::Box { size_mm: DVec3::new(200.0, 400.0, 10.0) },
        DVec3::new(150.0, 0.0, od / 2.0 + 40.0),
    );
    let plate =
        Obstacle { name: "Plate".to_owned(), gap_mm: 8.0, pose: Pose::at(plate.pose.position_mm), ..plate };
    project.obstacles.push(plate);
    project
}

/// Piece of the joint on the first leg.
fn on_leg(shop: &Shop) -> usize {
    let session = shop.h.state().session();
    let run = &shop.project().runs[0];
    let built = &session.report().run(run.id).unwrap().built;
    pipeloft_core::fab::face::fitting_piece(built, &run.fittings[0]).unwrap()
}

fn room(shop: &Shop) -> LobeRoom {
    let (session, project) = (shop.h.state().session(), shop.project());
    lobe_room(&project, &Scans::default(), session.report(), project.runs[0].id, on_leg(shop)).unwrap()
}

fn is_free_now(shop: &Shop) -> bool {
    room(shop).is_free_now()
}

/// Lets the search in its thread come to its end.
fn wait(shop: &mut Shop, until: impl Fn(&Shop) -> bool) {
    let begun = Instant::now();
    while !until(shop) {
        assert!(begun.elapsed() < Duration::from_mins(2), "the search never ends");
        std::thread::sleep(Duration::from_millis(20));
        shop.h.step();
    }
}

fn open_take_off(shop: &mut Shop) {
    shop.select("Boost pipe");
    shop.press("Take it off…");
    assert!(shop.has("Find the way out"));
}

#[test]
fn a_joint_shows_its_room_and_turns_to_the_clearest_place_in_one_step() {
    let mut shop = Shop::open(&coupled());
    let before = shop.project();
    shop.select("Boost pipe");
    assert!(!shop.has("Turn it to the clearest place"), "only where it is asked for");
    shop.press("Show its room");
    let session = shop.h.state().session();
    assert_eq!(session.selection.piece_index(session.report()), Some(on_leg(&shop)));
    assert!(shop.has("Free from ") && shop.has("Where it is now, at 0°, it has no room."));
    assert!(!is_free_now(&shop));
    shop.press("Turn it to the clearest place");
    assert!(is_free_now(&shop) && shop.has("it has room."));
    assert_eq!(shop.undo_name().as_deref(), Some("turn lobe"));
    let deg = shop.project().runs[0].fittings[0].lobe_clock_deg;
    assert!((90.0..270.0).contains(&deg), "away from the plate over it: {deg}");
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step");
}

#[test]
fn a_lobe_turns_to_the_eye_where_there_is_room_and_it_is_said_where_there_is_none() {
    let mut shop = Shop::open(&coupled());
    shop.select("Boost pipe");
    shop.press("Show its room");
    // from above: the plate is there
    shop.key(Key::Num3);
    for _ in 0..30 {
        shop.h.step();
    }
    // so it goes to the edge of what is free beside it
    shop.press("Turn it to where I look from");
    let deg = shop.project().runs[0].fittings[0].lobe_clock_deg;
    assert!(is_free_now(&shop) && (5.0..75.0).contains(&deg), "{deg}");
    assert!(!room(&shop).room.is_free_at((deg - 2.0).to_radians()), "no nearer to the eye");
    shop.ctrl(Key::Z);
    // from the front: the pipe runs straight at the viewer
    shop.key(Key::Num1);
    for _ in 0..30 {
        shop.h.step();
    }
    let before = shop.project();
    shop.press("Turn it to where I look from");
    assert!(shop.says().contains("You look along the pipe here"), "{}", shop.says());
    same(&shop.project(), &before, "nothing is turned");
    // from the left
    shop.key(Key::Num2);
    for _ in 0..30 {
        shop.h.step();
    }
    shop.press("Turn it to where I look from");
    let deg = shop.project().runs[0].fittings[0].lobe_clock_deg;
    assert!(is_free_now(&shop) && (255.0..=285.0).contains(&deg), "left of a pipe that runs forward: {deg}");
}

#[test]
fn the_joint_at_a_hardpoint_has_its_room_with_the_hardpoint_and_with_the_pipe() {
    let mut shop = Shop::open(&coupled());
    let name = shop.project().hardpoints[0].name.clone();
    shop.select(&name);
    assert!(shop.has("Room for the lobe") && shop.has("Where it is now, at 0°, it has"));
    let clock = |shop: &Shop| match shop.project().hardpoints[0].attachment {
        Attachment::Joint { lobe_clock_deg, .. } => lobe_clock_deg,
        other => panic!("{other:?}"),
    };
    shop.press("Turn it to the clearest place");
    let first = clock(&shop);
    assert!(first > 0.0, "the plate is over it too: {first}");
    assert_eq!(shop.undo_name().as_deref(), Some("turn lobe"));
    shop.ctrl(Key::Z);
    assert!(clock(&shop).abs() < 1e-12);
    // the same from the run, with its first piece selected
    shop.select("Boost pipe");
    let mark = shop
        .h
        .get_all_by_role(Role::Button)
        .find(|n| n.accesskit_node().label().as_deref() == Some("AJ1") && n.rect().left() > 900.0);
    mark.unwrap().click_accesskit();
    shop.run();
    assert!(shop.has(&format!("Coupler at {name}")));
    shop.press("Turn it to the clearest place");
    assert!((clock(&shop) - first).abs() < 1e-12);
}

#[test]
fn a_tool_is_off_until_it_is_asked_for_and_takes_room() {
    let mut shop = Shop::open(&coupled());
    shop.select("Boost pipe");
    shop.press("Show its room");
    assert!(!shop.has("Room for the lobe and its tool"));
    shop.fold_tree("Joints (");
    shop.select("Coupler");
    assert!(!shop.has("Tool reach"));
    let hint = "A tool needs room on it";
    shop.h.get_by_role_and_label(Role::CheckBox, hint).click_accesskit();
    shop.run();
    shop.fill("Tool reach", "55");
    shop.fill("Tool width", "12");
    shop.fill("Tool swing", "40");
    let tool = shop.project().joints[0].tool.unwrap();
    assert_eq!((tool.reach_mm, tool.width_mm, tool.swing_deg), (55.0, 12.0, 40.0));
    shop.select("Boost pipe");
    shop.press("Show its room");
    assert!(shop.has("Room for the lobe and its tool"));
    shop.select("Coupler");
    shop.h.get_by_role_and_label(Role::CheckBox, hint).click_accesskit();
    shop.run();
    assert_eq!(shop.project().joints[0].tool, None);
}

#[test]
fn the_whole_pipe_comes_off_and_is_shown_and_nothing_is_changed() {
    let mut shop = Shop::open(&coupled());
    let before = shop.project();
    open_take_off(&mut shop);
    shop.press("Find the way out");
    wait(&mut shop, |shop| shop.has("Show it"));
    assert!(shop.has("Take the clamp off AJ1 first.") && shop.has("Pull it straight "));
    assert!(!shop.has("AJ2 first"), "the whole pipe is asked for by default");
    shop.button("Show it").click_accesskit();
    for _ in 0..3 {
        shop.h.step();
    }
    assert!(shop.has("Pause"), "it is moving");
    shop.button("Pause").click_accesskit();
    shop.run();
    assert!(shop.has("Show it"), "and at rest again without another picture");
    shop.button("Show it").click_accesskit();
    for _ in 0..60 {
        shop.h.step();
    }
    shop.run();
    assert!(shop.has("Show it"), "it ends by itself");
    same(&shop.project(), &before, "nothing is changed");
    assert_eq!(shop.undo_name(), None);
    assert!(!shop.is_starred());
    shop.key(Key::Escape);
    assert!(!shop.has("Find the way out"));
    assert!(shop.h.state().session().selection.item.is_some(), "Esc left the form, not the pipe");
}

#[test]
fn another_place_can_be_chosen_and_the_old_answer_goes() {
    let mut shop = Shop::open(&coupled());
    open_take_off(&mut shop);
    shop.press("Find the way out");
    wait(&mut shop, |shop| shop.has("Show it"));
    shop.choose("Open it at", 0, "AJ2");
    assert!(!shop.has("Show it") && !shop.has("Take the clamp off AJ1 first."));
    shop.press("Find the way out");
    wait(&mut shop, |shop| shop.has("Take the clamp off AJ2 first."));
    // the same place twice
    shop.choose("and at", 0, "AJ2");
    shop.press("Find the way out");
    assert!(shop.has("There is no pipe between these two places."));
}

#[test]
fn the_answer_goes_with_a_word_when_the_project_changes() {
    let mut shop = Shop::open(&coupled());
    shop.select("Plate");
    shop.fill("Gap to keep", "9");
    open_take_off(&mut shop);
    shop.press("Find the way out");
    wait(&mut shop, |shop| shop.has("Show it"));
    shop.ctrl(Key::Z);
    assert!(shop.has("The project was changed, so the answer is gone. Look for a way again."));
    assert!(!shop.has("Show it"));
}

/// The same pipe in a cage of six walls: no way out, and a long search.
fn caged() -> Project {
    let mut project = coupled();
    let (low, high) = (DVec3::new(-150.0, -250.0, -250.0), DVec3::new(1250.0, 850.0, 560.0));
    for axis in 0..3 {
        for side in [low, high] {
            let mut size_mm = high - low;
            size_mm[axis] = 8.0;
            let mut at = low.midpoint(high);
            at[axis] = side[axis];
            let wall = new_item::obstacle(&mut project, Shape::Box { size_mm }, at);
            project.obstacles.push(Obstacle { name: format!("Cage {axis}"), pose: Pose::at(at), ..wall });
        }
    }
    project
}

#[test]
fn a_search_is_cancelled_and_left_by_esc_and_what_is_in_the_way_has_a_name() {
    let mut shop = Shop::open(&caged());
    let before = shop.project();
    open_take_off(&mut shop);
    shop.press("Find the way out");
    assert!(shop.has("Cancel"), "the search goes on");
    shop.press("Cancel");
    assert!(shop.has("The search was given up.") && shop.has("Find the way out"));
    shop.press("Find the way out");
    shop.key(Key::Escape);
    assert!(!shop.has("Cancel") && !shop.has("Find the way out"));
    open_take_off(&mut shop);
    shop.press("Find the way out");
    wait(&mut shop, |shop| shop.has("No way out was found."));
    assert!(shop.has("then it comes too near to"));
    same(&shop.project(), &before, "nothing is changed");
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn the_menu_offers_it_for_a_pipe_only_and_welded_ends_are_told() {
    let mut shop = Shop::small();
    let name = shop.project().runs[0].name.clone();
    shop.select(&name);
    shop.menu(&["Edit", "Take it off…"]);
    let welded = shop.project().hardpoints.iter().all(|h| h.attachment == Attachment::Welded);
    let words = "This pipe can be opened at fewer than two places";
    assert_eq!(shop.has(words), welded);
    assert_eq!(shop.has("Find the way out"), !welded);
    shop.press("Close");
    // a pipe that is deleted takes its form with it
    shop.menu(&["Edit", "Take it off…"]);
    assert!(!shop.project().runs[0].vertices().contains(&Vertex::Open));
    shop.menu(&["Edit", "Delete"]);
    assert!(!shop.has("Find the way out") && !shop.has(words));
}
