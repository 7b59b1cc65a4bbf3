//! Work that could be lost, and the question before it.

use crate::bench::{Answer, Shop, same};
use eframe::egui::{Key, ViewportCommand, vec2};
use pipeloft::demos;
use pipeloft::platform::Purpose;
use pipeloft_core::file::load;
use pipeloft_core::model::Project;
use pipeloft_core::units::UnitSystem;

/// A way to leave the open project.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    New,
    Open,
    Example,
    Drop,
    Quit,
    Close,
}

const WAYS: [Way; 6] = [Way::New, Way::Open, Way::Example, Way::Drop, Way::Quit, Way::Close];

fn other() -> Project {
    Project::new("other", UnitSystem::Millimetre)
}

/// A changed project that has a file, and another file.
fn changed() -> Shop {
    let mut shop = Shop::small();
    pipeloft_core::file::save(&shop.folder.path().join("other.ron"), &other()).unwrap();
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    assert!(shop.is_starred());
    shop
}

fn go(shop: &mut Shop, way: Way) {
    let other = shop.folder.path().join("other.ron");
    match way {
        Way::New => shop.ctrl(Key::N),
        Way::Open => {
            shop.will_answer(Answer::Path(other));
            shop.ctrl(Key::O);
        }
        Way::Example => shop.menu(&["File", "Open an example", demos::ALL[1].title]),
        Way::Drop => shop.drop_file(other),
        Way::Quit => shop.ctrl(Key::Q),
        Way::Close => assert!(!shop.close_window(), "the window is held back"),
    }
}

/// Whether the window has been told to close; clicks the button frame by frame to see it.
fn click_and_watch(shop: &mut Shop, label: &str) -> bool {
    let at = shop.button(label).rect().center();
    shop.press_and_move(at, at);
    shop.frame(&[eframe::egui::Event::PointerButton {
        pos: at,
        button: eframe::egui::PointerButton::Primary,
        pressed: false,
        modifiers: eframe::egui::Modifiers::NONE,
    }]);
    let told = shop.sent(|c| matches!(c, ViewportCommand::Close));
    shop.run();
    told
}

/// Whether the project was left the way it should be.
fn has_left(shop: &Shop, way: Way, told_to_close: bool) -> bool {
    let name = shop.project().name.clone();
    match way {
        Way::New => name == "Untitled",
        Way::Open | Way::Drop => name == "other",
        Way::Example => name == demos::ALL[1].open().unwrap().name,
        Way::Quit | Way::Close => told_to_close,
    }
}

#[test]
fn every_way_out_asks_before_work_is_lost() {
    for way in WAYS {
        let mut shop = changed();
        let work = shop.project();
        go(&mut shop, way);
        assert!(shop.has("Save the changes?"), "{way:?}");
        assert!(shop.has(&format!("{} has changes that are not saved.", work.name)));
        assert!(shop.log.borrow().asks.is_empty(), "{way:?}: first the question, then the dialog");
        same(&shop.project(), &work, "still there");
    }
}

#[test]
fn save_saves_and_then_goes_on() {
    for way in WAYS {
        let mut shop = changed();
        let work = shop.project();
        go(&mut shop, way);
        let told = click_and_watch(&mut shop, "Save");
        same(&load(&shop.path()).unwrap(), &work, "the file");
        assert!(has_left(&shop, way, told), "{way:?}");
        assert!(!shop.is_starred());
    }
}

#[test]
fn dont_save_goes_on_and_leaves_the_file_alone() {
    for way in WAYS {
        let mut shop = changed();
        let file = load(&shop.path()).unwrap();
        go(&mut shop, way);
        let told = click_and_watch(&mut shop, "Don't save");
        same(&load(&shop.path()).unwrap(), &file, "the file");
        assert!(has_left(&shop, way, told), "{way:?}");
    }
}

#[test]
fn go_back_and_escape_stay_with_the_work() {
    for way in WAYS {
        for by_key in [false, true] {
            let mut shop = changed();
            let (work, selected) = (shop.project(), shop.h.state().session().selection);
            let file = load(&shop.path()).unwrap();
            go(&mut shop, way);
            let told = if by_key {
                shop.key(Key::Escape);
                false
            } else {
                click_and_watch(&mut shop, "Go back")
            };
            assert!(!shop.h.state().has_dialog(), "{way:?}");
            same(&shop.project(), &work, "still there");
            same(&load(&shop.path()).unwrap(), &file, "the file");
            assert!(shop.is_starred() && !has_left(&shop, way, told), "{way:?}");
            assert_eq!(shop.h.state().session().selection, selected);
        }
    }
}

#[test]
fn enter_saves() {
    let mut shop = changed();
    let work = shop.project();
    go(&mut shop, Way::New);
    shop.key(Key::Enter);
    same(&load(&shop.path()).unwrap(), &work, "the file");
    assert!(has_left(&shop, Way::New, false));
}

#[test]
fn without_changes_nothing_is_asked() {
    for way in WAYS {
        let mut shop = Shop::small();
        pipeloft_core::file::save(&shop.folder.path().join("other.ron"), &other()).unwrap();
        match way {
            Way::Close => assert!(shop.close_window(), "it may go"),
            Way::Quit => {
                shop.h.key_down_modifiers(eframe::egui::Modifiers::COMMAND, Key::Q);
                let mut told = false;
                for _ in 0..4 {
                    shop.h.step();
                    told |= shop.sent(|c| matches!(c, ViewportCommand::Close));
                }
                assert!(told || shop.close_window(), "it may go");
            }
            _ => {
                go(&mut shop, way);
                assert!(has_left(&shop, way, false), "{way:?}");
            }
        }
        assert!(!shop.h.state().has_dialog(), "{way:?}");
    }
}

#[test]
fn a_save_that_fails_or_is_given_up_does_not_go_on() {
    for answer in [Answer::Nothing, Answer::Path("/no/such/folder/job.ron".into())] {
        let mut shop = Shop::first_start();
        shop.drag("Bend handle 2", vec2(30.0, 12.0));
        let work = shop.project();
        shop.will_answer(answer.clone());
        shop.ctrl(Key::N);
        shop.click("Save");
        assert_eq!(shop.log.borrow().asks[0].purpose, Purpose::Save);
        same(&shop.project(), &work, "still there");
        assert!(shop.is_starred(), "{answer:?}");
        if shop.h.state().has_dialog() {
            assert!(shop.has("The project is not saved"), "{answer:?}");
            shop.click("OK");
        }
        // a later save does not remember the way out
        let path = shop.folder.path().join("mine.ron");
        shop.will_answer(Answer::Path(path.clone()));
        shop.ctrl(Key::S);
        same(&load(&path).unwrap(), &work, "the file");
        same(&shop.project(), &work, "and the project stays open");
    }
}

#[test]
fn a_save_to_a_new_place_goes_on_once_it_has_worked() {
    let mut shop = Shop::first_start();
    shop.drag("Bend handle 2", vec2(30.0, 12.0));
    let work = shop.project();
    let path = shop.folder.path().join("mine.ron");
    shop.will_answer(Answer::Path(path.clone()));
    shop.ctrl(Key::N);
    shop.click("Save");
    same(&load(&path).unwrap(), &work, "the file");
    assert!(has_left(&shop, Way::New, false));
}

#[test]
fn closing_in_mid_drag_asks_too_and_escape_gives_the_drag_up_nowhere_else() {
    let mut shop = Shop::small();
    let before = shop.project();
    let at = shop.handle("Bend handle 2");
    shop.press_and_move(at, at + vec2(30.0, 12.0));
    assert!(!shop.close_window_in_drag(), "the window is held back");
    // the question is measured in one frame and shown in the next, which it asks for itself
    shop.run();
    assert!(shop.has("Save the changes?"));
    shop.move_and_release(at + vec2(30.0, 12.0));
    shop.key(Key::Escape);
    assert!(!shop.h.state().has_dialog());
    let after = shop.project();
    assert!(after != before && shop.is_starred());
    assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
}

#[test]
fn closing_hands_over_what_is_being_typed_and_asks() {
    let mut shop = Shop::small();
    shop.select(&shop.project().hardpoints[0].name.clone());
    shop.begin_field("X, forward", "250");
    assert!(!shop.close_window(), "the window is held back");
    shop.run();
    assert!(shop.has("Save the changes?"));
    shop.key(Key::Escape);
    assert!(shop.is_starred());
    assert_eq!(shop.project().hardpoints[0].position_mm.x.to_bits(), 250_f64.to_bits());
}

#[test]
fn closing_with_a_field_in_use_and_nothing_typed_closes() {
    let mut shop = Shop::small();
    shop.select(&shop.project().hardpoints[0].name.clone());
    shop.field("X, forward").focus();
    shop.run();
    assert!(!shop.close_window(), "what may stand in the field is handed over first");
    assert!(!shop.is_starred() && !shop.h.state().has_dialog());
    assert!(shop.close_window(), "it may go");
}
