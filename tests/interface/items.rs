//! Things that are added, renamed, hidden and deleted.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Hardpoint, Item, Project, RunEnd, Shape};
use pipeloft_core::report::Report;
use pipeloft_core::units::{self, UnitSystem};
use std::sync::Arc;

/// Counts of runs, hardpoints, obstacles, tubes, elbows, joints, bodies.
fn counts(p: &Project) -> [usize; 7] {
    [
        p.runs.len(),
        p.hardpoints.len(),
        p.obstacles.len(),
        p.tubes.len(),
        p.elbows.len(),
        p.joints.len(),
        p.bodies.len(),
    ]
}

#[test]
fn whatever_is_added_from_the_menu_is_one_step_and_selected() {
    // item of the menu, name of the step, which count it raises
    for (words, step, index) in [
        ("Add run", "add run", 0),
        ("Add hardpoint", "add hardpoint", 1),
        ("Add tube", "add tube", 3),
        ("Add elbow", "add elbow", 4),
        ("Add joint", "add joint", 5),
        ("Add body", "add body", 6),
    ] {
        let mut shop = Shop::metric();
        let before = shop.project();
        shop.click("Add");
        let item = shop.h.get_all_by_label_contains(words).find(|n| {
            let rect = n.rect();
            rect.top() > 30.0 && rect.left() < 200.0 && rect.right() > 250.0
        });
        item.unwrap_or_else(|| panic!("no {words}")).click();
        shop.run();
        let mut expected = counts(&before);
        expected[index] += 1;
        assert_eq!(counts(&shop.project()), expected, "{words}");
        assert_eq!(shop.undo_name().as_deref(), Some(step));
        let selected = shop.h.state().session().selection.item.unwrap();
        assert!(shop.project().has(selected) && !before.has(selected), "{words} is selected");
        shop.ctrl(Key::Z);
        same(&shop.project(), &before, words);
        shop.ctrl(Key::Y);
        assert_eq!(counts(&shop.project()), expected, "{words} again");
    }
}

#[test]
fn every_kind_of_obstacle_can_be_added_changed_and_deleted() {
    type Is = fn(&Shape) -> bool;
    let kinds: [(&str, Is, Option<&str>); 6] = [
        ("Box", |s| matches!(s, Shape::Box { .. }), Some("Along X")),
        ("Cylinder", |s| matches!(s, Shape::Cylinder { .. }), Some("Diameter")),
        ("Capsule (hose, line, bar)", |s| matches!(s, Shape::Capsule { .. }), Some("Straight length")),
        ("Ball", |s| matches!(s, Shape::Sphere { .. }), Some("Diameter")),
        ("Panel with holes", |s| matches!(s, Shape::Panel { .. }), Some("Thickness")),
        ("Half space (ground, wall)", |s| matches!(s, Shape::HalfSpace), None),
    ];
    for (words, is, size) in kinds {
        let mut shop = Shop::metric();
        let before = shop.project();
        shop.click("Add obstacle");
        shop.click(words);
        let added = shop.project().obstacles.last().cloned().unwrap();
        assert_eq!(counts(&shop.project())[2], counts(&before)[2] + 1, "{words}");
        assert!(is(&added.shape), "{words} gave {:?}", added.shape);
        if let Some(label) = size {
            shop.fill(label, "123");
            let text = format!("{:?}", shop.project().obstacles.last().unwrap().shape);
            assert!(text.contains("123.0"), "{words}: {text}");
            shop.ctrl(Key::Z);
        }
        shop.fill("Gap to keep", "17");
        assert_eq!(shop.project().obstacles.last().unwrap().gap_mm, 17.0);
        shop.h.get_by_role_and_label(Role::CheckBox, "Heat harms it").click();
        shop.run();
        assert!(shop.project().obstacles.last().unwrap().heat_sensitive);
        shop.menu(&["Edit", "Delete"]);
        assert_eq!(counts(&shop.project()), counts(&before), "{words}");
        assert_eq!(shop.undo_name(), Some(format!("delete {}", added.name)));
        for _ in 0..4 {
            shop.ctrl(Key::Z);
        }
        same(&shop.project(), &before, words);
    }
}

#[test]
fn the_menu_offers_the_same_obstacles_as_the_tree() {
    let mut shop = Shop::metric();
    let before = counts(&shop.project())[2];
    shop.click("Add");
    let sub = shop.h.get_all_by_label_contains("Add obstacle").find(|n| n.rect().top() < 200.0);
    sub.unwrap().click();
    shop.run();
    shop.menu(&["Ball"]);
    assert_eq!(counts(&shop.project())[2], before + 1);
    assert_eq!(shop.undo_name().as_deref(), Some("add obstacle"));
}

#[test]
fn holes_of_a_panel_come_and_go() {
    let mut shop = Shop::metric();
    shop.select("Firewall");
    let before = shop.project();
    shop.click("Add hole");
    shop.fill("Hole diameter", "66");
    let holes =
        |shop: &Shop| match &shop.project().obstacles.iter().find(|o| o.name == "Firewall").unwrap().shape {
            Shape::Panel { holes, .. } => holes.clone(),
            other => panic!("{other:?}"),
        };
    assert_eq!(holes(&shop).first().map(|h| h.diameter_mm), Some(66.0));
    shop.click("Delete hole 1");
    assert!(holes(&shop).is_empty());
    for _ in 0..3 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn names_are_changed_in_their_field() {
    for old in ["Turbo compressor outlet", "Ground", "Wastegate dump"] {
        let mut shop = Shop::metric();
        let before = shop.project();
        shop.select(old);
        shop.fill("Name", "  The new one ");
        assert!(shop.has("The new one"), "blanks at the ends are dropped");
        assert_eq!(shop.undo_name(), Some(format!("rename {old}")));
        shop.fill("Name", "   ");
        assert!(shop.has("The new one"), "nothing is without a name");
        shop.ctrl(Key::Z);
        same(&shop.project(), &before, old);
    }
}

#[test]
fn the_project_has_a_name_of_its_own() {
    let mut shop = Shop::metric();
    shop.key(Key::Escape);
    shop.fill("Name", "Number 47");
    assert_eq!(shop.project().name, "Number 47");
    assert_eq!(shop.title(), "Number 47* – Pipeloft");
    shop.ctrl(Key::Z);
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn the_eye_hides_a_thing_and_shows_it_again() {
    let mut shop = Shop::metric();
    let before = shop.project();
    for (name, hidden) in [
        ("Show Turbine outlet", (|p| p.hardpoints[1].hidden) as fn(&Project) -> bool),
        ("Show Ground", |p| p.obstacles[0].hidden),
        ("Show Wastegate dump", |p| p.runs[3].hidden),
    ] {
        shop.h.get_by_role_and_label(Role::CheckBox, name).click();
        shop.run();
        assert!(hidden(&shop.project()), "{name}");
        assert_eq!(shop.undo_name(), Some(name.replace("Show", "hide")));
        shop.h.get_by_role_and_label(Role::CheckBox, name).click();
        shop.run();
        assert!(!hidden(&shop.project()), "{name}");
        assert_eq!(shop.undo_name(), Some(name.replace("Show", "show")));
    }
    same(&shop.project(), &before, "all is shown again");
    assert!(!shop.is_starred());
}

#[test]
fn a_hidden_run_has_no_handles_and_h_brings_it_back() {
    let mut shop = Shop::metric();
    shop.key(Key::H);
    assert!(shop.project().runs[0].hidden);
    assert!(!shop.has("Bend handle"));
    shop.key(Key::H);
    assert!(!shop.project().runs[0].hidden);
    assert!(shop.has("Bend handle 2"));
}

#[test]
fn what_is_in_use_is_not_deleted_and_the_user_is_named() {
    for (name, section, user) in [
        ("Turbo compressor outlet", "", "Hot pipe, turbo to cooler"),
        ("2.5 in clamp coupler", "Joints (7)", "Hot pipe, turbo to cooler"),
        ("Engine", "Bodies (2)", "Turbo compressor outlet"),
    ] {
        let mut shop = Shop::metric();
        let before = shop.project();
        if !section.is_empty() {
            shop.h.get_by_label(section).click_accesskit();
            shop.run();
        }
        shop.select(name);
        shop.key(Key::Delete);
        same(&shop.project(), &before, name);
        assert_eq!(shop.says(), format!("{name} is used by {user}: change that first."));
        assert!(shop.has("is used by"), "the sentence is in the status line");
        assert_eq!(shop.undo_name(), None);
    }
}

#[test]
fn what_nothing_needs_is_deleted_and_comes_back() {
    let mut shop = Shop::metric();
    let before = shop.project();
    let (run, port) = (Item::Run(before.runs[0].id), Item::Hardpoint(before.hardpoints[0].id));
    shop.menu(&["Edit", "Delete"]);
    assert!(!shop.project().has(run));
    assert_eq!(shop.h.state().session().selection.item, None);
    shop.select("Turbo compressor outlet");
    shop.key(Key::Delete);
    assert!(!shop.project().has(port), "its run is gone, so it may go");
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}

#[test]
fn the_menu_of_a_row_works_on_that_row() {
    let mut shop = Shop::metric();
    shop.button("Air filter").scroll_to_me();
    shop.run();
    shop.button("Air filter").click_secondary();
    shop.run();
    shop.menu(&["Hide or show"]);
    let project = shop.project();
    let hidden: Vec<_> = project.obstacles.iter().filter(|o| o.hidden).map(|o| o.name.as_str()).collect();
    assert_eq!(hidden, ["Air filter"]);
}

#[test]
fn a_run_can_end_in_the_open_and_go_back_to_a_hardpoint() {
    let mut shop = Shop::metric();
    let before = shop.project();
    let to = |shop: &mut Shop, words: &str| {
        shop.h.get_by_role_and_label(Role::ComboBox, "To").click();
        shop.run();
        shop.h.get_all_by_role_and_label(Role::Button, words).last().unwrap().click();
        shop.run();
    };
    to(&mut shop, "Open end");
    assert!(matches!(shop.project().runs[0].end, RunEnd::Open { .. }));
    shop.fill("End Z", "1000");
    let RunEnd::Open { position_mm, .. } = shop.project().runs[0].end else { panic!("still open") };
    assert_eq!(position_mm.z, 1000.0);
    to(&mut shop, "Throttle body");
    let throttle = before.hardpoints[3].id;
    assert!(
        matches!(shop.project().runs[0].end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == throttle)
    );
    for _ in 0..3 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn two_runs_of_one_name_keep_their_own_problems() {
    let mut shop = Shop::metric();
    let problems = |shop: &Shop| {
        let session = shop.h.state().session();
        let run = &session.project().runs[0];
        session.report().findings.iter().filter(|f| f.item == Some(Item::Run(run.id))).count()
    };
    assert_eq!(problems(&shop), 0);
    assert!(shop.has("✔ 0"));
    shop.fill("Name", "Exhaust, turbine to tail");
    assert_eq!(problems(&shop), 0);
    assert!(shop.has("✔ 0"), "the other pipe's problems are not its own");
}

#[test]
fn a_clash_counts_for_both_runs_and_a_count_leads_to_its_first_card() {
    let mut project = one_pipe();
    let tube = project.tubes[0].id;
    let across = new_item::hardpoint(&mut project, DVec3::new(150.0, -300.0, 0.0));
    project.hardpoints.push(Hardpoint { direction: DVec3::Y, ..across });
    let start = project.hardpoints[2].id;
    let mut other = new_item::run_of(&mut project, (start, None), tube).unwrap();
    other.end = RunEnd::open(DVec3::new(150.0, 500.0, 0.0));
    other.start_corner.reach_mm = 400.0;
    project.runs.push(other);
    let [first, second] = [0, 1].map(|i: usize| project.runs[i].clone());
    let mut shop = Shop::open(&project);
    let report = Arc::clone(shop.h.state().session().report());
    let clash = report.findings.iter().find(|f| f.code == "clash").unwrap();
    assert!(clash.concerns(Item::Run(first.id)) && clash.concerns(Item::Run(second.id)));
    assert!(shop.has("✖ 2 cannot stay so"), "two runs are in the one clash");
    for run in [&first, &second] {
        shop.select(&run.name);
        assert!(!shop.has("✔ 0"), "{}", run.name);
        let count = shop.h.get_by_label_contains("Show the first of 1 problem");
        count.click();
        shop.run();
        let focused =
            shop.h.get_all_by_role_and_label(Role::Button, "Show").find(|n| n.accesskit_node().is_focused());
        assert!(focused.is_some(), "the card of the clash has the focus");
    }
    // and from the line at the bottom
    shop.h.get_by_label_contains("cannot stay so").click();
    shop.run();
    assert_eq!(shop.h.state().session().selection.item, None);
    assert!(
        shop.h.get_all_by_role_and_label(Role::Button, "Show").next().unwrap().accesskit_node().is_focused()
    );
}

#[test]
fn the_next_run_is_made_of_the_tube_that_was_added_and_a_double_is_refused() {
    let mut shop = Shop::open(&one_pipe());
    shop.menu(&["Add", "Add tube"]);
    let new = shop.project().tubes[1].clone();
    let before = shop.project();
    assert_ne!(new.od_mm, before.tubes[0].od_mm);
    shop.fill("Outside diameter", "63.5");
    same(&shop.project(), &before, "a double");
    assert!(shop.says().contains("is in the list of tubes already"), "{}", shop.says());
    shop.fill("Wall", "2.1");
    shop.menu(&["Add", "Add hardpoint"]);
    assert_eq!(shop.project().hardpoints[2].od_mm, new.od_mm);
    shop.menu(&["Add", "Add run"]);
    let project = shop.project();
    assert_eq!(project.runs[1].tube, new.id);
    assert!(shop.says().contains("Made of the new tube, 76.2 mm × 2.10 mm"), "{}", shop.says());
    // once: the one after that is of what fits its start
    shop.select(&project.hardpoints[0].name);
    shop.menu(&["Add", "Add run"]);
    assert_eq!(shop.project().runs[2].tube, project.tubes[0].id);
}

#[test]
fn what_is_new_in_an_inch_project_has_round_sizes_and_lengths_read_alike() {
    let mut project = one_pipe();
    project.settings.units = UnitSystem::InchFraction;
    let mut shop = Shop::open(&project);
    let run = shop.project().runs[0].clone();
    shop.select(&run.name);
    shop.fold("Welds");
    let inside = units::volume(Report::new(&project).runs[0].purge_l, UnitSystem::InchFraction);
    assert!(inside.ends_with("in³") && shop.has(&format!("{inside} inside")), "{inside}");
    let tube = units::length(Report::new(&project).runs[0].tube_length_mm, UnitSystem::InchFraction);
    assert!(shop.has(tube.trim_start_matches("≈ ")), "{tube} as every other length");
    shop.click("Add obstacle");
    shop.click("Box");
    let Shape::Box { size_mm } = shop.project().obstacles[0].shape else { panic!("a box") };
    assert!(size_mm.distance(DVec3::new(8.0, 6.0, 4.0) * 25.4) < 1e-9, "{size_mm}");
    let halves = shop.project().obstacles[0].pose.position_mm / 12.7;
    assert!(halves.distance(halves.round()) < 1e-9, "{halves}");
}
