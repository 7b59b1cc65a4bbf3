//! Scans: brought in, placed, cut down, picked on, lost and found again.

use crate::bench::{Answer, Shop, one_pipe, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, Pos2};
use egui_kittest::kittest::Queryable as _;
use glam::{DQuat, DVec3, EulerRot};
use pipeloft::platform::Purpose;
use pipeloft_core::file::{load, save};
use pipeloft_core::model::{Datum, DatumId, Item, KeepBox, Obstacle, Project, ScanFile, Shape};
use pipeloft_core::space::scan::ScanState;
use pipeloft_core::units::UnitSystem;
use pipeloft_tests::scans::{MOUTH, STUB_ID, STUB_OD, engine, on_rim, stl};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Triangles as an OBJ that says inches or nothing.
fn obj(triangles: &[[DVec3; 3]], head: &str) -> String {
    let mut out = format!("{head}\n");
    for p in triangles.as_flattened() {
        writeln!(out, "v {} {} {}", p.x, p.y, p.z).unwrap();
    }
    for i in 0..triangles.len() {
        writeln!(out, "f {} {} {}", 3 * i + 1, 3 * i + 2, 3 * i + 3).unwrap();
    }
    out
}

/// Waits for what comes from a thread.
#[track_caller]
fn wait(shop: &mut Shop, what: &str, come: impl Fn(&Shop) -> bool) {
    let begin = Instant::now();
    loop {
        shop.run();
        if come(shop) {
            return;
        }
        assert!(begin.elapsed() < Duration::from_mins(1), "{what} never came; it says “{}”", shop.says());
        std::thread::sleep(Duration::from_millis(10));
    }
}

/// The first scan of the project.
fn scan(shop: &Shop) -> Option<(Obstacle, ScanFile)> {
    shop.project().obstacles.iter().find_map(|o| Some((o.clone(), o.shape.as_scan()?.clone())))
}

/// How it stands, in a word.
fn state(shop: &Shop) -> &'static str {
    let Some((_, scan)) = scan(shop) else { return "none" };
    match shop.h.state().session().scans().state(&scan) {
        None => "unknown",
        Some(ScanState::Reading) => "reading",
        Some(ScanState::Ready(_)) => "ready",
        Some(ScanState::Missing(_)) => "missing",
        Some(ScanState::Changed(..)) => "changed",
    }
}

fn triangles(shop: &Shop) -> usize {
    let (_, file) = scan(shop).unwrap();
    shop.h.state().session().scans().tree(&file).map_or(0, |tree| tree.scan().len())
}

/// Writes a file into the folder of the shop.
fn write(shop: &Shop, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
    let path = shop.folder.path().join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(&path, bytes).unwrap();
    path
}

/// Asks for a scan from the menu and gives this file.
fn bring(shop: &mut Shop, path: &Path) {
    shop.will_answer(Answer::Path(path.to_owned()));
    shop.menu(&["File", "Bring in a scan…"]);
}

/// A project in millimetres with the engine in it, placed at the vehicle's origin.
fn with_engine() -> Shop {
    let mut shop = Shop::open(&Project { hardpoints: Vec::new(), runs: Vec::new(), ..one_pipe() });
    let path = write(&shop, "engine.stl", stl(&engine()));
    bring(&mut shop, &path);
    wait(&mut shop, "the question for the unit", |s| s.has("What is it measured in?"));
    shop.click("In millimetres");
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    shop
}

/// Where a place of the vehicle is in the window.
fn in_window(shop: &Shop, at: DVec3) -> Pos2 {
    let (view, at) = (shop.h.get_by_label("3D view").rect(), shop.on_screen(at));
    assert!(view.contains(at), "{at} is out of view");
    at
}

/// Clicks on a place of the vehicle.
fn click_on(shop: &mut Shop, at: DVec3) {
    let pos = in_window(shop, at);
    shop.click_at(pos);
}

/// Places on the three sides of the block that the free view shows, in the axes of the file.
const MARKS: [DVec3; 4] = [
    DVec3::new(40.0, 40.0, 200.0),
    DVec3::new(360.0, 260.0, 200.0),
    DVec3::new(400.0, 260.0, 30.0),
    DVec3::new(60.0, 300.0, 60.0),
];

#[test]
fn a_scan_is_asked_for_read_asked_about_and_in_the_project_as_one_step() {
    let mut shop = Shop::small();
    let before = shop.project();
    let path = write(&shop, "engine.stl", stl(&engine()));
    bring(&mut shop, &path);
    assert_eq!(shop.log.borrow().asks[0].purpose, Purpose::Scan);
    assert!(shop.log.borrow().asks[0].endings().contains(&"ply"));
    wait(&mut shop, "the question", |s| s.has("What is it measured in?"));
    assert!(shop.has("460 mm × 300 mm × 200 mm  ← looks right"));
    same(&shop.project(), &before, "nothing is changed before the answer");
    shop.click("In inches");
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    let (obstacle, file) = scan(&shop).unwrap();
    assert_eq!((obstacle.name.as_str(), file.path.as_str()), ("engine", "engine.stl"));
    assert_eq!(file.bytes, std::fs::metadata(&path).unwrap().len());
    // as sha256sum has it: not from the program
    assert_eq!((file.sha256.len(), file.mm_per_unit), (64, 25.4));
    assert!(
        file.low_mm.length() < 1e-3 && file.high_mm.distance(DVec3::new(460.0, 300.0, 200.0) * 25.4) < 0.01
    );
    assert!(shop.has("Place the scan"), "the next step is open");
    assert!(shop.says().contains("732 triangles"), "{}", shop.says());
    assert_eq!(shop.undo_name().as_deref(), Some("bring in engine"));
    // the file goes: taking back and doing again must not need it
    std::fs::remove_file(&path).unwrap();
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step");
    assert!(!shop.has("Place the scan"), "the form has nothing to be about");
    shop.ctrl(Key::Y);
    assert_eq!(state(&shop), "ready");
    assert_eq!(triangles(&shop), engine().len());
}

#[test]
fn a_mesh_dropped_on_the_window_is_brought_in_and_a_project_still_opens() {
    let mut shop = Shop::small();
    let head = "# File units = millimeters";
    let path = write(&shop, "scans/bay.OBJ", obj(&engine(), head));
    shop.drop_file(path);
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    let (_, file) = scan(&shop).unwrap();
    assert_eq!((file.path.as_str(), file.mm_per_unit), ("scans/bay.OBJ", 1.0));
    shop.ctrl(Key::S);
    let other = shop.folder.path().join("other.ron");
    save(&other, &Project::new("other", UnitSystem::Millimetre)).unwrap();
    shop.drop_file(other);
    assert_eq!(shop.project().name, "other");
}

#[test]
fn what_cannot_be_read_is_said_in_the_form_and_in_the_status_line() {
    let mut shop = Shop::small();
    let before = shop.project();
    let mut half = stl(&engine());
    half.truncate(half.len() / 2);
    let path = write(&shop, "half.stl", half);
    bring(&mut shop, &path);
    wait(&mut shop, "the sentence", |s| s.has("Choose another file…"));
    assert!(
        shop.says().contains("half.stl") && shop.says().contains("Export the scan again"),
        "{}",
        shop.says()
    );
    assert!(shop.h.state().session().message.as_ref().is_some_and(|m| m.bad));
    assert!(shop.h.query_all_by_label_contains("half.stl").count() >= 2);
    same(&shop.project(), &before, "nothing came in");
    let path = write(&shop, "whole.stl", stl(&engine()));
    shop.will_answer(Answer::Path(path));
    shop.click("Choose another file…");
    wait(&mut shop, "the question", |s| s.has("What is it measured in?"));
}

/// A sheet of many triangles: it takes a while to read.
fn wide() -> Vec<u8> {
    let cell = |i: i32| {
        let (x, y) = (f64::from(i % 600), f64::from(i / 600));
        let z = (0.1 * x).sin() + (0.07 * y).cos();
        [DVec3::new(x, y, z), DVec3::new(x + 1.0, y, z), DVec3::new(x, y + 1.0, z)]
    };
    stl(&(0..360_000).map(cell).collect::<Vec<_>>())
}

#[test]
fn a_scan_that_takes_long_can_be_given_up_and_the_window_works_meanwhile() {
    let mut shop = Shop::small();
    let before = shop.project();
    let path = write(&shop, "wide.stl", wide());
    bring(&mut shop, &path);
    assert!(shop.has("Reading wide.stl") && !shop.has("What is it measured in?"));
    shop.click("Cancel");
    assert!(!shop.has("Reading wide.stl"));
    assert_eq!(shop.says(), "wide.stl was not brought in.");
    same(&shop.project(), &before, "nothing came in");
    bring(&mut shop, &path);
    shop.key(Key::Escape);
    assert!(!shop.has("Bring in wide.stl"));
    std::thread::sleep(Duration::from_millis(300));
    shop.run();
    same(&shop.project(), &before, "given up is given up");
}

#[test]
fn a_projects_scan_is_read_beside_the_window_and_stops_when_the_project_goes() {
    let shop = with_engine();
    let mut project = (*shop.project()).clone();
    let path = write(&shop, "wide.stl", wide());
    if let Shape::Scan(file) = &mut project.obstacles[0].shape {
        file.path = path.display().to_string();
    }
    let mut shop = Shop::open(&project);
    assert_eq!(state(&shop), "reading");
    assert!(shop.has("Reading the scan wide.stl"), "the status line says so");
    assert!(!shop.has("are not checked. Its file"), "and it is no fault yet");
    shop.ctrl(Key::N);
    assert!(!shop.has("Reading the scan"));
    // read to the end it is another file than the project knows
    let mut shop = Shop::open(&project);
    wait(&mut shop, "the scan", |s| state(s) == "changed");
    assert!(!shop.has("Reading the scan"));
}

#[test]
fn a_scan_is_placed_by_places_known_on_both() {
    let mut shop = with_engine();
    let turn = DQuat::from_euler(EulerRot::ZYX, 0.6, -0.25, 0.1);
    let shift = DVec3::new(812.0, -340.0, 155.0);
    let mut project = (*shop.project()).clone();
    for (i, mark) in MARKS.iter().enumerate() {
        project.datums.push(Datum {
            id: DatumId(900 + i as u32),
            name: format!("Punch {}", i + 1),
            body: project.bodies[0].id,
            position_mm: turn * *mark + shift,
            hidden: false,
        });
    }
    project.next_id = 1000;
    let path = shop.path();
    shop.ctrl(Key::S);
    save(&path, &project).unwrap();
    shop.drop_file(path);
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    shop.select("engine");
    shop.menu(&["View", "Fit what is selected"]);
    shop.click("Place…");
    let before = shop.project();
    for (i, mark) in MARKS.iter().enumerate().take(3) {
        let button = shop.h.query_by_role_and_label(Role::Button, "Place it");
        assert!(button.is_none(), "{i} pairs are too few");
        click_on(&mut shop, *mark);
        assert!(shop.has(&format!("Say where pair {} is", i + 1)));
        shop.choose(&format!("Pair {} is", i + 1), 0, &format!("Punch {}", i + 1));
    }
    assert!(shop.has("pairs fit to"), "the residual is told");
    click_on(&mut shop, MARKS[3]);
    shop.choose("Pair 4 is", 0, "at X, Y, Z as typed");
    let at = turn * MARKS[3] + shift;
    for (axis, value) in ["X", "Y", "Z"].into_iter().zip(at.to_array()) {
        shop.fill(&format!("{axis} of pair 4"), &format!("{value:.4}mm"));
    }
    assert!(shop.has("The 4 pairs fit to"));
    same(&shop.project(), &before, "nothing has changed yet");
    shop.press("Place it");
    let (obstacle, _) = scan(&shop).unwrap();
    for mark in MARKS {
        let there = obstacle.pose.world_from_own(mark);
        assert!(there.distance(turn * mark + shift) < 0.05, "{there}");
    }
    assert_eq!(shop.undo_name().as_deref(), Some("place engine"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step");
    assert_eq!(state(&shop), "ready", "moving it reads nothing");
}

#[test]
fn a_scan_in_another_unit_is_told_and_left_alone_until_it_is_asked_for() {
    let mut shop = with_engine();
    // the places as measured say that what was read as mm was inches
    for (i, mark) in MARKS.iter().enumerate().take(3) {
        click_on(&mut shop, *mark);
        shop.choose(&format!("Pair {} is", i + 1), 0, "at X, Y, Z as typed");
        for (axis, value) in ["X", "Y", "Z"].into_iter().zip((*mark * 25.4).to_array()) {
            shop.fill(&format!("{axis} of pair {}", i + 1), &format!("{value}mm"));
        }
    }
    assert!(shop.has("they look like inches taken for mm"));
    assert_eq!(scan(&shop).unwrap().1.mm_per_unit, 1.0, "never silently");
    shop.press("Take the scan as inches");
    let (_, file) = scan(&shop).unwrap();
    assert_eq!(file.mm_per_unit, 25.4);
    assert!(file.high_mm.distance(DVec3::new(460.0, 300.0, 200.0) * 25.4) < 0.01);
    assert!(shop.has("The 3 pairs fit to"), "the pairs stay on their places of the scan");
    assert_eq!(state(&shop), "ready", "and nothing is read again");
}

#[test]
fn a_scan_is_placed_by_numbers_and_a_pose_out_of_the_world_is_refused_with_a_sentence() {
    let mut shop = with_engine();
    shop.fill("Origin X", "70000mm");
    shop.press("Put it there");
    assert!(shop.has("engine") && shop.has("50"), "it says what and how far");
    assert_eq!(scan(&shop).unwrap().0.pose.position_mm, DVec3::ZERO);
    shop.fill("Origin X", "700mm");
    shop.fill("Turned about Z", "90");
    shop.press("Put it there");
    let (obstacle, _) = scan(&shop).unwrap();
    assert!(obstacle.pose.world_from_own(DVec3::X * 100.0).distance(DVec3::new(700.0, 100.0, 0.0)) < 1e-6);
}

#[test]
fn a_hardpoint_is_made_from_three_points_round_a_rim() {
    let mut shop = with_engine();
    shop.click("Close");
    shop.click("Pick a rim…");
    for clock in [80.0, 200.0] {
        click_on(&mut shop, on_rim(clock));
    }
    assert!(!shop.has("Make a hardpoint"), "two points are no rim");
    click_on(&mut shop, on_rim(320.0));
    assert!(shop.has("Taken for"), "the tube in stock is named");
    let before = shop.project();
    shop.press("Make a hardpoint");
    let project = shop.project();
    let port = project.hardpoints.last().unwrap();
    assert!(port.position_mm.distance(MOUTH) < 0.05, "{}", port.position_mm);
    assert!(port.direction.distance(DVec3::X) < 1e-3, "{} is not out of the part", port.direction);
    assert_eq!(port.od_mm, STUB_OD);
    assert_eq!(shop.h.state().session().selection.item, Some(Item::Hardpoint(port.id)));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "one step");
}

#[test]
fn a_rim_of_no_size_in_stock_keeps_what_was_measured_and_says_so() {
    let mut shop = with_engine();
    shop.press("Close");
    shop.click("Pick a rim…");
    for clock in [80.0_f64, 200.0, 320.0] {
        let (sin, cos) = clock.to_radians().sin_cos();
        click_on(&mut shop, MOUTH + DVec3::new(0.0, cos, sin) * (STUB_ID / 2.0 + 0.05));
    }
    assert!(shop.has("No tube in stock is within"));
    shop.press("Take back the last");
    assert!(!shop.has("No tube in stock is within"));
    click_on(&mut shop, MOUTH + DVec3::new(0.0, 0.0, -1.0) * (STUB_ID / 2.0 + 0.05));
    shop.press("Make a hardpoint");
    let od_mm = shop.project().hardpoints.last().unwrap().od_mm;
    assert!((od_mm - STUB_ID - 0.1).abs() < 0.05, "{od_mm}");
}

#[test]
fn a_click_beside_the_scan_is_told_apart() {
    let mut shop = with_engine();
    shop.press("Close");
    shop.select("engine");
    shop.menu(&["Add", "Add obstacle", "Ball"]);
    for (label, text) in [("X, forward", "200mm"), ("Y, left", "150mm"), ("Z, up", "400mm")] {
        shop.fill(label, text);
    }
    shop.select("engine");
    shop.click("Pick a rim…");
    // at first there is nothing but the scan
    shop.h.get_by_label("Show only the scan").click();
    shop.run();
    // high over the block: whichever way one looks from above, the ball is in front
    click_on(&mut shop, DVec3::new(200.0, 150.0, 400.0));
    assert!(shop.has("That was Ball, not the scan."));
    shop.h.get_by_label("Show only the scan").click();
    shop.run();
    let ball = shop.project().obstacles.last().unwrap().name.clone();
    click_on(&mut shop, DVec3::new(200.0, 150.0, 400.0));
    assert!(!shop.has(&format!("That was {ball}")), "what is left out cannot be clicked on");
    assert!(!shop.has("Points: 1"));
    click_on(&mut shop, MARKS[2]);
    assert!(shop.has("Points: 1") && !shop.has("That was Ball"));
}

#[test]
fn what_was_picked_or_typed_is_not_thrown_away_without_a_question() {
    let mut shop = with_engine();
    let leave = |shop: &mut Shop, what: &str| {
        shop.press("Close");
        assert!(shop.has("Leave the form?"), "{what}");
        shop.click("Throw it away");
    };
    click_on(&mut shop, MARKS[0]);
    leave(&mut shop, "a pair");
    shop.click("Place…");
    shop.press("Close");
    assert!(!shop.h.state().has_dialog(), "nothing was entered");
    for words in ["Pick a rim…", "Pick a face…"] {
        shop.click(words);
        click_on(&mut shop, MARKS[1]);
        leave(&mut shop, words);
    }
    shop.click("Cut down…");
    shop.fill("Z from", "5mm");
    leave(&mut shop, "a box");
}

#[test]
fn a_hardpoint_is_made_from_one_point_of_a_face() {
    let mut shop = with_engine();
    shop.press("Close");
    shop.click("Pick a face…");
    click_on(&mut shop, MARKS[1]);
    shop.press("Make a hardpoint");
    let project = shop.project();
    let port = project.hardpoints.last().unwrap();
    assert!(port.position_mm.distance(MARKS[1]) < 0.05, "{}", port.position_mm);
    assert!(port.direction.distance(DVec3::Z) < 1e-6, "{}", port.direction);
    assert!(port.outward().is_some_and(|f| f.index.dot(DVec3::Z).abs() < 1e-6), "12 o'clock lies across");
}

#[test]
fn a_scan_is_cut_down_to_a_box_and_whole_again() {
    let mut shop = with_engine();
    shop.press("Close");
    let whole = scan(&shop).unwrap().1;
    shop.click("Cut down…");
    assert!(shop.has("732 of 732 triangles remain."), "it begins with all there is");
    // the stub alone, its wall and its mouth: 720 triangles, and the two of the front
    shop.fill("X from", "399mm");
    assert!(shop.has("of 732 triangles remain."));
    shop.fill("X from", "410mm");
    assert!(shop.has("720 of 732 triangles remain."));
    shop.press("Cut it down");
    wait(&mut shop, "the cut", |s| state(s) == "ready");
    assert_eq!(triangles(&shop), 720);
    let (_, file) = scan(&shop).unwrap();
    let keep = file.keep.unwrap();
    assert_eq!(keep, KeepBox { low_mm: DVec3::new(410.0, 0.0, 0.0), high_mm: whole.high_mm });
    assert!((file.low_mm.x - 400.0).abs() < 1e-3 && (file.high_mm.y - MOUTH.y - STUB_OD / 2.0).abs() < 0.01);
    // taken back, the whole tree is there without the file
    let path = shop.folder.path().join("engine.stl");
    let aside = shop.folder.path().join("aside.bin");
    std::fs::rename(&path, &aside).unwrap();
    shop.ctrl(Key::Z);
    assert_eq!((state(&shop), triangles(&shop)), ("ready", 732));
    shop.ctrl(Key::Y);
    assert_eq!((state(&shop), triangles(&shop)), ("ready", 720));
    std::fs::rename(&aside, &path).unwrap();
    shop.select("engine");
    shop.click("Cut down…");
    wait(&mut shop, "the whole scan", |s| s.has("Undo the cut"));
    shop.press("Undo the cut");
    assert_eq!((state(&shop), triangles(&shop)), ("ready", 732));
    same_file(&scan(&shop).unwrap().1, &whole);
}

#[track_caller]
fn same_file(left: &ScanFile, right: &ScanFile) {
    assert_eq!(left, right);
}

#[test]
fn a_box_with_nothing_in_it_is_no_cut() {
    let mut shop = with_engine();
    shop.press("Close");
    shop.click("Cut down…");
    shop.fill("Z from", "5000mm");
    shop.fill("Z to", "6000mm");
    assert!(shop.has("No triangle lies in this box."));
    let before = shop.project();
    shop.press("Cut it down");
    same(&shop.project(), &before, "nothing is cut");
}

#[test]
fn a_file_that_is_gone_is_said_found_again_and_read() {
    let shop = with_engine();
    let project = (*shop.project()).clone();
    let mut shop = Shop::open(&project);
    wait(&mut shop, "the finding", |s| state(s) == "missing");
    shop.select(&project.name);
    assert!(shop.has("Gaps to engine are not checked.") && shop.has("⚠ engine"));
    let elsewhere = write(&shop, "deep/in/there/engine.stl", stl(&engine()));
    shop.will_answer(Answer::Path(elsewhere));
    shop.press("Find the file…");
    assert!(matches!(shop.log.borrow().asks[0].purpose, Purpose::FindScan(_)));
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    assert_eq!(scan(&shop).unwrap().1.path, "deep/in/there/engine.stl");
    assert_eq!(shop.undo_name().as_deref(), Some("find engine"));
    assert!(!shop.has("Gaps to engine are not checked."));
    // put back where it was, it is found by looking again
    shop.ctrl(Key::Z);
    wait(&mut shop, "the finding", |s| state(s) == "missing");
    write(&shop, "engine.stl", stl(&engine()));
    shop.select("engine");
    shop.press("Read it again");
    wait(&mut shop, "the scan", |s| state(s) == "ready");
}

#[test]
fn a_file_that_was_changed_is_said_and_can_be_taken_as_it_is() {
    let shop = with_engine();
    let project = (*shop.project()).clone();
    let mut shop = Shop::open(&project);
    let longer: Vec<[DVec3; 3]> =
        engine().into_iter().map(|corners| corners.map(|p| p * DVec3::new(2.0, 1.0, 1.0))).collect();
    write(&shop, "engine.stl", stl(&longer));
    shop.select("engine");
    wait(&mut shop, "an answer", |s| state(s) != "reading");
    shop.press("Read it again");
    wait(&mut shop, "the finding", |s| state(s) == "changed");
    assert!(shop.has("is not the file it was when it was brought in"));
    shop.press("Use it as it is now");
    assert_eq!(state(&shop), "ready");
    let (_, file) = scan(&shop).unwrap();
    assert!((file.high_mm.x - 920.0).abs() < 1e-3);
    assert!(!shop.has("is not the file it was"));
}

#[test]
fn the_path_is_whole_until_the_project_has_a_folder_and_follows_it_from_then_on() {
    let mut shop = Shop::first_start();
    shop.ctrl(Key::N);
    let path = write(&shop, "scans/engine.stl", stl(&engine()));
    bring(&mut shop, &path);
    wait(&mut shop, "the question", |s| s.has("What is it measured in?"));
    shop.click("In millimetres");
    wait(&mut shop, "the scan", |s| state(s) == "ready");
    let real = path.canonicalize().unwrap();
    assert_eq!(scan(&shop).unwrap().1.path, real.display().to_string());
    shop.will_answer(Answer::Path(shop.folder.path().join("job.ron")));
    shop.ctrl(Key::S);
    assert_eq!(scan(&shop).unwrap().1.path, "scans/engine.stl");
    assert!(!shop.is_starred());
    assert_eq!(state(&shop), "ready");
    assert_eq!(shop.undo_name().as_deref(), Some("bring in engine"), "no step of its own");
    same(&load(&shop.path()).unwrap(), &shop.project(), "the file");
    std::fs::create_dir(shop.folder.path().join("copy")).unwrap();
    let copy = shop.folder.path().join("copy/job.ron");
    shop.will_answer(Answer::Path(copy.clone()));
    shop.ctrl_shift(Key::S);
    assert_eq!(scan(&shop).unwrap().1.path, "../scans/engine.stl");
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Y);
    assert_eq!((scan(&shop).unwrap().1.path.as_str(), state(&shop)), ("../scans/engine.stl", "ready"));
    assert!(!shop.is_starred());
    let mut shop = Shop::start(Some(copy), pipeloft::platform::Recovery::default());
    wait(&mut shop, "the scan", |s| state(s) == "ready");
}
