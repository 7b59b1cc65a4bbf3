//! The window without a mouse.

use crate::bench::{Shop, same};
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::model::Item;
use pipeloft_core::units::UnitSystem;

/// Label of whatever has the focus.
fn focused(shop: &Shop) -> Option<String> {
    let node = shop.h.root().children_recursive().find(|n| n.accesskit_node().is_focused())?;
    node.accesskit_node().label()
}

/// Presses Tab until the focus is there; `None` where it never gets there.
fn tab_to(shop: &mut Shop, label: &str) -> Option<usize> {
    (1..=250).find(|_| {
        shop.h.key_press(Key::Tab);
        shop.h.step();
        focused(shop).as_deref() == Some(label)
    })
}

#[test]
fn arrow_keys_move_a_ring_by_one_step_each() {
    // key, way it goes, millimetres for each system of units
    for (key, way) in [
        (Key::ArrowUp, DVec3::X),
        (Key::ArrowDown, DVec3::NEG_X),
        (Key::ArrowLeft, DVec3::Y),
        (Key::ArrowRight, DVec3::NEG_Y),
        (Key::PageUp, DVec3::Z),
        (Key::PageDown, DVec3::NEG_Z),
    ] {
        let mut shop = Shop::metric();
        let before = shop.project();
        shop.button("Bend handle 2").focus();
        shop.run();
        shop.key(key);
        let (old, new) = (&before.runs[0].waypoints[0], &shop.project().runs[0].waypoints[0]);
        assert_eq!(new.position_mm, old.position_mm + way, "{key:?}");
        assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
        shop.ctrl(Key::Z);
        same(&shop.project(), &before, "as before");
        assert_eq!(shop.undo_name(), None);
    }
}

#[test]
fn a_step_in_inches_is_a_sixteenth() {
    let mut shop = Shop::demo(0);
    assert_eq!(shop.project().settings.units, UnitSystem::InchFraction);
    let before = shop.project().runs[0].waypoints[0].position_mm;
    shop.button("Bend handle 2").focus();
    shop.run();
    shop.key(Key::PageUp);
    let after = shop.project().runs[0].waypoints[0].position_mm;
    assert_eq!(after, before + DVec3::Z * (25.4 / 16.0));
}

#[test]
fn arrow_keys_slide_a_diamond_along_its_axis_only() {
    let mut shop = Shop::metric();
    let before = shop.project();
    shop.button("Bend handle 1").focus();
    shop.run();
    shop.key(Key::ArrowUp);
    let mut expected = (*before).clone();
    expected.runs[0].start_corner.reach_mm = shop.project().runs[0].start_corner.reach_mm;
    same(&shop.project(), &expected, "only the distance from the face may change");
    let by = expected.runs[0].start_corner.reach_mm - before.runs[0].start_corner.reach_mm;
    assert!((by - 1.0).abs() < 1e-9, "{by}");
}

#[test]
fn tab_reaches_every_ring_and_every_field() {
    let mut shop = Shop::metric();
    for label in ["Bend handle 1", "Bend handle 2", "Bend handle 3", "Add a bend on leg 2", "Joint handle"] {
        assert!(tab_to(&mut shop, label).is_some(), "{label} is out of reach");
    }
    assert!(tab_to(&mut shop, "Gap to other runs").is_some());
}

#[test]
fn escape_lets_go_of_the_selection_once_nothing_else_is_open() {
    let mut shop = Shop::metric();
    assert!(shop.h.state().session().selection.item.is_some());
    shop.key(Key::Escape);
    assert_eq!(shop.h.state().session().selection.item, None);
    assert!(shop.has("The saw"), "the whole project is shown");
}

#[test]
fn escape_in_a_field_gives_up_the_entry_and_keeps_the_selection() {
    let mut shop = Shop::metric();
    let before = shop.project();
    shop.begin_field("Gap to other runs", "99");
    shop.key(Key::Escape);
    same(&shop.project(), &before, "given up");
    assert!(shop.h.state().session().selection.item.is_some());
}

#[test]
fn escape_closes_a_menu_and_keeps_the_selection() {
    let mut shop = Shop::metric();
    shop.click("File");
    assert!(shop.has("New project"));
    shop.key(Key::Escape);
    assert!(!shop.has("New project"));
    assert!(shop.h.state().session().selection.item.is_some());
}

#[test]
fn escape_closes_a_list_and_keeps_the_selection() {
    let mut shop = Shop::metric();
    shop.h.get_by_role_and_label(Role::ComboBox, "Carries").click();
    shop.run();
    assert!(shop.has("Wastegate dump") && shop.has("Blow-off"));
    shop.key(Key::Escape);
    assert!(!shop.has("Blow-off"));
    assert!(shop.h.state().session().selection.item.is_some());
}

#[test]
fn keys_do_nothing_behind_an_open_question() {
    let mut shop = Shop::metric();
    shop.drag("Bend handle 2", eframe::egui::vec2(20.0, 10.0));
    let moved = shop.project();
    assert!(!shop.close_window());
    for key in [Key::ArrowUp, Key::PageUp, Key::Delete, Key::H, Key::R, Key::A] {
        shop.key(key);
    }
    shop.ctrl(Key::Z);
    same(&shop.project(), &moved, "behind the question");
    assert!(shop.has("Save the changes?"));
}

#[test]
fn help_lists_the_keys_and_escape_closes_it() {
    let mut shop = Shop::metric();
    shop.key(Key::F1);
    assert!(shop.h.state().has_dialog());
    for words in ["Mouse and keys", "Lock to an axis while dragging", "Ctrl+S", "Ctrl+Z"] {
        assert!(shop.has(words), "{words}");
    }
    shop.key(Key::Escape);
    assert!(!shop.h.state().has_dialog());
    assert!(shop.h.state().session().selection.item.is_some());
}

#[test]
fn letters_typed_into_a_name_are_not_taken_for_shortcuts() {
    let mut shop = Shop::metric();
    let runs = shop.project().runs.len();
    shop.field("Name").focus();
    shop.run();
    for (key, letter) in [(Key::R, "r"), (Key::A, "a"), (Key::H, "h"), (Key::P, "p"), (Key::Delete, "")] {
        shop.h.key_down(key);
        shop.text(letter);
        shop.h.key_up(key);
    }
    shop.key(Key::Enter);
    let project = shop.project();
    assert_eq!((project.runs.len(), project.hardpoints.len()), (runs, 6));
    assert!(!project.runs[0].hidden);
    assert!(project.runs[0].name.contains("rahp"), "{}", project.runs[0].name);
}

#[test]
fn delete_after_moving_a_bend_next_to_a_hardpoint_does_not_take_the_whole_pipe() {
    let mut shop = Shop::metric();
    shop.button("Bend handle 1").click();
    shop.run();
    let id = shop.project().runs[0].id;
    shop.key(Key::Delete);
    assert!(shop.project().has(Item::Run(id)), "a corner was selected, not the run");
}

#[test]
fn delete_on_a_waypoint_takes_that_bend_away() {
    let mut shop = Shop::metric();
    let before = shop.project();
    shop.button("Bend handle 2").click();
    shop.run();
    shop.key(Key::Delete);
    assert!(shop.project().runs[0].waypoints.is_empty());
    assert_eq!(shop.undo_name().as_deref(), Some("delete waypoint"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}
