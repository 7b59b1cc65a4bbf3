//! Forms that are left with something in them: nothing that was entered goes without a question.

use crate::bench::{Shop, one_pipe};
use eframe::egui::Key;
use pipeloft_core::model::Project;

const QUESTION: &str = "Leave the form?";

/// A form with one reading in it.
fn measured() -> Shop {
    let mut shop = Shop::open(&with_datums());
    shop.key(Key::M);
    shop.fill("Tape 1", "500");
    // Enter has gone on to the next tape; the first Esc leaves that
    shop.key(Key::Escape);
    assert!(!shop.h.state().has_dialog());
    shop
}

fn with_datums() -> Project {
    let mut project = one_pipe();
    for x in [0.0, 400.0, 800.0] {
        let mut new = pipeloft_core::edit::new_item::datum(&mut project, glam::DVec3::new(x, x * 0.3, 10.0));
        new.position_mm = glam::DVec3::new(x, x * x / 1000.0, 10.0);
        project.datums.push(new);
    }
    project
}

fn reading(shop: &Shop) -> Option<String> {
    shop.field("Tape 1").value()
}

#[test]
fn escape_and_close_ask_and_keep_what_was_entered() {
    for by_key in [true, false] {
        let mut shop = measured();
        if by_key {
            shop.key(Key::Escape);
        } else {
            shop.press("Close");
        }
        assert!(shop.has(QUESTION));
        // in doubt, it stays: Enter, Esc and the button
        shop.key(if by_key { Key::Escape } else { Key::Enter });
        assert!(!shop.h.state().has_dialog());
        assert_eq!(reading(&shop).as_deref(), Some("500.0 mm"));
        shop.key(Key::Escape);
        shop.click("Throw it away");
        assert!(!shop.has("What is measured"));
    }
}

#[test]
fn an_empty_form_closes_at_once() {
    let mut shop = Shop::open(&with_datums());
    shop.key(Key::M);
    shop.key(Key::Escape);
    assert!(!shop.h.state().has_dialog() && !shop.has("What is measured"));
}

#[test]
fn another_form_does_not_push_it_out() {
    let mut shop = measured();
    shop.menu(&["Add", "Measure in…"]);
    assert!(shop.has(QUESTION));
    shop.click("Keep the form");
    assert_eq!(reading(&shop).as_deref(), Some("500.0 mm"));
    shop.menu(&["Add", "Measure in…"]);
    shop.click("Throw it away");
    assert_eq!(reading(&shop).as_deref(), Some(""), "an empty form");
}

#[test]
fn every_way_out_of_the_project_asks() {
    let mut shop = measured();
    for key in [Key::N, Key::O, Key::Q] {
        shop.ctrl(key);
        assert!(shop.has(QUESTION), "{key:?}");
        shop.key(Key::Escape);
        assert_eq!(reading(&shop).as_deref(), Some("500.0 mm"));
    }
    assert!(!shop.close_window(), "the window is held back");
    shop.run();
    assert!(shop.has(QUESTION));
    shop.key(Key::Escape);
    shop.ctrl(Key::N);
    shop.click("Throw it away");
    assert_eq!(shop.project().name, "Untitled");
}

#[test]
fn a_form_and_changes_are_two_questions() {
    let mut shop = measured();
    shop.drag("Bend handle 2", eframe::egui::vec2(30.0, 12.0));
    shop.ctrl(Key::N);
    shop.click("Throw it away");
    assert!(shop.has("Save the changes?"));
    shop.key(Key::Escape);
    assert!(shop.is_starred());
}

#[test]
fn every_way_of_measuring_asks() {
    let ways: [(&str, &str); 3] =
        [("Points on a rim", "X 1"), ("Offsets from a point", "Up"), ("Gauge angles", "Slope")];
    for (way, field) in ways {
        let mut shop = Shop::open(&with_datums());
        shop.select(&shop.project().hardpoints[0].name.clone());
        shop.press("Measure in…");
        shop.press(way);
        shop.fill(field, "12");
        shop.press("Close");
        assert!(shop.has(QUESTION), "{way}");
        shop.click("Throw it away");
        assert!(!shop.has("What is measured"));
    }
}
