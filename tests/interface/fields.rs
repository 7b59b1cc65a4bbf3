//! Numbers and names as they are typed.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Color32, Key, Shape};
use egui_kittest::kittest::Queryable as _;
use glam::DVec3;
use pipeloft::theme::Tokens;
use pipeloft_core::model::Project;
use pipeloft_core::units::UnitSystem;
use std::sync::Arc;

const PORT: &str = "Turbo compressor outlet";

/// The first hardpoint of the demo, selected.
fn at_port() -> Shop {
    let mut shop = Shop::metric();
    shop.select(PORT);
    shop
}

fn x(project: &Project) -> f64 {
    project.hardpoints[0].position_mm.x
}

/// Colour in which such text is drawn.
fn ink_of(shop: &Shop, words: &str) -> Option<Color32> {
    fn of(shape: &Shape, words: &str) -> Option<Color32> {
        match shape {
            Shape::Vec(all) => all.iter().find_map(|s| of(s, words)),
            Shape::Text(t) if t.galley.text() == words => {
                let section = t.galley.job.sections.first()?;
                Some(t.override_text_color.unwrap_or(section.format.color))
            }
            _ => None,
        }
    }
    shop.h.output().shapes.iter().find_map(|s| of(&s.shape, words))
}

#[test]
fn a_length_may_be_typed_in_any_unit() {
    // typed into a project in millimetres, and what it is in millimetres
    for (typed, mm) in [
        ("3 1/2\"", 88.9),
        ("88.9mm", 88.9),
        ("88.9", 88.9),
        ("2'6", 762.0),
        ("3½ in", 88.9),
        ("2*(1+3/8)in", 69.85),
        ("12,5", 12.5),
        ("-40", -40.0),
    ] {
        let mut shop = at_port();
        let before = shop.project();
        shop.fill("X, forward", typed);
        assert!((x(&shop.project()) - mm).abs() < 1e-9, "{typed}: {}", x(&shop.project()));
        let mut expected = (*before).clone();
        expected.hardpoints[0].position_mm.x = x(&shop.project());
        same(&shop.project(), &expected, "nothing else may change");
        assert_eq!(shop.undo_name().as_deref(), Some("move Turbo compressor outlet"));
        shop.ctrl(Key::Z);
        same(&shop.project(), &before, "as before");
    }
}

#[test]
fn a_bare_number_means_the_unit_on_show() {
    let mut shop = Shop::demo(0);
    assert_eq!(shop.project().settings.units, UnitSystem::InchFraction);
    shop.select(PORT);
    shop.fill("X, forward", "3 1/2");
    assert!((x(&shop.project()) - 88.9).abs() < 1e-9);
    shop.fill("X, forward", "88.9mm");
    assert_eq!(x(&shop.project()), 88.9);
}

#[test]
fn nothing_changes_while_typing() {
    let mut shop = at_port();
    let before = shop.project();
    for letter in ["1", "2", "3"] {
        shop.begin_field("X, forward", letter);
        assert!(Arc::ptr_eq(&shop.project(), &before));
    }
    assert!(!shop.is_starred());
}

#[test]
fn nonsense_stays_in_red_with_a_sentence_and_changes_nothing() {
    for typed in ["banana", "3 4", "1/0", "12.5.1", "2 kg"] {
        let mut shop = at_port();
        let before = shop.project();
        shop.fill("X, forward", typed);
        assert!(Arc::ptr_eq(&shop.project(), &before), "{typed}");
        assert_eq!(shop.field("X, forward").value().as_deref(), Some(typed), "it stays for mending");
        assert!(shop.has("a length is written like"), "{typed} is refused with a sentence");
        assert_eq!(ink_of(&shop, typed), Some(Tokens::of(true).stop), "{typed} is red");
        assert_eq!(shop.undo_name(), None);
    }
}

#[test]
fn nonsense_can_be_mended_or_given_up() {
    let mut shop = at_port();
    let before = shop.project();
    shop.fill("X, forward", "banana");
    shop.fill("X, forward", "100");
    assert_eq!(x(&shop.project()), 100.0);
    assert!(!shop.has("a length is written like"));
    shop.fill("X, forward", "banana");
    shop.field("X, forward").focus();
    shop.run();
    shop.key(Key::Escape);
    shop.select(PORT);
    assert!(!shop.has("a length is written like"));
    assert_eq!(shop.field("X, forward").value().as_deref(), Some("100.0 mm"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}

#[test]
fn a_number_out_of_all_reason_is_refused_with_a_sentence() {
    let mut shop = at_port();
    let before = shop.project();
    shop.fill("X, forward", "60000");
    same(&shop.project(), &before, "refused");
    assert!(shop.says().contains("X of Turbo compressor outlet"), "{}", shop.says());
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn escape_restores_what_the_field_held() {
    let mut shop = at_port();
    let before = shop.project();
    let shown = shop.field("X, forward").value();
    shop.begin_field("X, forward", "100");
    shop.key(Key::Escape);
    assert!(Arc::ptr_eq(&shop.project(), &before));
    shop.select(PORT);
    assert_eq!(shop.field("X, forward").value(), shown);
}

#[test]
fn leaving_a_field_takes_what_was_typed() {
    // by another field
    let mut shop = at_port();
    shop.begin_field("X, forward", "100");
    shop.field("Y, left").click();
    shop.run();
    assert_eq!(x(&shop.project()), 100.0);
    // by Tab
    let mut shop = at_port();
    shop.begin_field("X, forward", "101");
    shop.key(Key::Tab);
    assert_eq!(x(&shop.project()), 101.0);
    // by a click into the tree, that selects something else
    let mut shop = at_port();
    shop.begin_field("X, forward", "102");
    shop.button("Wastegate outlet").click();
    shop.run();
    assert_eq!(x(&shop.project()), 102.0);
    assert!(shop.has("Wastegate outlet"));
}

#[test]
fn a_click_into_the_view_takes_what_was_typed() {
    use egui_kittest::kittest::Queryable as _;
    let mut shop = at_port();
    shop.begin_field("X, forward", "103");
    let corner = shop.h.get_by_label("3D view").rect().left_top() + eframe::egui::vec2(8.0, 8.0);
    shop.press_and_move(corner, corner);
    shop.move_and_release(corner);
    assert_eq!(x(&shop.project()), 103.0);
}

#[test]
fn saving_takes_what_is_being_typed() {
    let mut shop = at_port();
    shop.begin_field("X, forward", "104");
    shop.ctrl(Key::S);
    let saved = pipeloft_core::file::load(&shop.path()).unwrap();
    assert!(x(&saved) == 104.0 || shop.is_starred(), "104 is in neither the file nor marked as unsaved");
}

#[test]
fn undo_in_a_field_belongs_to_the_field() {
    let mut shop = at_port();
    shop.fill("Y, left", "55");
    let moved = shop.project();
    shop.begin_field("X, forward", "100");
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Y);
    same(&shop.project(), &moved, "the project is not touched");
    shop.key(Key::Escape);
    shop.ctrl(Key::Z);
    assert!(shop.project() != moved, "out of the field it is the project's");
}

#[test]
fn up_and_down_step_a_field() {
    let mut shop = at_port();
    let before = x(&shop.project());
    shop.field("X, forward").focus();
    shop.run();
    shop.key(Key::ArrowUp);
    assert_eq!(x(&shop.project()), before + 0.5);
    shop.key(Key::ArrowDown);
    shop.key(Key::ArrowDown);
    assert_eq!(x(&shop.project()), before - 0.5);
    shop.key(Key::Escape);
    assert_eq!(x(&shop.project()), before - 0.5, "steps are taken at once");
}

#[test]
fn an_untouched_field_changes_nothing_however_it_rounds() {
    let mut shop = Shop::demo(0);
    let before = shop.project();
    shop.select(PORT);
    for label in ["X, forward", "Y, left", "Z, up", "Tube outside"] {
        shop.field(label).focus();
        shop.run();
        shop.key(Key::Enter);
    }
    assert!(Arc::ptr_eq(&shop.project(), &before));
}

#[test]
fn other_units_change_what_is_shown_and_nothing_that_is_stored() {
    let mut shop = Shop::demo(0);
    let before = shop.project();
    let totals = shop.h.state().session().report().totals.clone();
    for (words, units) in [
        ("Millimetres", UnitSystem::Millimetre),
        ("Inches, decimals", UnitSystem::InchDecimal),
        ("Inches, fractions", UnitSystem::InchFraction),
    ] {
        let now = shop.project().settings.units;
        let shown = ["Inches, fractions", "Inches, decimals", "Millimetres"][now as usize];
        shop.menu(&[shown]);
        shop.click(words);
        let mut expected = (*before).clone();
        expected.settings.units = units;
        same(&shop.project(), &expected, words);
        assert_eq!(shop.h.state().session().report().totals, totals, "{words}");
    }
    shop.ctrl(Key::Z);
    assert_eq!(shop.project().settings.units, UnitSystem::InchDecimal);
}

#[test]
fn a_hardpoint_that_points_along_its_twelve_o_clock_says_where_clocks_count_from() {
    let mut shop = Shop::open(&one_pipe());
    let name = shop.project().hardpoints[0].name.clone();
    shop.select(&name);
    let sentence = "clocks count from forward there";
    assert!(!shop.has(sentence));
    // the first “Up” turns the hardpoint, the second its 12 o'clock
    let up = |shop: &mut Shop, index: usize, words: &str| {
        shop.h.get_all_by_role_and_label(Role::Button, words).nth(index).unwrap().click_accesskit();
        shop.run();
    };
    up(&mut shop, 0, "Up");
    assert_eq!(shop.project().hardpoints[0].direction, DVec3::Z);
    assert!(shop.has(sentence));
    let run = shop.project().runs[0].id;
    let told =
        |shop: &Shop| shop.h.state().session().report().findings_of(run).any(|f| f.code == "clock-along");
    assert!(told(&shop), "it is a finding of the run too");
    up(&mut shop, 1, "Left");
    assert!(!shop.has(sentence) && !told(&shop));
}
