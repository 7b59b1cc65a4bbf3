//! How the program starts, and files that are opened.

use crate::bench::{Answer, Shop, same};
use eframe::egui::Key;
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
fn a_file_that_is_not_there_at_the_start_is_said_and_the_example_opens() {
    let shop = Shop::start(Some("/no/such/folder/job.ron".into()), Recovery::default());
    assert!(shop.says().contains("/no/such/folder/job.ron"), "{}", shop.says());
    assert_eq!(shop.project().name, demos::ALL[0].open().unwrap().name);
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

#[test]
fn a_copy_left_by_a_crash_is_offered_and_brought_back_unsaved() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("unsaved-work.ron");
    let project = saved(folder.path(), "unsaved-work");
    let mut shop = Shop::start(None, Recovery::at(copy));
    assert!(shop.has("Bring back unsaved work?"));
    shop.click("Bring it back");
    same(&shop.project(), &project, "the copy");
    assert!(shop.is_starred(), "no file holds it yet");
    assert!(!shop.h.state().has_dialog());
    shop.will_answer(Answer::Nothing);
    shop.ctrl(Key::S);
    assert_eq!(shop.log.borrow().asks[0].purpose, Purpose::Save, "it has no file of its own");
}

#[test]
fn a_copy_is_deleted_only_when_that_is_asked_for() {
    for (answer, stays) in [("Delete the copy", false), ("Decide later", true)] {
        let folder = tempfile::tempdir().unwrap();
        let copy = folder.path().join("unsaved-work.ron");
        let project = saved(folder.path(), "unsaved-work");
        let mut shop = Shop::start(None, Recovery::at(copy.clone()));
        assert!(copy.exists(), "it is there until the question is answered");
        shop.click(answer);
        assert!(!shop.h.state().has_dialog());
        // what is decided later lies beside it, where no later copy overwrites it
        let kept = std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().path());
        let kept: Vec<_> = kept.filter(|p| load(p).is_ok_and(|p| p == project)).collect();
        assert_eq!(kept.len(), usize::from(stays), "{answer}: {kept:?}");
    }
}

#[test]
fn a_second_crash_before_the_question_is_answered_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("unsaved-work.ron");
    saved(folder.path(), "unsaved-work");
    drop(Shop::start(None, Recovery::at(copy.clone())));
    let shop = Shop::start(None, Recovery::at(copy));
    assert!(shop.has("Bring back unsaved work?"));
}
