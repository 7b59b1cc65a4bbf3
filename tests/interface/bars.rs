//! Bars as a person enters them in the window: what is on their ends, what is sawn already, and what comes of it.

use crate::bench::{Shop, same};
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Bar, BarEndMake, BarPoint, Item, Onto, Pad, Project, RodEnd, Shape};
use pipeloft_core::units::UnitSystem;

/// A project in millimetres with one bar along X, 400 long.
fn one_bar() -> Project {
    let mut project = Project::new("Bench", UnitSystem::Millimetre);
    let mut bar = new_item::bar(&mut project, DVec3::new(100.0, 50.0, 200.0));
    bar.ends[1].position_mm.x = 500.0;
    "Stay".clone_into(&mut bar.name);
    project.bars.push(bar);
    project
}

/// The same between two rod ends.
fn between_eyes() -> Project {
    let mut project = one_bar();
    for end in 0..2 {
        let kinds = new_item::bar_ends();
        project.bars[0].ends[end].make = kinds.into_iter().find(|m| m.name() == "rod end").unwrap();
    }
    project
}

fn at_bar(project: &Project) -> Shop {
    let mut shop = Shop::open(project);
    shop.fold_tree("Bars");
    shop.select(&project.bars[0].name);
    shop
}

fn bar(shop: &Shop) -> Bar {
    shop.project().bars[0].clone()
}

fn start(shop: &Shop) -> BarPoint {
    bar(shop).ends[0]
}

fn pad(shop: &Shop) -> Option<Pad> {
    match start(shop).make {
        BarEndMake::Cope { pad, .. } => pad,
        other => panic!("{other:?}"),
    }
}

fn rod(shop: &Shop) -> RodEnd {
    match start(shop).make {
        BarEndMake::RodEnd(rod, _) => rod,
        other => panic!("{other:?}"),
    }
}

fn has_list(shop: &Shop, label: &str) -> bool {
    shop.h.query_all_by_role_and_label(Role::ComboBox, label).next().is_some()
}

#[test]
fn a_saddle_plate_is_put_under_an_end_and_stays_when_what_it_sits_on_changes() {
    let mut project = one_bar();
    let mut other = new_item::bar(&mut project, DVec3::new(100.0, -200.0, 200.0));
    other.ends[1].position_mm = DVec3::new(100.0, 300.0, 200.0);
    (other.name, other.od_mm) = ("Cross tube".to_owned(), 38.1);
    let under = other.id;
    project.bars.push(other);
    let mut shop = at_bar(&project);
    shop.choose("Start is", 0, "Coped");
    assert_eq!(pad(&shop), None);
    assert!(!shop.has("cannot be made yet"), "it sits on a tube where it ends");
    let before = shop.project();
    shop.choose("Saddle plate", 0, "One under it");
    assert!(shop.has("Start: Cut the plate"), "what to cut is said");
    let typed = [("Plate thickness", "4"), ("Gap under plate", "1"), ("Plate goes round", "90")];
    for (field, number) in typed.into_iter().chain([("First lip", "10"), ("Second lip", "12")]) {
        shop.fill(field, number);
    }
    let wanted = Pad { thick_mm: 4.0, gap_mm: 1.0, angle_deg: 90.0, lips_mm: [10.0, 12.0], width_mm: None };
    assert_eq!(pad(&shop), Some(wanted));
    shop.fill("Its diameter", "42");
    assert_eq!(pad(&shop), Some(wanted), "one number more");
    shop.choose("Coped onto", 0, "Cross tube");
    let BarEndMake::Cope { onto, .. } = start(&shop).make else { panic!() };
    assert_eq!((onto, pad(&shop)), (Onto::Bar(under), Some(wanted)));
    shop.choose("Coped onto", 0, "A tube entered here");
    assert_eq!(pad(&shop), Some(wanted));
    let BarEndMake::Cope { onto: Onto::Tube { through_mm, .. }, .. } = start(&shop).make else { panic!() };
    assert_eq!(through_mm, start(&shop).position_mm, "it begins where the bar does");
    shop.choose("Saddle plate", 0, "None");
    assert_eq!(pad(&shop), None);
    for _ in 0..10 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn a_pin_is_put_through_an_end_and_goes_only_when_it_is_taken_away() {
    let mut shop = at_bar(&one_bar());
    assert!(!has_list(&shop, "Pin"), "there is no hole");
    shop.choose("Start is", 0, "Tab");
    let before = shop.project();
    shop.choose("Pin", 0, "One through it");
    assert!(shop.has("The clip goes on with 1.00 mm of play."));
    for (field, typed) in [
        ("Pin diameter", "10"),
        ("Hole for pin", "10.2"),
        ("Over both cheeks", "18"),
        ("Washers", "2"),
        ("Head to groove", "20.5"),
        ("Groove width", "1.2"),
        ("Tail", "5"),
    ] {
        shop.fill(field, typed);
    }
    let through = start(&shop).pin.unwrap();
    assert_eq!((through.pin.dia_mm, through.hole_mm, through.over_cheeks_mm), (10.0, 10.2, 18.0));
    assert_eq!((through.washers_mm, through.pin.to_groove_mm), (2.0, 20.5));
    assert_eq!((through.pin.groove_mm, through.pin.tail_mm), (1.2, 5.0));
    assert!(shop.has("The clip goes on with 0.50 mm of play."), "20.5 less 18 and 2");
    shop.fill("Tab thickness", "6");
    shop.fill("Hole at clock", "90");
    assert_eq!((start(&shop).pin, start(&shop).clock_deg), (Some(through), 90.0));
    // a wrong one is told once, in red
    shop.fill("Washers", "4");
    assert_eq!(shop.h.query_all_by_label_contains("It is too short").count(), 1);
    assert!(shop.has("cannot be made yet"));
    shop.ctrl(Key::Z);
    assert_eq!(start(&shop).pin, Some(through));
    // without its hole it can still be seen, and taken away
    shop.choose("Start is", 0, "Square");
    assert_eq!(start(&shop).pin, Some(through));
    assert!(shop.has("There is a pin at the start, but no hole"));
    assert!(shop.h.query_by_role_and_label(Role::TextInput, "Hole at clock").is_none());
    shop.choose("Pin", 0, "None");
    assert_eq!(start(&shop).pin, None);
    assert!(!has_list(&shop, "Pin"));
    for _ in 0..12 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn a_rod_end_is_in_as_far_as_is_typed_and_else_in_the_middle() {
    let mut project = one_bar();
    project.bars[0].ends[0].make = between_eyes().bars[0].ends[0].make;
    let mut shop = at_bar(&project);
    // least 1.5 · 9.525 = 14.29, most 28 − 6 = 22
    assert!(shop.has("Start: rod end, 18.14 mm in."), "halfway");
    assert_eq!(shop.field("Screwed in by").value().unwrap_or_default(), "");
    shop.fill("Screwed in by", "20");
    assert_eq!(rod(&shop).screwed_in_mm, Some(20.0));
    assert!(shop.has("Start: rod end, 20.00 mm in."));
    shop.choose("Tapped hole is", 0, "Open at its bottom");
    assert!(rod(&shop).socket.through);
    shop.fill("Shank", "33");
    assert_eq!((rod(&shop).screwed_in_mm, rod(&shop).socket.through), (Some(20.0), true));
    shop.begin_field("Screwed in by", "1");
    shop.key(Key::Backspace);
    shop.key(Key::Enter);
    assert_eq!(rod(&shop).screwed_in_mm, None, "an emptied field is none");
    for _ in 0..4 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &project, "as before");
}

#[test]
fn a_bar_sawn_already_says_so_and_one_that_cannot_be_made_too() {
    let project = between_eyes();
    let mut shop = at_bar(&project);
    let told = |shop: &Shop| shop.h.state().session().report().bars[0].clone();
    // each end takes 12 + 32 + 3 − 18.14 = 28.86 of the 400
    assert!(shop.has("342.5 mm"), "{}", told(&shop).cut_mm);
    assert_eq!(told(&shop).cut_printed_mm, 342.5);
    assert!(!shop.has("sawn, "));
    shop.fill("Length sawn already", "345");
    assert_eq!(bar(&shop).sawn_mm, Some(345.0));
    assert!(shop.has("sawn, 345.0 mm"));
    // 2.7 less for the ends, half of it each
    assert!(shop.has("Start: rod end, 19.50 mm in."));
    shop.fill("Length sawn already", "380");
    assert!(shop.has("cannot be made yet"));
    assert!(!shop.has("sawn, 380"));
    assert!(shop.h.query_by_label("Mass").is_none());
    shop.ctrl(Key::Z);
    // a bend makes it another bar; the number can still be seen and taken away
    shop.press("Add bend");
    assert!(!shop.has("sawn, 345"));
    shop.begin_field("Length sawn already", "1");
    shop.key(Key::Backspace);
    shop.key(Key::Enter);
    assert_eq!(bar(&shop).sawn_mm, None);
    assert!(shop.h.query_by_role_and_label(Role::TextInput, "Length sawn already").is_none());
    for _ in 0..3 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &project, "as before");
}

#[test]
fn a_place_is_typed_only_while_it_is_none_of_those_with_a_name() {
    let mut project = one_bar();
    let mut datum = new_item::datum(&mut project, DVec3::new(80.0, 40.0, 200.0));
    "Boss".clone_into(&mut datum.name);
    project.datums.push(datum);
    let mut shop = at_bar(&project);
    let offered = |shop: &mut Shop| {
        shop.h.get_by_role_and_label(Role::ComboBox, "Start place").click_accesskit();
        shop.run();
        let found = shop.h.query_all_by_role_and_label(Role::Button, "Typed above").count();
        shop.key(Key::Escape);
        found
    };
    assert_eq!(offered(&mut shop), 1);
    shop.select("Stay");
    shop.choose("Start place", 0, "Boss");
    assert_eq!(start(&shop).position_mm, DVec3::new(80.0, 40.0, 200.0));
    assert_eq!(offered(&mut shop), 0, "it would do nothing");
}

#[test]
fn sticks_and_gaps_of_bars_stand_with_those_of_pipes() {
    let mut project = one_bar();
    project.bars[0].gap_mm = 12.0;
    project.bars[0].stick_mm = 700.0;
    let mut second = project.bars[0].clone();
    second.id = new_item::bar(&mut project, DVec3::ZERO).id;
    "Stay 2".clone_into(&mut second.name);
    for end in &mut second.ends {
        end.position_mm.z += 500.0;
    }
    project.bars.push(second);
    let body = new_item::body(&mut project);
    // a ball of 60 whose middle is 50 beside the bar: 50 − 30 − 15.875/2 = 12.06
    let ball = Shape::Sphere { diameter_mm: 60.0 };
    let mut bottle = new_item::obstacle(&mut project, ball, DVec3::new(300.0, 100.0, 200.0));
    (bottle.name, bottle.body, bottle.gap_mm) = ("Bottle".to_owned(), body.id, 5.0);
    project.bodies.push(body);
    project.obstacles.push(bottle);
    let mut shop = Shop::open(&project);
    shop.key(Key::Escape);
    // two of 400 off sticks of 700
    assert!(shop.has("Sticks for bars (2)"));
    assert!(shop.has("Buy 2 sticks of 700 mm. No layout needs fewer sticks."));
    assert!(shop.has("Bar stick 1 drawn to scale: BAR"));
    assert!(shop.has("BAR1; ") && shop.has("BAR2; "), "what is cut, and what is left over");
    shop.fold("Gaps, least to spare first (1)");
    assert!(shop.has("12.1 mm"));
    shop.press("Stay and Bottle");
    let selection = shop.h.state().session().selection;
    assert_eq!(selection.item, Some(Item::Bar(project.bars[0].id)));
    assert_eq!(selection.against, Some(Item::Obstacle(project.obstacles[0].id)));
    assert!(shop.draws("12.1 mm to Bottle"), "its dimension stands in the view");
    // a bar that is sawn needs no stick
    shop.fill("Length sawn already", "400");
    shop.fold_tree("Bars");
    shop.select("Stay 2");
    shop.fill("Length sawn already", "400");
    shop.key(Key::Escape);
    assert!(shop.has("Sticks for bars (0)"));
    assert!(shop.has("Each bar is sawn already, or cannot be made yet."));
}

/// Ends and corners of a selected bar are dragged; an end that is coped slides along its tube.
#[test]
fn a_bars_points_are_dragged_and_a_coped_end_slides_along_its_tube() {
    let mut project = one_bar();
    let through_mm = project.bars[0].ends[0].position_mm;
    let onto = Onto::Tube { through_mm, along: DVec3::Y, od_mm: 60.0 };
    project.bars[0].ends[0].make = BarEndMake::Cope { onto, pad: None };
    let mut shop = at_bar(&project);
    shop.press("Bring into view");
    shop.drag("Bar handle 2", eframe::egui::vec2(40.0, -25.0));
    let moved = bar(&shop);
    assert!(moved.ends[1].position_mm.distance(project.bars[0].ends[1].position_mm) > 5.0);
    assert_eq!(moved.ends[0], project.bars[0].ends[0]);
    assert_eq!(shop.undo_name().as_deref(), Some("move end of bar"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "as before");
    shop.drag("Bar handle 1", eframe::egui::vec2(40.0, -25.0));
    let along = start(&shop).position_mm - through_mm;
    assert!(along.y.abs() > 1.0 && along.x.abs() < 1e-9 && along.z.abs() < 1e-9, "{along}");
}
