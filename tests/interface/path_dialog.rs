//! The dialog inside the window, where the system shows none.

use crate::bench::{Answer, Shop, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, vec2};
use egui_kittest::kittest::Queryable as _;
use pipeloft_core::file::{load, save};
use pipeloft_core::model::Project;
use pipeloft_core::units::UnitSystem;

const FIELD: &str = "File, with its folder";

/// Asks with this key on a system without dialogs.
fn asked(shop: &mut Shop, key: Key) {
    shop.will_answer(Answer::NoDialog);
    shop.ctrl(key);
    assert!(shop.h.state().has_dialog());
}

/// Puts the focus into the path with Tab alone.
fn tab_to_field(shop: &mut Shop) {
    for _ in 0..20 {
        if shop.field(FIELD).is_focused() {
            return;
        }
        shop.key(Key::Tab);
    }
    panic!("Tab does not reach the path");
}

#[test]
fn a_project_is_saved_by_keyboard_alone() {
    let mut shop = Shop::first_start();
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    let work = shop.project();
    asked(&mut shop, Key::S);
    assert!(shop.has("Save the project"));
    let path = shop.folder.path().join("by hand");
    tab_to_field(&mut shop);
    shop.ctrl(Key::A);
    shop.text(&path.display().to_string());
    shop.key(Key::Enter);
    assert!(!shop.h.state().has_dialog());
    same(&load(&path.with_extension("ron")).unwrap(), &work, "the file, with its ending");
    assert!(!shop.is_starred());
}

#[test]
fn a_project_is_opened_by_keyboard_alone() {
    let mut shop = Shop::small();
    let other = Project::new("other", UnitSystem::Millimetre);
    let path = shop.folder.path().join("other.ron");
    save(&path, &other).unwrap();
    asked(&mut shop, Key::O);
    tab_to_field(&mut shop);
    shop.ctrl(Key::A);
    shop.text(&path.display().to_string());
    shop.key(Key::Enter);
    same(&shop.project(), &other, "the typed file");
}

#[test]
fn the_sheet_can_be_written_from_it_too() {
    let mut shop = Shop::small();
    asked(&mut shop, Key::P);
    let offered = shop.field(FIELD).value().unwrap();
    assert_eq!(offered, shop.folder.path().join("job-sheet.pdf").display().to_string());
    shop.click("Write");
    assert!(std::fs::read(offered).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn files_and_folders_can_be_picked_from_the_list() {
    let mut shop = Shop::small();
    let other = Project::new("other", UnitSystem::Millimetre);
    let below = shop.folder.path().join("below");
    std::fs::create_dir(&below).unwrap();
    save(&below.join("other.ron"), &other).unwrap();
    std::fs::write(below.join("notes.txt"), "not a project").unwrap();
    std::fs::write(below.join(".hidden.ron"), "not for people").unwrap();
    asked(&mut shop, Key::O);
    let list = |shop: &Shop, words: &str| shop.h.query_by_role_and_label(Role::Button, words).is_some();
    assert!(list(&shop, "job.ron") && list(&shop, "below/"));
    shop.click("below/");
    assert!(list(&shop, "other.ron") && !list(&shop, "notes.txt") && !list(&shop, ".hidden.ron"));
    shop.click(".. one folder up");
    assert!(list(&shop, "job.ron"));
    shop.click("below/");
    shop.click("other.ron");
    shop.click("Open");
    same(&shop.project(), &other, "the picked file");
}

#[test]
fn escape_and_go_back_give_up() {
    for by_key in [true, false] {
        let mut shop = Shop::first_start();
        shop.drag("Bend handle 2", vec2(30.0, 12.0));
        let work = shop.project();
        asked(&mut shop, Key::S);
        if by_key {
            shop.key(Key::Escape);
        } else {
            shop.click("Go back");
        }
        assert!(!shop.h.state().has_dialog());
        same(&shop.project(), &work, "still there");
        assert!(shop.is_starred());
        assert!(shop.h.state().session().selection.item.is_some());
    }
}

#[test]
fn a_way_out_goes_on_after_a_save_from_it() {
    let mut shop = Shop::first_start();
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    let work = shop.project();
    shop.ctrl(Key::N);
    shop.will_answer(Answer::NoDialog);
    shop.click("Save");
    let path = shop.folder.path().join("mine.ron");
    shop.begin_field(FIELD, &path.display().to_string());
    shop.key(Key::Enter);
    same(&load(&path).unwrap(), &work, "the file");
    assert_eq!(shop.project().name, "Untitled", "and then the new project");
}

#[test]
fn another_persons_file_is_not_overwritten_without_a_question() {
    let mut shop = Shop::first_start();
    let path = shop.folder.path().join("other.ron");
    let other = Project::new("other", UnitSystem::Millimetre);
    save(&path, &other).unwrap();
    asked(&mut shop, Key::S);
    shop.begin_field(FIELD, &path.display().to_string());
    shop.key(Key::Enter);
    same(&load(&path).unwrap(), &other, "the file that was there");
}
