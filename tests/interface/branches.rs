//! Runs that go out of the side of another one, as a person makes them in the window.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, vec2};
use egui_kittest::kittest::Queryable as _;
use pipeloft_core::model::{Attachment, Item, Project, Seat, Spot};
use pipeloft_core::report::Report;

/// The branch's seat.
fn seat(project: &Project) -> Seat {
    project.hardpoints.last().unwrap().seat.unwrap()
}

/// One pipe with a hardpoint on its second leg, selected.
fn with_branch() -> Shop {
    let project = one_pipe();
    let mut shop = Shop::open(&project);
    shop.select(&project.runs[0].name);
    shop.h.get_all_by_role_and_label(Role::Button, "Add branch").nth(1).unwrap().click_accesskit();
    shop.run();
    shop
}

#[test]
fn a_leg_gets_a_branch_and_the_branch_a_run() {
    let mut shop = with_branch();
    let project = shop.project();
    let run = project.runs[0].id;
    let Seat::Run { run: on, spot: Spot::Leg { leg: 1, station_mm }, clock_deg, angle_deg, offset_mm } =
        seat(&project)
    else {
        panic!("{:?}", seat(&project))
    };
    let straight_mm = Report::new(&project).runs[0].legs[1].straight_mm;
    assert_eq!((on, clock_deg, angle_deg, offset_mm), (run, 0.0, 90.0, 0.0));
    assert!((station_mm - straight_mm / 2.0).abs() < 1e-9, "{station_mm} of {straight_mm}");
    assert!(shop.has("Face, direction and 12 o'clock follow"));
    assert_eq!(shop.undo_name().as_deref(), Some("add branch"));
    assert!(shop.says().contains("Start a run here"), "{}", shop.says());
    shop.press("Start a run here");
    let project = shop.project();
    assert_eq!(project.runs.len(), 2);
    assert_eq!(project.runs[1].start, project.hardpoints.last().unwrap().id);
    let report = Report::new(&project);
    let branch = &report.runs[1];
    assert!(branch.built.is_buildable(), "{:?}", report.findings);
    assert_eq!(branch.start_on.as_ref().unwrap().run, project.runs[0].name);
    assert_eq!(report.runs[0].holes.len(), 1);
    assert_eq!(branch.welds[0].kind.name(), "saddle");
}

#[test]
fn where_it_sits_is_typed_and_undone() {
    let mut shop = with_branch();
    let before = shop.project();
    for (field, typed) in
        [("Along the leg", "90"), ("Towards clock", "45"), ("Angle to travel", "60"), ("Offset of axes", "3")]
    {
        shop.fill(field, typed);
    }
    let Seat::Run { spot, clock_deg, angle_deg, offset_mm, .. } = seat(&shop.project()) else { panic!() };
    assert_eq!(spot, Spot::Leg { leg: 1, station_mm: 90.0 });
    assert_eq!((clock_deg, angle_deg, offset_mm), (45.0, 60.0, 3.0));
    assert_ne!(
        shop.project().hardpoints.last().unwrap().position_mm,
        before.hardpoints.last().unwrap().position_mm
    );
    for _ in 0..4 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
    shop.choose("Place", 0, "Bend after leg 2");
    assert!(matches!(seat(&shop.project()), Seat::Run { spot: Spot::Bend { leg: 1, .. }, .. }));
    shop.fill("Round the bend", "10");
    assert!(matches!(seat(&shop.project()), Seat::Run { spot: Spot::Bend { leg: 1, turn_deg: 10.0 }, .. }));
    shop.choose("Sits on", 0, "Nothing");
    assert_eq!(shop.project().hardpoints.last().unwrap().seat, None);
    // it stays where it was, and can be moved now
    assert!(shop.h.query_by_role_and_label(Role::TextInput, "X, forward").is_some());
}

#[test]
fn a_hardpoint_is_put_on_a_run_and_a_ring_is_refused_with_a_sentence() {
    let project = one_pipe();
    let mut shop = Shop::open(&project);
    shop.menu(&["Add", "Add hardpoint"]);
    let before = shop.project();
    shop.choose("Sits on", 0, &project.runs[0].name);
    let port = shop.project().hardpoints.last().unwrap().clone();
    assert!(matches!(port.seat, Some(Seat::Run { run, .. }) if run == project.runs[0].id));
    assert_eq!(port.attachment, Attachment::Welded);
    assert_ne!(port.position_mm, before.hardpoints.last().unwrap().position_mm);
    // the run it sits on shall begin at it
    shop.select(&project.runs[0].name);
    let before = shop.project();
    shop.choose("From", 0, &port.name);
    same(&shop.project(), &before, "a ring changes nothing");
    assert!(shop.says().contains("it begins or ends itself"), "{}", shop.says());
    assert!(before.has(Item::Hardpoint(port.id)));
}

#[test]
fn a_drag_slides_it_along_its_run_and_is_one_step() {
    let mut shop = with_branch();
    let before = shop.project();
    let port = before.hardpoints.last().unwrap().clone();
    let at = shop.on_screen(port.position_mm);
    shop.press_and_move(at, at + vec2(6.0, 4.0));
    shop.move_and_release(at + vec2(12.0, 8.0));
    let after = shop.project();
    assert_ne!(seat(&after), seat(&before), "it has moved");
    let Seat::Run { run, angle_deg, offset_mm, .. } = seat(&after) else { panic!() };
    assert_eq!((run, angle_deg, offset_mm), (before.runs[0].id, 90.0, 0.0));
    assert_eq!(shop.undo_name().as_deref(), Some("slide branch"));
    // the face is under the pointer, as near as a place on the skin may be
    let there = shop.on_screen(after.hardpoints.last().unwrap().position_mm);
    assert!((there - (at + vec2(12.0, 8.0))).length() < 3.0, "{there}");
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}
