//! Copies, mirror images, swapped ends and several things at once, by menu, key and mouse.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::Queryable as _;
use pipeloft_core::edit::reshape::position;
use pipeloft_core::model::{BendMake, Item, Vertex};

fn button(pos: Pos2, button: PointerButton, pressed: bool, modifiers: Modifiers) -> Event {
    Event::PointerButton { pos, button, pressed, modifiers }
}

/// Clicks with that button and key held, a frame for each thing the hand does.
fn click_with(shop: &mut Shop, at: Pos2, which: PointerButton, modifiers: Modifiers) {
    shop.frame(&[Event::PointerMoved(at), Event::ModifiersChanged(modifiers)]);
    shop.frame(&[button(at, which, true, modifiers)]);
    shop.frame(&[button(at, which, false, modifiers)]);
    shop.frame(&[Event::ModifiersChanged(Modifiers::NONE)]);
    shop.run();
}

#[test]
fn a_pipe_is_duplicated_mirrored_and_swapped_each_in_one_step() {
    let mut shop = Shop::small();
    let before = shop.project();
    let name = before.runs[0].name.clone();
    shop.select(&name);
    shop.ctrl(Key::D);
    assert_eq!((shop.project().runs.len(), shop.project().hardpoints.len()), (2, 4));
    assert_eq!(shop.undo_name().as_deref(), Some(format!("duplicate {name}").as_str()));
    let copy = shop.project().runs[1].id;
    assert_eq!(shop.h.state().session().selection.item, Some(Item::Run(copy)), "the copy is selected");
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "undone");

    shop.select(&name);
    shop.menu(&["Edit", "Mirror left and right"]);
    let after = shop.project();
    // the first port lies on the middle plane, so its image is there too
    assert_eq!(after.runs.len(), 2);
    let at = |run: usize| after.runs[run].waypoints[0].position_mm;
    assert_eq!((at(0).x, at(0).y, at(0).z), (at(1).x, -at(1).y, at(1).z));
    assert!(shop.says().contains("Y = 0"), "{}", shop.says());
    shop.ctrl(Key::Z);

    shop.select(&name);
    shop.menu(&["Edit", "Swap the ends of the run"]);
    let (old, new) = (&before.runs[0], &shop.project().runs[0]);
    assert_ne!(old.start, new.start);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "undone");
}

#[test]
fn what_is_not_possible_is_grey_or_says_why() {
    let mut shop = Shop::small();
    shop.key(Key::Escape);
    assert_eq!(shop.h.state().session().selection.item, None);
    shop.ctrl(Key::D);
    assert_eq!(shop.says(), "Select a pipe first.");
    let mut project = one_pipe();
    project.runs[0].end = pipeloft_core::model::RunEnd::open(glam::DVec3::new(900.0, 500.0, 300.0));
    let mut shop = Shop::open(&project);
    shop.menu(&["Edit", "Swap the ends of the run"]);
    assert!(shop.says().contains("ends in the open"), "{}", shop.says());
}

#[test]
fn several_things_are_selected_with_the_key_held_and_hidden_or_deleted_in_one_step() {
    let mut shop = Shop::small();
    let before = shop.project();
    let names: Vec<String> = before.hardpoints.iter().map(|h| h.name.clone()).collect();
    let run = before.runs[0].name.clone();
    shop.select(&run);
    for name in &names {
        let row = shop.row(name);
        click_with(&mut shop, row, PointerButton::Primary, Modifiers::COMMAND);
    }
    let session = shop.h.state().session();
    assert_eq!(session.selection.item, Some(Item::Run(before.runs[0].id)));
    assert_eq!(session.also(), before.hardpoints.iter().map(|h| Item::Hardpoint(h.id)).collect::<Vec<_>>());
    shop.key(Key::H);
    assert!(shop.project().runs[0].hidden && shop.project().hardpoints.iter().all(|h| h.hidden));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "shown again in one step");
    shop.key(Key::Delete);
    assert!(shop.project().runs.is_empty() && shop.project().hardpoints.is_empty(), "in the order of need");
    assert!(shop.h.state().session().also().is_empty());
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "all back in one step");
    // a plain click selects one thing again
    shop.select(&run);
    assert!(shop.h.state().session().also().is_empty());
}

#[test]
fn a_right_click_in_the_view_offers_what_can_be_done_with_the_pipe_and_with_the_space() {
    let mut shop = Shop::small();
    shop.key(Key::Escape);
    let run = shop.project().runs[0].clone();
    let corner = position(&shop.project(), &run, Vertex::Start).unwrap();
    // on the first leg
    let at = shop.on_screen(corner * 0.5);
    click_with(&mut shop, at, PointerButton::Secondary, Modifiers::NONE);
    assert_eq!(shop.h.state().session().selection.item, Some(Item::Run(run.id)));
    shop.menu(&["Duplicate the run"]);
    assert_eq!(shop.project().runs.len(), 2);
    shop.ctrl(Key::Z);
    let view = shop.h.get_by_role_and_label(Role::Canvas, "3D view").rect();
    let away = view.left_bottom() + eframe::egui::vec2(12.0, -12.0);
    click_with(&mut shop, away, PointerButton::Secondary, Modifiers::NONE);
    shop.menu(&["Fit everything"]);
}

#[test]
fn a_bend_takes_a_typed_angle_and_the_others_are_made_like_it() {
    let mut shop = Shop::small();
    let id = shop.project().runs[0].id;
    let vertex = Vertex::Way(shop.project().runs[0].waypoints[0].id);
    let ring = shop.handle("Bend handle 2");
    shop.click_at(ring);
    shop.fill("Angle", "40");
    let angle = |shop: &Shop| {
        let report = shop.h.state().session().report().clone();
        report.run(id).unwrap().bends.iter().find(|b| b.vertex == vertex).unwrap().angle_deg
    };
    assert!((angle(&shop) - 40.0).abs() < 1e-6, "{}", angle(&shop));
    assert_eq!(shop.undo_name().as_deref(), Some("turn bend 2 to 40°"));
    shop.fill("Angle", "0");
    assert!(shop.says().contains("No place of bend 2"), "{}", shop.says());
    let mut run = shop.project().runs[0].clone();
    run.set_make(vertex, BendMake::mitred(140.0, 3, pipeloft_core::model::Ends::Half));
    let mut project = (*shop.project()).clone();
    project.runs[0] = run;
    let mut shop = Shop::open(&project);
    let ring = shop.handle("Bend handle 2");
    shop.click_at(ring);
    shop.press_right("Make all its bends like this one");
    let run = &shop.project().runs[0];
    assert!(run.vertices().iter().all(|v| run.make(*v) == run.make(vertex)));
}
