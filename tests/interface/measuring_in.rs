//! Measuring in: tapes, rims, offsets and gauges against places and directions that the test works out by itself.

mod gauge;
mod rim;

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use eframe::egui::accesskit::{Role, Toggled};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Hardpoint, Item, Project, Shape};
use pipeloft_core::units::UnitSystem;

/// Datums of a bench, well off one plane.
const DATUMS: [(&str, [f64; 3]); 5] = [
    ("Punch mark", [0.0, 0.0, 0.0]),
    ("Frame corner", [900.0, 0.0, 20.0]),
    ("Bolt", [80.0, 700.0, -30.0]),
    ("Rail end", [850.0, 640.0, 510.0]),
    ("Tower top", [-60.0, 350.0, 620.0]),
];

/// Where the thing is that is measured.
const PLACE: DVec3 = DVec3::new(412.5, 288.25, 377.75);

fn bench(datums: &[(&str, [f64; 3])]) -> Project {
    let mut project = Project::new("Measuring", UnitSystem::Millimetre);
    let tube = new_item::tube(&mut project);
    project.tubes.push(tube);
    for (name, at) in datums {
        let mut datum = new_item::datum(&mut project, DVec3::from_array(*at));
        (*name).clone_into(&mut datum.name);
        project.datums.push(datum);
    }
    project
}

/// A hardpoint that looks forward with 12 o'clock up.
fn with_port(project: &mut Project, position_mm: DVec3) -> Item {
    let port = new_item::hardpoint(project, position_mm);
    let id = port.id;
    project.hardpoints.push(Hardpoint {
        name: "Turbo".to_owned(),
        direction: DVec3::X,
        clock: DVec3::Z,
        ..port
    });
    Item::Hardpoint(id)
}

/// The form, opened for a new hardpoint.
fn open(project: &Project) -> Shop {
    let mut shop = Shop::open(project);
    shop.menu(&["Add", "Measure in…"]);
    assert!(shop.has("What is measured"));
    shop
}

/// Types what tapes from these datums to the place would read, and by how much each is off.
fn tape(shop: &mut Shop, place: DVec3, count: usize, off: &[f64]) {
    for (i, (_, at)) in DATUMS.iter().enumerate().take(count) {
        let reads = DVec3::from_array(*at).distance(place) + off.get(i).unwrap_or(&0.0);
        shop.fill(&format!("Tape {}", i + 1), &format!("{reads}"));
    }
}

fn clear(shop: &mut Shop, label: &str) {
    shop.begin_field(label, " ");
    shop.key(Key::Backspace);
    shop.key(Key::Enter);
}

fn can_enter(shop: &Shop) -> bool {
    !shop.button("Enter it").accesskit_node().is_disabled()
}

/// Whether a big button is the one that is on.
fn is_on(shop: &Shop, words: &str) -> bool {
    shop.button(words).accesskit_node().toggled() == Some(Toggled::True)
}

#[track_caller]
fn near(got: DVec3, want: DVec3, within: f64) {
    assert!(got.distance(want) < within, "{got} instead of {want}");
}

fn selected(shop: &Shop) -> Option<Item> {
    shop.h.state().session().selection.item
}

#[test]
fn four_tapes_put_a_new_hardpoint_where_they_meet_in_one_step() {
    let project = bench(&DATUMS[..4]);
    let mut shop = open(&project);
    assert!(!can_enter(&shop));
    tape(&mut shop, PLACE, 3, &[]);
    tape(&mut shop, PLACE, 4, &[]);
    assert!(shop.has("The 4 tapes agree"));
    assert!(!shop.has("Choose which"));
    shop.fill("Name", "Downpipe");
    shop.press("Enter it");
    let port = shop.project().hardpoints[0].clone();
    near(port.position_mm, PLACE, 1e-6);
    assert_eq!(port.name, "Downpipe");
    assert_eq!(selected(&shop), Some(Item::Hardpoint(port.id)));
    assert!(!shop.has("What is measured"), "the form is closed");
    assert_eq!(shop.undo_name().as_deref(), Some("measure in Downpipe"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "one step");
}

#[test]
fn of_two_mirrored_places_the_person_picks_one_in_words_or_in_the_view() {
    let project = bench(&DATUMS[..3]);
    let [a, b, c] = [0, 1, 2].map(|i| DVec3::from_array(DATUMS[i].1));
    let across = (b - a).cross(c - a).try_normalize().unwrap();
    let mirrored = PLACE - across * (2.0 * (PLACE - a).dot(across));
    assert!(mirrored.z < PLACE.z);
    let mut shop = open(&project);
    tape(&mut shop, PLACE, 3, &[]);
    assert!(shop.has("Choose which of the two places it is."));
    assert!(!can_enter(&shop));
    assert!(shop.has("Three tapes always look right"));
    shop.press("The lower one");
    assert!(is_on(&shop, "The lower one") && can_enter(&shop));
    let mark = shop.on_screen(PLACE);
    shop.click_at(mark);
    assert!(is_on(&shop, "The upper one") && !is_on(&shop, "The lower one"));
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, PLACE, 1e-6);
    shop.ctrl(Key::Z);
    shop.key(Key::Escape);
    shop.menu(&["Add", "Measure in…"]);
    tape(&mut shop, PLACE, 3, &[]);
    let mark = shop.h.get_by_role_and_label(Role::RadioButton, "The lower one, in the 3D view");
    near(
        DVec3::from((mark.rect().center().x.into(), mark.rect().center().y.into(), 0.0)),
        {
            let p = shop.on_screen(mirrored);
            DVec3::new(p.x.into(), p.y.into(), 0.0)
        },
        1.0,
    );
    mark.click();
    shop.run();
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, mirrored, 1e-6);
}

#[test]
fn two_places_beside_each_other_are_told_apart_by_left_and_right() {
    // datums in the plane Y = 0
    let datums = [("A", [0.0, 0.0, 0.0]), ("B", [800.0, 0.0, 0.0]), ("C", [100.0, 0.0, 700.0])];
    let mut shop = open(&bench(&datums));
    let place = DVec3::new(300.0, -250.0, 200.0);
    for (i, (_, at)) in datums.iter().enumerate() {
        let reads = DVec3::from_array(*at).distance(place);
        shop.fill(&format!("Tape {}", i + 1), &format!("{reads}"));
    }
    shop.press("The one further right");
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, place, 1e-6);
}

#[test]
fn a_bad_tape_among_five_is_said_in_its_row() {
    let mut shop = open(&bench(&DATUMS));
    shop.press("+ Add tape");
    tape(&mut shop, PLACE, 5, &[]);
    assert!(shop.has("The 5 tapes agree") && !shop.has("Likely wrong"));
    tape(&mut shop, PLACE, 5, &[0.0, 25.0]);
    assert!(shop.has("the one to Frame corner seems 25.0 mm too long"), "the sentence");
    assert!(shop.has("Likely wrong. By the others it reads 25.0 mm too long."), "the row");
    let said = shop.h.get_by_label_contains("Likely wrong").rect();
    let (second, third) = (shop.field("Tape 2").rect(), shop.field("Tape 3").rect());
    assert!(second.bottom() <= said.top() && said.bottom() <= third.top());
    tape(&mut shop, PLACE, 5, &[]);
    assert!(!shop.has("Likely wrong"));
}

#[test]
fn fractions_feet_and_sums_are_typed_as_they_are_read() {
    // 1, 2, 2 is 3 long; 2, 3, 6 is 7; 4, 4, 7 is 9; 8, 1, 4 is 9: all tapes are whole fractions
    let place = DVec3::new(20.0, 11.0, 9.5) * 25.4;
    let unit = 4.125 * 25.4;
    let from = [[1.0, 2.0, 2.0], [-2.0, 3.0, 6.0], [4.0, -4.0, 7.0], [8.0, 1.0, -4.0]];
    let datums: Vec<(&str, [f64; 3])> = ["A", "B", "C", "D"]
        .into_iter()
        .zip(from.map(|f| (place - DVec3::from_array(f) * unit).to_array()))
        .collect();
    let mut project = bench(&datums);
    project.settings.units = UnitSystem::InchFraction;
    let mut shop = open(&project);
    for (i, reads) in ["12 3/8", "2'4 7/8", "942.975mm", "9*(4+1/8)"].into_iter().enumerate() {
        shop.fill(&format!("Tape {}", i + 1), reads);
    }
    assert!(shop.has("The 4 tapes agree"));
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, place, 1e-3);
}

#[test]
fn enter_takes_the_cursor_to_the_next_empty_reading() {
    let mut shop = open(&bench(&DATUMS[..3]));
    shop.begin_field("Tape 1", "500");
    for reads in ["600", "700"] {
        shop.key(Key::Enter);
        shop.text(reads);
    }
    shop.key(Key::Enter);
    let shown = [1, 2, 3].map(|i| shop.field(&format!("Tape {i}")).accesskit_node().value());
    assert_eq!(shown, ["500.0 mm", "600.0 mm", "700.0 mm"].map(|t| Some(t.to_owned())));
}

#[test]
fn esc_leaves_the_project_untouched() {
    let project = bench(&DATUMS[..4]);
    let mut shop = open(&project);
    tape(&mut shop, PLACE, 4, &[]);
    shop.fill("Name", "Never");
    shop.key(Key::Escape);
    shop.click("Throw it away");
    assert!(!shop.has("What is measured"));
    same(&shop.project(), &project, "nothing was entered");
    assert!(!shop.is_starred() && shop.undo_name().is_none());
}

#[test]
fn an_empty_project_says_what_a_datum_is_and_takes_the_first_ones_right_there() {
    let mut shop = open(&bench(&[]));
    assert!(shop.has("A datum is a place you can find again"));
    assert!(shop.has("Enter 3 more datums"));
    assert!(!can_enter(&shop));
    for (name, at) in &DATUMS[..4] {
        if shop.h.query_by_role_and_label(Role::Button, "+ New datum").is_some() {
            shop.press("+ New datum");
        }
        assert!(shop.button("Add this datum").accesskit_node().is_disabled());
        shop.fill("Datum name", name);
        for (axis, value) in ["X", "Y", "Z"].into_iter().zip(at) {
            shop.fill(axis, &value.to_string());
        }
        shop.press("Add this datum");
    }
    let project = shop.project();
    let got: Vec<_> = project.datums.iter().map(|d| (d.name.as_str(), d.position_mm.to_array())).collect();
    assert_eq!(got, DATUMS[..4]);
    tape(&mut shop, PLACE, 4, &[]);
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, PLACE, 1e-6);
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "the datums stay");
}

#[test]
fn datums_in_one_line_are_refused_with_a_sentence() {
    let datums = [("A", [0.0, 0.0, 0.0]), ("B", [400.0, 100.0, 0.0]), ("C", [800.0, 200.0, 0.0])];
    let mut shop = open(&bench(&datums));
    for (i, (_, at)) in datums.iter().enumerate() {
        let reads = DVec3::from_array(*at).distance(PLACE);
        shop.fill(&format!("Tape {}", i + 1), &format!("{reads}"));
    }
    assert!(shop.has("A, B and C lie in one line, so the point could be anywhere round it"));
    assert!(!can_enter(&shop));
}

#[test]
fn bad_readings_are_said_beside_their_field() {
    let mut shop = open(&bench(&DATUMS[..3]));
    tape(&mut shop, PLACE, 3, &[]);
    shop.fill("Tape 2", "0");
    assert!(!can_enter(&shop));
    let said =
        shop.h.get_by_label_contains("The tape to Frame corner is 0.0 mm, but it must be above zero").rect();
    let (second, third) = (shop.field("Tape 2").rect(), shop.field("Tape 3").rect());
    assert!(second.bottom() <= said.top() && said.bottom() <= third.top());
    // too short by a metre: the three do not meet
    shop.fill("Tape 2", "30");
    assert!(shop.has("The three tapes do not meet") && !can_enter(&shop));
    // cleared again, it is missing
    clear(&mut shop, "Tape 2");
    assert!(shop.has("Enter what one more tape reads."));
    shop.fill("Tape 2", "seven");
    assert!(!can_enter(&shop));
}

#[test]
fn offsets_go_along_the_vehicle_or_along_a_port() {
    let mut project = bench(&DATUMS[..1]);
    with_port(&mut project, DVec3::new(500.0, 40.0, 300.0));
    let ball = new_item::obstacle(&mut project, Shape::Sphere { diameter_mm: 80.0 }, DVec3::ZERO);
    let name = ball.name.clone();
    project.obstacles.push(ball);
    let mut shop = Shop::open(&project);
    shop.select(&name);
    shop.press("Measure in…");
    shop.press("Offsets from a point");
    assert!(shop.has("Enter at least one offset") && !can_enter(&shop));
    shop.fill("Forward", "120.5");
    shop.fill("Up", "-30");
    shop.press("Enter it");
    // from the punch mark at the origin
    assert_eq!(shop.project().obstacles[0].pose.position_mm, DVec3::new(120.5, 0.0, -30.0));
    shop.press("Measure in…");
    shop.choose("Measured from", 0, "Turbo");
    shop.press("Along the port");
    shop.fill("Out of the part", "10");
    shop.fill("To 12 o'clock", "20");
    shop.fill("To 3 o'clock", "30");
    shop.press("Enter it");
    // looking forward with 12 o'clock up, 3 o'clock is to the right, and Y is left
    near(shop.project().obstacles[0].pose.position_mm, DVec3::new(510.0, 10.0, 320.0), 1e-9);
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "two steps");
}

#[test]
fn a_datum_is_measured_from_others_and_not_from_itself() {
    let mut shop = Shop::open(&bench(&DATUMS));
    shop.fold_tree("Datums (");
    shop.select("Punch mark");
    shop.press("Measure in…");
    shop.h.get_all_by_role_and_label(Role::ComboBox, "to").next().unwrap().click_accesskit();
    shop.run();
    let offers = |shop: &Shop, words: &str| {
        shop.h
            .get_all_by_role(Role::Button)
            .any(|n| n.rect().left() > 900.0 && n.accesskit_node().label().is_some_and(|l| l == words))
    };
    assert!(offers(&shop, "Frame corner") && !offers(&shop, "Punch mark"));
    shop.key(Key::Escape);
    let place = DVec3::new(5.0, -3.0, 8.0);
    for (i, (_, at)) in DATUMS.iter().enumerate().skip(1) {
        let reads = DVec3::from_array(*at).distance(place);
        shop.fill(&format!("Tape {i}"), &format!("{reads}"));
    }
    assert!(shop.has("9.9 mm from where it is now"), "√(25 + 9 + 64) is 9.899");
    shop.press("Enter it");
    near(shop.project().datums[0].position_mm, place, 1e-6);
}

#[test]
fn the_last_way_is_remembered_and_what_does_not_suit_is_off() {
    let mut shop = open(&bench(&DATUMS));
    shop.press("Points on a rim");
    shop.press("A new datum");
    assert!(shop.button("Points on a rim").accesskit_node().is_disabled());
    assert!(is_on(&shop, "Tapes from datums"));
    shop.press("Offsets from a point");
    shop.key(Key::Escape);
    shop.key(Key::M);
    assert!(is_on(&shop, "Offsets from a point") && is_on(&shop, "A new hardpoint"));
    shop.press("A new datum");
    shop.fill("Up", "12");
    shop.press("Enter it");
    let project = shop.project();
    assert_eq!(project.datums.len(), DATUMS.len() + 1);
    assert_eq!(project.datums[DATUMS.len()].position_mm, DVec3::new(0.0, 0.0, 12.0));
}

#[test]
fn a_datum_is_selected_by_a_click_in_the_view_unless_it_is_hidden() {
    let mut project = bench(&DATUMS);
    let mut shop = Shop::open(&project);
    let at = DVec3::from_array(DATUMS[3].1);
    let pos = shop.on_screen(at);
    shop.click_at(pos);
    assert_eq!(selected(&shop), Some(Item::Datum(project.datums[3].id)));
    assert!(shop.has("Tapes are held here"));
    // its mark shows through what stands before it
    let box_mm = Shape::Box { size_mm: DVec3::splat(120.0) };
    let block = new_item::obstacle(&mut project, box_mm, at);
    let block_item = Item::Obstacle(block.id);
    project.obstacles.push(block);
    let mut shop = Shop::open(&project);
    let pos = shop.on_screen(at);
    shop.click_at(pos);
    assert_eq!(selected(&shop), Some(Item::Datum(project.datums[3].id)));
    project.datums[3].hidden = true;
    let mut shop = Shop::open(&project);
    let pos = shop.on_screen(at);
    shop.click_at(pos);
    assert_eq!(selected(&shop), Some(block_item));
}

#[test]
fn what_is_measured_may_vanish_while_the_form_is_open() {
    let mut project = bench(&DATUMS);
    with_port(&mut project, DVec3::new(500.0, 40.0, 300.0));
    let mut shop = Shop::open(&project);
    shop.select("Turbo");
    shop.press("Measure in…");
    assert!(shop.has("The place of Turbo"));
    shop.key(Key::Delete);
    assert!(shop.project().hardpoints.is_empty() && !shop.has("The place of Turbo"));
    tape(&mut shop, PLACE, 4, &[]);
    shop.press("Enter it");
    assert_eq!(shop.project().hardpoints.len(), 1);
}

#[test]
fn measuring_a_port_that_has_a_pipe_moves_the_pipe_with_it() {
    let mut project = one_pipe();
    for (_, at) in &DATUMS[..4] {
        let datum = new_item::datum(&mut project, DVec3::from_array(*at));
        project.datums.push(datum);
    }
    let name = project.hardpoints[0].name.clone();
    let mut shop = Shop::open(&project);
    shop.select(&name);
    shop.press("Measure in…");
    let place = DVec3::new(-12.0, 7.0, 3.0);
    tape(&mut shop, place, 4, &[]);
    shop.press("Enter it");
    near(shop.project().hardpoints[0].position_mm, place, 1e-6);
    let report = shop.h.state().session().report().runs[0].vertices_mm[0];
    near(report, place, 1e-6);
}
