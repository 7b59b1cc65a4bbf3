//! How the program starts, and files that are opened.

use crate::bench::{Answer, Shop, same};
use eframe::egui::{Key, pos2};
use pipeloft::demos;
use pipeloft::platform::{PrefsStore, Purpose, Recovery};
use pipeloft_core::file::{load, save};
use pipeloft_core::model::{Item, Project};
use pipeloft_core::units::UnitSystem;
use std::path::Path;

fn saved(folder: &Path, name: &str) -> Project {
    let project = Project::new(name, UnitSystem::Millimetre);
    save(&folder.join(format!("{name}.ron")), &project).unwrap();
    project
}

#[test]
fn the_first_start_shows_the_first_worked_example_with_its_first_run() {
    let shop = Shop::first_start();
    let demo = demos::ALL[0].open().unwrap();
    same(&shop.project(), &demo, "the first example");
    let selected = shop.h.state().session().selection.item;
    assert_eq!(selected, Some(Item::Run(demo.runs[0].id)));
    assert_eq!(shop.title(), format!("{} – Pipeloft", demo.name));
    assert!(shop.has(&demo.runs[0].name) && shop.has("Bend handle 1"));
    assert!(!shop.h.state().has_dialog());
    assert!(shop.says().contains("worked example"), "{}", shop.says());
}

#[test]
fn a_file_named_at_the_start_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let project = saved(folder.path(), "mine");
    let shop = Shop::start(Some(folder.path().join("mine.ron")), Recovery::default());
    same(&shop.project(), &project, "the named file");
}

#[test]
fn a_file_that_is_not_there_at_the_start_is_said_until_it_is_read_and_nothing_opens_in_its_place() {
    let mut shop = Shop::start(Some("/no/such/folder/job.ron".into()), Recovery::default());
    assert!(shop.has("The file cannot be opened"));
    assert!(shop.has("/no/such/folder/job.ron: cannot be read"));
    assert_eq!((shop.project().name.as_str(), shop.project().runs.len()), ("Untitled", 0));
    // a click beside it does not hide it
    shop.click_at(pos2(40.0, 860.0));
    assert!(shop.has("The file cannot be opened"));
    shop.click("OK");
    assert!(!shop.h.state().has_dialog());
    assert!(shop.says().contains("/no/such/folder/job.ron"), "{}", shop.says());
}

#[test]
fn a_last_project_that_is_gone_is_said_and_no_other_opens() {
    let folder = tempfile::tempdir().unwrap();
    let prefs = || PrefsStore::at(folder.path().join("prefs.ron"));
    saved(folder.path(), "yesterday");
    let path = folder.path().join("yesterday.ron");
    drop(Shop::start_with(Some(path.clone()), prefs(), Recovery::default()));
    std::fs::remove_file(&path).unwrap();
    let shop = Shop::start_with(None, prefs(), Recovery::default());
    assert!(shop.has("The file cannot be opened") && shop.has(&path.display().to_string()));
    assert_eq!(shop.project().name, "Untitled");
}

#[test]
fn the_last_project_opens_again_and_is_on_the_list() {
    let folder = tempfile::tempdir().unwrap();
    let prefs = || PrefsStore::at(folder.path().join("prefs.ron"));
    let project = saved(folder.path(), "yesterday");
    let path = folder.path().join("yesterday.ron");
    drop(Shop::start_with(Some(path), prefs(), Recovery::default()));
    let mut shop = Shop::start_with(None, prefs(), Recovery::default());
    same(&shop.project(), &project, "the last one");
    shop.menu(&["File", "Open recent"]);
    assert!(shop.has("yesterday.ron"));
}

#[test]
fn a_picked_file_opens() {
    let mut shop = Shop::demo(0);
    let other = saved(shop.folder.path(), "other");
    shop.will_answer(Answer::Path(shop.folder.path().join("other.ron")));
    shop.ctrl(Key::O);
    assert_eq!(shop.log.borrow().asks[0].purpose, Purpose::Open);
    assert_eq!(shop.log.borrow().asks[0].folder.as_deref(), Some(shop.folder.path()));
    same(&shop.project(), &other, "the picked file");
    assert_eq!(shop.title(), "other – Pipeloft");
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn a_broken_file_is_said_with_path_and_line_and_the_project_stays() {
    let mut shop = Shop::demo(0);
    let before = shop.project();
    let text = std::fs::read_to_string(shop.path()).unwrap().replacen("od_mm: 63.5", "od_mm: sixty", 1);
    let line = 1 + text[..text.find("sixty").unwrap()].matches('\n').count();
    let broken = shop.folder.path().join("broken.ron");
    std::fs::write(&broken, text).unwrap();
    shop.will_answer(Answer::Path(broken.clone()));
    shop.ctrl(Key::O);
    same(&shop.project(), &before, "the open project");
    assert!(
        shop.says().starts_with(&format!("{}, line {line}, column", broken.display())),
        "{}",
        shop.says()
    );
    assert!(shop.has(&format!("line {line}")), "the sentence is in the status line");
    assert!(shop.has("The file cannot be opened"));
    shop.click("OK");
    shop.ctrl(Key::S);
    same(&load(&shop.path()).unwrap(), &before, "and it is still saved to its own file");
}

#[test]
fn a_dialog_that_is_closed_changes_nothing() {
    for key in [Key::O, Key::P] {
        let mut shop = Shop::demo(0);
        let before = shop.project();
        shop.will_answer(Answer::Nothing);
        shop.ctrl(key);
        assert_eq!(shop.log.borrow().asks.len(), 1);
        same(&shop.project(), &before, "as before");
        assert!(!shop.h.state().has_dialog());
    }
}

#[test]
fn a_dropped_file_opens() {
    let mut shop = Shop::demo(0);
    let other = saved(shop.folder.path(), "dropped");
    shop.drop_file(shop.folder.path().join("dropped.ron"));
    same(&shop.project(), &other, "the dropped file");
}

#[test]
fn every_worked_example_opens_from_the_menu() {
    let mut shop = Shop::demo(0);
    for demo in demos::ALL {
        shop.menu(&["File", "Open an example", demo.title]);
        same(&shop.project(), &demo.open().unwrap(), demo.title);
        assert!(!shop.is_starred());
    }
}
