//! Work that outlives the program, in a real window: killed, or ended by the system.

use crate::desk::Desk;
use crate::{SIZE, places};
use eframe::egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use pipeloft::platform::Recovery;
use pipeloft::{App, Setup};
use pipeloft_core::file::load;
use pipeloft_core::model::Project;
use std::path::{Path, PathBuf};

/// The copies there are.
fn copies(desk: &Desk) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(desk.state().join("unsaved")).into_iter().flatten();
    let paths = entries.map(|e| e.unwrap().path());
    paths.filter(|p| p.extension().is_some_and(|e| e == "ron")).collect()
}

/// Waits until the one copy holds another first run than `than`.
fn copy_of_another(desk: &mut Desk, than: &Project) -> Project {
    desk.wait("a copy of the work", |d| {
        let copy = load(copies(d).first()?).ok()?;
        (copy.runs[0] != than.runs[0]).then_some(copy)
    })
}

/// Where the button is that brings work back, in the same window without a screen.
fn bring_back_at(file: &Path, copy: &Path) -> [i32; 2] {
    let state = tempfile::tempdir().unwrap();
    std::fs::copy(copy, state.path().join("work-1-0.ron")).unwrap();
    let recovery = Recovery::at(state.path().to_owned());
    let setup = Setup { open: Some(file.to_owned()), recovery, ..Setup::default() };
    let size = SIZE.map(|s| s as f32);
    let mut h = Harness::builder().with_size(size).with_max_steps(10).build_eframe(|cc| App::new(cc, setup));
    h.run();
    let at = h.get_by_role_and_label(Role::Button, "Bring it back").rect().center();
    [at.x.round() as i32, at.y.round() as i32]
}

#[test]
fn a_killed_window_loses_nothing_that_had_time_to_be_copied_and_a_stopped_one_nothing_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gravel-buggy.ron");
    std::fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/../demo-projects/gravel-buggy.ron"), &file).unwrap();
    let original = load(&file).unwrap();
    let ring = places(&file).ring;
    let Some(mut desk) = Desk::open(&file, SIZE) else { return };
    desk.wait_for_star(false);
    desk.key("shift+f");
    desk.point([700, 885]);
    desk.pause();
    desk.drag(ring, [40, 24]);
    desk.wait_for_star(true);
    let copy = copy_of_another(&mut desk, &original);
    desk.end_by("-KILL");
    assert!(load(&file).unwrap() == original, "the file was not touched");

    // it is offered, and knows its file
    let button = bring_back_at(&file, &copies(&desk)[0]);
    desk.start(&file, SIZE);
    desk.pause();
    desk.picture("offered");
    desk.click(button);
    desk.wait_for_star(true);
    desk.key("ctrl+s");
    desk.wait_for_star(false);
    assert!(load(&file).unwrap() == copy, "what was brought back is in its own file");
    desk.wait("no copy of what is saved", |d| copies(d).is_empty().then_some(()));

    // a signal that ends the program does not wait for the work to rest
    desk.key("shift+f");
    desk.point([700, 885]);
    desk.pause();
    let ring = places(&file).ring;
    desk.drag(ring, [-30, 20]);
    desk.wait_for_star(true);
    desk.end_by("-TERM");
    let left = load(&copies(&desk)[0]).unwrap();
    assert!(left.runs[0] != copy.runs[0], "the last change is in the copy");
    let log = std::fs::read_to_string(desk.state().join("pipeloft.log")).unwrap();
    for words in ["begins", "opened", "brought back", "saved to", "ended by signal 15"] {
        assert!(log.contains(words), "{words}: {log}");
    }
}
