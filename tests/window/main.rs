//! The program itself in a real window: mouse and keys from outside, title, pictures and files to see what it did.
#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, clippy::print_stderr, reason = "tests")]

mod desk;
mod lost;
mod scans;

use desk::Desk;
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, Modifiers, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use image::RgbaImage;
use pipeloft::{App, Setup};
use pipeloft_core::file::load;
use std::collections::BTreeSet;
use std::path::Path;

const SIZE: [u32; 2] = [1480, 900];

/// Where things are in a window of that size, points.
struct Places {
    ring: [i32; 2],
    view: Rect,
}

/// The same window without a screen, to read places from. Fonts are built in, so the two agree.
fn places(file: &Path) -> Places {
    let setup = Setup { open: Some(file.to_owned()), ..Setup::default() };
    let size = SIZE.map(|s| s as f32);
    let mut h = Harness::builder().with_size(size).with_max_steps(10).build_eframe(|cc| App::new(cc, setup));
    h.key_press_modifiers(Modifiers::SHIFT, Key::F);
    h.run();
    let ring = h.get_by_role_and_label(Role::Button, "Bend handle 2").rect().center();
    Places { ring: [ring.x.round() as i32, ring.y.round() as i32], view: h.get_by_label("3D view").rect() }
}

/// Pixels of a part of the picture.
fn part(picture: &RgbaImage, rect: Rect) -> Vec<[u8; 4]> {
    let inside = |x: u32, y: u32| rect.contains(eframe::egui::pos2(x as f32, y as f32));
    picture.enumerate_pixels().filter(|(x, y, _)| inside(*x, *y)).map(|(_, _, p)| p.0).collect()
}

#[test]
fn a_bend_is_dragged_taken_back_dragged_again_and_saved_in_a_real_window() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gravel-buggy.ron");
    std::fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/../demo-projects/gravel-buggy.ron"), &file).unwrap();
    let original = load(&file).unwrap();
    let places = places(&file);
    let Some(mut desk) = Desk::open(&file, SIZE) else { return };
    desk.wait_for_star(false);
    desk.key("shift+f");
    desk.point([700, 885]);
    desk.pause();

    let still = desk.picture("opened");
    assert_eq!([still.width(), still.height()], SIZE);
    let colours: BTreeSet<_> = part(&still, places.view).into_iter().collect();
    assert!(colours.len() > 1000, "the 3D view shows pipes, not {} colours", colours.len());
    let before = desk.ticks();
    std::thread::sleep(std::time::Duration::from_secs(3));
    let used = desk.ticks() - before;
    assert!(used <= 15, "left alone, the window used {used} hundredths of a second in 3 s");

    desk.drag(places.ring, [40, 24]);
    desk.wait_for_star(true);
    desk.pause();
    let moved = desk.picture("dragged");
    let results = Rect::from_min_max(places.view.right_top(), eframe::egui::pos2(1480.0, 860.0));
    let results = results.with_min_x(places.view.right() + 20.0);
    let changed = part(&still, results).iter().zip(&part(&moved, results)).filter(|(a, b)| a != b).count();
    assert!(changed > 500, "the numbers beside the view follow: {changed} pixels changed");

    desk.key("ctrl+z");
    desk.wait_for_star(false);
    assert_eq!(load(&file).unwrap(), original, "nothing was saved yet");

    desk.pause();
    desk.drag(places.ring, [-30, 20]);
    desk.wait_for_star(true);
    desk.pause();
    desk.key("ctrl+s");
    desk.wait_for_star(false);
    let saved = load(&file).unwrap();
    let mut expected = original.clone();
    expected.runs[0].clone_from(&saved.runs[0]);
    assert!(saved == expected, "nothing but the first run may change");
    let [old, new] = [&original, &saved].map(|p| &p.runs[0].waypoints[0].position_mm);
    assert!(old.distance(*new) > 5.0, "{old} {new}");
    desk.picture("saved");
}
