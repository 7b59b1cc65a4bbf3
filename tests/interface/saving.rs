//! Saving, and the sheet.

use crate::bench::{Answer, Shop, one_pipe, same};
use eframe::egui::{Key, vec2};
use pipeloft::platform::{Purpose, Recovery};
use pipeloft_core::disk::before_path;
use pipeloft_core::file::{load, save};
use pipeloft_core::model::Project;
use std::path::Path;

fn edited(mut shop: Shop) -> Shop {
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    assert!(shop.is_starred());
    shop
}

#[test]
fn saving_writes_the_file_it_came_from_and_takes_the_star_away() {
    let mut shop = edited(Shop::small());
    shop.ctrl(Key::S);
    assert!(shop.log.borrow().asks.is_empty(), "the file is known");
    same(&load(&shop.path()).unwrap(), &shop.project(), "the file");
    assert!(!shop.is_starred());
    assert_eq!(shop.title(), format!("{} – Pipeloft", shop.project().name));
    assert!(shop.says().contains(&shop.path().display().to_string()), "{}", shop.says());
    shop.ctrl(Key::Z);
    assert!(shop.is_starred(), "the file holds the change that was taken back");
    shop.ctrl(Key::Y);
    assert!(!shop.is_starred());
}

#[test]
fn a_worked_example_asks_for_a_place_of_its_own() {
    let mut shop = edited(Shop::first_start());
    let path = shop.folder.path().join("mine.ron");
    shop.will_answer(Answer::Path(path.clone()));
    shop.ctrl(Key::S);
    let ask = shop.log.borrow().asks[0].clone();
    assert_eq!(ask.purpose, Purpose::Save);
    assert_eq!(ask.name, "gravel-buggy-mid-engined-one-turbo.ron");
    same(&load(&path).unwrap(), &shop.project(), "the file");
    assert!(!shop.is_starred());
    shop.drag("Bend handle 2", vec2(10.0, 30.0));
    shop.ctrl(Key::S);
    assert_eq!(shop.log.borrow().asks.len(), 1, "from then on it has a file");
    same(&load(&path).unwrap(), &shop.project(), "the file");
}

#[test]
fn save_as_always_asks_and_the_new_file_is_the_projects() {
    let mut shop = edited(Shop::small());
    let old = load(&shop.path()).unwrap();
    let path = shop.folder.path().join("second");
    shop.will_answer(Answer::Path(path.clone()));
    shop.ctrl_shift(Key::S);
    assert_eq!(shop.log.borrow().asks[0].name, "job.ron");
    let path = path.with_extension("ron");
    same(&load(&path).unwrap(), &shop.project(), "the new file, with its ending");
    same(&load(&shop.path()).unwrap(), &old, "the old file");
    assert_eq!(shop.h.state().session().path.as_deref(), Some(path.as_path()));
}

#[test]
fn a_folder_that_cannot_be_written_is_said_and_nothing_counts_as_saved() {
    let mut shop = edited(Shop::first_start());
    let before = shop.project();
    let file = shop.folder.path().join("file");
    std::fs::write(&file, "not a folder").unwrap();
    for path in [file.join("job.ron"), shop.folder.path().join("no/such/folder/job.ron")] {
        shop.will_answer(Answer::Path(path.clone()));
        shop.ctrl(Key::S);
        assert!(
            shop.says().starts_with(&format!("{}: cannot be written", path.display())),
            "{}",
            shop.says()
        );
        assert!(shop.h.state().session().message.as_ref().is_some_and(|m| m.bad));
        assert!(shop.has("The project is not saved"));
        shop.click("OK");
        assert!(shop.is_starred());
        assert_eq!(shop.h.state().session().path, None);
        same(&shop.project(), &before, "still there");
    }
}

#[test]
fn a_save_given_up_leaves_everything_unsaved() {
    let mut shop = edited(Shop::first_start());
    shop.will_answer(Answer::Nothing);
    shop.ctrl(Key::S);
    assert!(shop.is_starred());
}

/// Another window opens the file, changes it and saves it. Returns what it saved.
fn changed_by_another(path: &Path) -> Project {
    let mut theirs = load(path).unwrap();
    "theirs".clone_into(&mut theirs.name);
    save(path, &theirs).unwrap();
    theirs
}

#[test]
fn a_file_that_another_window_has_saved_is_not_overwritten_in_silence() {
    let mut shop = edited(Shop::small());
    let theirs = changed_by_another(&shop.path());
    shop.ctrl(Key::S);
    assert!(shop.has("The file was changed by something else"));
    same(&load(&shop.path()).unwrap(), &theirs, "theirs");
    shop.click("Go back");
    same(&load(&shop.path()).unwrap(), &theirs, "still theirs");
    assert!(shop.is_starred());
    shop.ctrl(Key::S);
    shop.click("Keep mine, replace theirs");
    same(&load(&shop.path()).unwrap(), &shop.project(), "mine");
    same(&load(&before_path(&shop.path())).unwrap(), &theirs, "theirs, one generation back");
    assert!(!shop.is_starred());
    // from then on it is known
    shop.drag("Bend handle 2", vec2(10.0, 30.0));
    shop.ctrl(Key::S);
    assert!(!shop.h.state().has_dialog() && !shop.is_starred());
}

#[test]
fn save_as_to_the_projects_own_file_asks_too_and_another_name_leaves_theirs_alone() {
    let mut shop = edited(Shop::small());
    let theirs = changed_by_another(&shop.path());
    shop.will_answer(Answer::Path(shop.path()));
    shop.ctrl_shift(Key::S);
    assert!(shop.has("The file was changed by something else"));
    let mine = shop.folder.path().join("mine.ron");
    shop.will_answer(Answer::Path(mine.clone()));
    // Enter takes what overwrites nothing
    shop.key(Key::Enter);
    same(&load(&mine).unwrap(), &shop.project(), "mine");
    same(&load(&shop.path()).unwrap(), &theirs, "theirs");
}

#[test]
fn opening_theirs_sets_mine_aside() {
    let state = tempfile::tempdir().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    save(&path, &one_pipe()).unwrap();
    let mut shop = edited(Shop::start(Some(path.clone()), Recovery::at(state.path().join("unsaved"))));
    let mine = shop.project();
    let theirs = changed_by_another(&path);
    shop.ctrl(Key::S);
    shop.click("Open theirs, set mine aside");
    same(&shop.project(), &theirs, "theirs");
    assert!(!shop.is_starred() && shop.says().contains("Bring back"), "{}", shop.says());
    shop.menu(&["File", "Bring back unsaved work…"]);
    shop.click("Bring it back");
    same(&shop.project(), &mine, "mine");
    // it knows what it was begun from, so theirs is still not overwritten in silence
    shop.ctrl(Key::S);
    assert!(shop.has("The file was changed by something else"));
    same(&load(&path).unwrap(), &theirs, "theirs");
}

#[test]
fn without_changes_of_mine_theirs_opens_at_once() {
    let mut shop = Shop::small();
    let theirs = changed_by_another(&shop.path());
    shop.ctrl(Key::S);
    shop.click("Open theirs, set mine aside");
    same(&shop.project(), &theirs, "theirs");
    assert!(!shop.h.state().has_dialog() && !shop.is_starred());
}

#[test]
fn a_way_out_waits_for_the_answer_about_the_file() {
    let mut shop = edited(Shop::small());
    changed_by_another(&shop.path());
    let mine = shop.project();
    shop.ctrl(Key::N);
    shop.click("Save");
    same(&shop.project(), &mine, "still open");
    shop.click("Keep mine, replace theirs");
    same(&load(&shop.path()).unwrap(), &mine, "the file");
    assert_eq!(shop.project().name, "Untitled");
}

#[test]
fn a_file_that_is_gone_or_holds_the_same_is_no_question() {
    let mut shop = edited(Shop::small());
    std::fs::remove_file(shop.path()).unwrap();
    shop.ctrl(Key::S);
    same(&load(&shop.path()).unwrap(), &shop.project(), "made again");
    shop.drag("Bend handle 2", vec2(10.0, 30.0));
    save(&shop.path(), &shop.project()).unwrap();
    shop.ctrl(Key::S);
    assert!(!shop.h.state().has_dialog() && !shop.is_starred());
}

#[test]
fn a_save_keeps_the_file_as_it_was_before_beside_it() {
    let mut shop = edited(Shop::small());
    let first = load(&shop.path()).unwrap();
    shop.ctrl(Key::S);
    same(&load(&shop.folder.path().join("job.ron.before")).unwrap(), &first, "as it was");
    let names = std::fs::read_dir(shop.folder.path()).unwrap().count();
    assert_eq!(names, 2, "and nothing else lies about");
}

#[cfg(unix)]
#[test]
fn a_read_only_file_is_refused_with_a_sentence() {
    use std::os::unix::fs::PermissionsExt as _;
    let mut shop = edited(Shop::small());
    let before = load(&shop.path()).unwrap();
    std::fs::set_permissions(shop.path(), std::fs::Permissions::from_mode(0o444)).unwrap();
    shop.ctrl(Key::S);
    assert!(shop.has("The project is not saved") && shop.has("is read-only"));
    same(&load(&shop.path()).unwrap(), &before, "the file");
    shop.click("OK");
    assert!(shop.is_starred());
}

#[test]
fn the_sheet_is_asked_for_written_and_shown() {
    let mut shop = Shop::small();
    let path = shop.folder.path().join("sheet");
    shop.will_answer(Answer::Path(path.clone()));
    shop.ctrl(Key::P);
    let ask = shop.log.borrow().asks[0].clone();
    assert_eq!((ask.purpose, ask.name.as_str()), (Purpose::Sheet, "job-sheet.pdf"));
    let path = path.with_extension("pdf");
    let pdf = std::fs::read(&path).unwrap();
    assert!(pdf.starts_with(b"%PDF-"), "{:?}", &pdf[..8.min(pdf.len())]);
    assert!(pdf.trim_ascii_end().ends_with(b"%%EOF"), "the file is whole");
    assert_eq!(shop.log.borrow().shown, std::slice::from_ref(&path));
    assert!(shop.says().contains(&path.display().to_string()), "{}", shop.says());
    assert!(!shop.is_starred(), "printing changes nothing");
}

#[test]
fn a_sheet_that_cannot_be_written_is_said_and_not_shown() {
    let mut shop = Shop::small();
    shop.will_answer(Answer::Path(shop.folder.path().join("no/such/folder/sheet.pdf")));
    shop.ctrl(Key::P);
    assert!(shop.says().contains("cannot be written"), "{}", shop.says());
    assert!(shop.log.borrow().shown.is_empty());
}

#[test]
fn without_a_run_there_is_no_sheet() {
    let mut shop = Shop::small();
    shop.ctrl(Key::N);
    shop.ctrl(Key::P);
    assert!(shop.log.borrow().asks.is_empty());
    assert_eq!(shop.says(), "No run can be cut yet, so there is no sheet to print.");
}
