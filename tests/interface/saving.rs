//! Saving, and the sheet.

use crate::bench::{Answer, Shop, same};
use eframe::egui::{Key, vec2};
use pipeloft::platform::Purpose;
use pipeloft_core::file::load;

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
