//! The pictures in the README, as the program draws them now.
//!
//! `PIPELOFT_PICTURES=write cargo test -p pipeloft-tests --test pixels readme` writes them anew; without that the tests say
//! which of them are stale.

use crate::window::Window;
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable as _;
use image::RgbaImage;
use image::imageops::{FilterType, resize};
use pipeloft::demos;
use pipeloft_core::report::Report;
use pipeloft_core::sheet::{PaperSize, pdf};
use pipeloft_tests::shop::repository;
use std::process::Command;

const WRITE: &str = "PIPELOFT_PICTURES";

/// Blocks of so many pixels are compared by their mean: letters are set a little otherwise on other machines.
const BLOCK: u32 = 8;
/// Most that a block's mean may differ in a colour, of 255.
const ALIKE: u8 = 40;
/// Most blocks that may differ by more, of a thousand.
const FEW: usize = 25;

/// Keeps the picture where that is asked for; else fails where the one that is kept shows something else.
fn keep_or_compare(now: &RgbaImage, name: &str) {
    let path = repository().join("assets/pictures").join(name);
    if std::env::var_os(WRITE).is_some_and(|v| v == "write") {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        image::DynamicImage::from(now.clone()).to_rgb8().save(&path).unwrap();
        return;
    }
    let anew = format!("{WRITE}=write cargo test -p pipeloft-tests --test pixels readme");
    let kept = image::open(&path).unwrap_or_else(|e| panic!("{}: {e}. Write it: {anew}", path.display()));
    let kept = kept.to_rgba8();
    assert_eq!(kept.dimensions(), now.dimensions(), "{name} is stale: {anew}");
    let small = |p: &RgbaImage| resize(p, p.width() / BLOCK, p.height() / BLOCK, FilterType::Triangle);
    let (kept, now) = (small(&kept), small(now));
    let differs = kept
        .pixels()
        .zip(now.pixels())
        .filter(|(a, b)| a.0.iter().zip(&b.0).any(|(a, b)| a.abs_diff(*b) > ALIKE));
    let (differs, all) = (differs.count(), kept.pixels().len());
    assert!(differs * 1000 <= FEW * all, "{name} is stale, {differs} of {all} blocks differ: {anew}");
}

#[test]
fn the_window_in_the_readme_is_the_window() {
    let Some(mut window) = Window::new(0, [1280.0, 760.0], 1.0) else { return };
    window.h.run();
    keep_or_compare(&window.h.render().unwrap(), "window.png");
    // a bend on its way, with what it is too near to
    let ring = window.h.get_by_role_and_label(Role::Button, "Bend handle 2").rect().center();
    let mut frame = |events: &[Event]| {
        window.h.input_mut().events.extend_from_slice(events);
        window.h.step();
    };
    let button = |pos: Pos2, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    let to = ring + vec2(7.0, -9.0);
    frame(&[Event::PointerMoved(ring)]);
    frame(&[button(ring, true), Event::PointerMoved(ring.lerp(to, 0.3))]);
    frame(&[Event::PointerMoved(to)]);
    frame(&[]);
    assert!(window.h.state().view().drag.is_some());
    keep_or_compare(&window.h.render().unwrap(), "drag.png");
}

#[test]
fn the_sheet_in_the_readme_is_the_sheet() {
    if Command::new("pdftoppm").arg("-v").output().is_err() {
        assert!(std::env::var_os("PIPELOFT_NEED_PDFTOTEXT").is_none(), "pdftoppm is not there");
        return;
    }
    let project = demos::ALL[0].open().unwrap();
    let bytes = pdf(&project, &Report::new(&project), PaperSize::Letter).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("sheet.pdf");
    std::fs::write(&file, bytes).unwrap();
    for page in [1, 4] {
        let out = folder.path().join(format!("page-{page}"));
        let number = page.to_string();
        let args = ["-r", "70", "-f", &number, "-l", &number, "-png", "-singlefile"];
        let done = Command::new("pdftoppm").args(args).arg(&file).arg(&out).status().unwrap();
        assert!(done.success());
        let picture = image::open(out.with_extension("png")).unwrap().to_rgba8();
        keep_or_compare(&picture, &format!("sheet-{page}.png"));
    }
}
