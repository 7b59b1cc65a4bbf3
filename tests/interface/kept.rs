//! Copies of unsaved work: offered at the start, brought back, discarded, or kept for later.

use crate::bench::{Answer, Shop, one_pipe, same};
use eframe::egui::{Key, pos2, vec2};
use egui_kittest::kittest::Queryable as _;
use pipeloft::platform::{Purpose, Recovery, Work};
use pipeloft_core::file::{load, load_stamped, save};
use pipeloft_core::model::Project;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

const QUESTION: &str = "Bring back unsaved work?";

/// A window that changed a project and was gone without a word. Returns what it had.
fn left(state: &Path, name: &str, file: Option<&Path>) -> Arc<Project> {
    let project = Arc::new(Project { name: name.to_owned(), ..one_pipe() });
    let stamp = file.map(|file| load_stamped(file).unwrap().1);
    let work = Work { project: Arc::clone(&project), folder: None, file: file.map(PathBuf::from), stamp };
    let mut recovery = Recovery::at(state.to_owned());
    recovery.follow(Some(work));
    project
}

fn copies(state: &Path) -> usize {
    let entries = std::fs::read_dir(state).into_iter().flatten().map(|e| e.unwrap().path());
    entries.filter(|p| p.extension().is_some_and(|e| e == "ron")).count()
}

#[test]
fn work_of_a_window_that_is_gone_is_offered_with_its_name_file_and_age() {
    let (state, folder) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let file = folder.path().join("job.ron");
    save(&file, &one_pipe()).unwrap();
    let project = left(state.path(), "half done", Some(&file));
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    assert!(shop.has(QUESTION) && shop.has("half done") && shop.has("less than a minute ago"));
    assert!(shop.has(&format!("Of {}", file.display())));
    shop.click("Bring it back");
    same(&shop.project(), &project, "the copy");
    assert!(shop.is_starred() && !shop.h.state().has_dialog());
    assert_eq!(copies(state.path()), 1, "it stays until it is saved");
    shop.ctrl(Key::S);
    assert!(shop.log.borrow().asks.is_empty(), "its file is known");
    same(&load(&file).unwrap(), &project, "the file");
    assert!(!shop.is_starred());
    shop.run();
    assert_eq!(copies(state.path()), 0);
}

#[test]
fn work_without_a_file_asks_for_one() {
    let state = tempfile::tempdir().unwrap();
    left(state.path(), "new", None);
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    assert!(shop.has("It has no file of its own yet"));
    shop.click("Bring it back");
    shop.will_answer(Answer::Nothing);
    shop.ctrl(Key::S);
    assert_eq!(shop.log.borrow().asks[0].purpose, Purpose::Save);
}

#[test]
fn a_file_that_changed_since_is_not_overwritten_by_what_is_brought_back() {
    let (state, folder) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let file = folder.path().join("job.ron");
    save(&file, &one_pipe()).unwrap();
    left(state.path(), "half done", Some(&file));
    let newer = Project { name: "newer".to_owned(), ..one_pipe() };
    save(&file, &newer).unwrap();
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    shop.click("Bring it back");
    shop.ctrl(Key::S);
    assert!(shop.has("The file was changed by something else"));
    same(&load(&file).unwrap(), &newer, "the file");
}

#[test]
fn nothing_but_a_second_press_discards() {
    let state = tempfile::tempdir().unwrap();
    left(state.path(), "half done", None);
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    shop.click("Discard…");
    assert!(shop.has("Press again") && copies(state.path()) == 1);
    shop.click("Discard for good");
    assert!(!shop.h.state().has_dialog());
    assert_eq!(copies(state.path()), 0);
}

#[test]
fn what_is_not_decided_is_offered_again_and_a_click_beside_is_no_answer() {
    let state = tempfile::tempdir().unwrap();
    left(state.path(), "half done", None);
    let start = || Shop::start(None, Recovery::at(state.path().to_owned()));
    let mut shop = start();
    shop.click_at(pos2(40.0, 860.0));
    assert!(shop.has(QUESTION));
    drop(shop);
    let mut shop = start();
    assert!(shop.has(QUESTION), "the first start went down before it was answered");
    shop.click("Decide later");
    assert!(!shop.h.state().has_dialog());
    // what this window does leaves it alone
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    shop.ctrl(Key::Z);
    shop.menu(&["File", "Bring back unsaved work…"]);
    assert!(shop.has(QUESTION));
    shop.key(Key::Escape);
    assert!(!shop.h.state().has_dialog());
    drop(shop);
    let shop = start();
    assert!(shop.has(QUESTION) && shop.has("half done"));
}

#[test]
fn two_lost_windows_are_two_copies_and_one_is_brought_back_without_the_other() {
    let state = tempfile::tempdir().unwrap();
    left(state.path(), "first", None);
    left(state.path(), "second", None);
    let start = || Shop::start(None, Recovery::at(state.path().to_owned()));
    let mut shop = start();
    assert!(shop.has("first") && shop.has("second"));
    let button = shop.h.get_all_by_role_and_label(eframe::egui::accesskit::Role::Button, "Bring it back");
    let buttons: Vec<_> = button.collect();
    assert_eq!(buttons.len(), 2);
    buttons[0].click();
    shop.run();
    let mine = shop.project().name.clone();
    let other = if mine == "first" { "second" } else { "first" };
    assert!(shop.says().contains("More is kept"), "{}", shop.says());
    // another window is offered the other one only: this one lives
    let another = start();
    assert!(another.has(other) && !another.has(&mine));
    drop(another);
    drop(shop);
    let last = start();
    assert!(last.has("first") && last.has("second"), "both windows are gone now");
}

#[test]
fn a_living_window_keeps_its_copy_whatever_another_does() {
    let state = tempfile::tempdir().unwrap();
    let start = || Shop::start(None, Recovery::at(state.path().to_owned()));
    let mut one = start();
    one.drag("Bend handle 2", vec2(30.0, 12.0));
    let begin = Instant::now();
    while copies(state.path()) == 0 {
        assert!(begin.elapsed() < Duration::from_secs(20), "no copy came");
        std::thread::sleep(Duration::from_millis(50));
    }
    let mut two = start();
    assert!(!two.h.state().has_dialog(), "the other window lives");
    two.drag("Bend handle 2", vec2(10.0, 30.0));
    two.ctrl(Key::Z);
    two.run();
    assert_eq!(copies(state.path()), 1);
    let work = one.project();
    drop(one);
    let mut three = start();
    three.click("Bring it back");
    same(&three.project(), &work, "the work of the first window");
}

#[test]
fn a_copy_comes_while_a_drag_goes_on() {
    let state = tempfile::tempdir().unwrap();
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    let at = shop.handle("Bend handle 2");
    shop.press_and_move(at, at + vec2(30.0, 12.0));
    let begin = Instant::now();
    let mut by = 30.0;
    while copies(state.path()) == 0 {
        by += 0.5;
        shop.move_to(at + vec2(by, 12.0));
        assert!(begin.elapsed() < Duration::from_secs(20), "no copy came in mid drag");
        std::thread::sleep(Duration::from_millis(100));
    }
    assert!(begin.elapsed() < Duration::from_secs(6), "it took {:?}", begin.elapsed());
    let copy = std::fs::read_dir(state.path()).unwrap().map(|e| e.unwrap().path());
    let copy = copy.into_iter().find(|p| p.extension().is_some_and(|e| e == "ron")).unwrap();
    assert_ne!(load(&copy).unwrap().runs, pipeloft::demos::ALL[0].open().unwrap().runs, "what was previewed");
    // given up, the project is as its file, and nothing is left to bring back
    shop.key_in_drag(Key::Escape, eframe::egui::Modifiers::NONE);
    shop.run();
    assert_eq!(copies(state.path()), 0);
}

#[test]
fn work_that_is_given_up_on_the_way_out_leaves_no_copy() {
    let state = tempfile::tempdir().unwrap();
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    shop.ctrl(Key::Q);
    shop.click("Don't save");
    shop.run();
    drop(shop);
    assert_eq!(copies(state.path()), 0);
}

#[test]
fn a_damaged_copy_is_told_and_stays_until_it_is_discarded() {
    let state = tempfile::tempdir().unwrap();
    let copy = state.path().join("work-1-0.ron");
    std::fs::write(&copy, "(format: 5, name:").unwrap();
    let mut shop = Shop::start(None, Recovery::at(state.path().to_owned()));
    assert!(shop.has("A copy that cannot be read") && shop.has("line 1"));
    shop.click("Decide later");
    assert!(copy.exists());
}

#[test]
fn that_no_copy_can_be_kept_is_said_until_it_can() {
    let state = tempfile::tempdir().unwrap();
    let place = state.path().join("unsaved");
    std::fs::write(&place, "a file where the folder belongs").unwrap();
    let mut shop = Shop::start(None, Recovery::at(place.clone()));
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    let until = |shop: &mut Shop, wanted: bool| {
        let begin = Instant::now();
        while shop.has("No copy of your unsaved work can be kept") != wanted {
            assert!(begin.elapsed() < Duration::from_secs(20), "{wanted} never came");
            std::thread::sleep(Duration::from_millis(100));
            shop.h.step();
        }
    };
    until(&mut shop, true);
    // it outlasts whatever else is said
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Y);
    until(&mut shop, true);
    std::fs::remove_file(&place).unwrap();
    until(&mut shop, false);
    assert_eq!(copies(&place), 1);
}
