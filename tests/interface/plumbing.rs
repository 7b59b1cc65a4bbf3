//! Tapers, small parts, merges, bars and open ends, as a person enters them in the window.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::Key;
use pipeloft_core::edit::handle::{Freedom, Handle, freedom, place};
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{BarEndMake, BungUse, PartKind, Project, RunEnd, Seat, TaperMake};
use pipeloft_core::report::Report;

/// One pipe selected, with a second, wider size of tube in stock.
fn two_sizes() -> Shop {
    let mut project = one_pipe();
    let mut wide = new_item::tube(&mut project);
    wide.od_mm = 76.2;
    project.tubes.push(wide);
    let mut shop = Shop::open(&project);
    shop.select(&project.runs[0].name);
    shop
}

/// Takes back everything that was done after `before`.
fn undo_to(shop: &mut Shop, before: &Project, steps: usize) {
    for _ in 0..steps {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), before, "as before");
}

#[test]
fn a_taper_is_put_in_set_off_and_rolled() {
    let mut shop = two_sizes();
    let before = shop.project();
    shop.press("Add taper");
    let project = shop.project();
    let [taper] = project.runs[0].tapers[..] else { panic!("{:?}", project.runs[0].tapers) };
    assert_eq!((taper.tube, taper.make), (project.tubes[1].id, TaperMake::Bought));
    let report = Report::new(&project);
    assert!(report.runs[0].built.is_buildable(), "{:?}", report.findings);
    for (field, typed) in [("Taper length", "120"), ("Set off by", "5"), ("Towards clock", "90")] {
        shop.fill(field, typed);
    }
    shop.choose("Taper is", 0, "Rolled from sheet");
    shop.fill("Seam at clock", "270");
    let project = shop.project();
    let taper = project.runs[0].tapers[0];
    assert_eq!((taper.length_mm, taper.offset_mm, taper.offset_clock_deg), (120.0, 5.0, 90.0));
    assert!(matches!(taper.make, TaperMake::Rolled { seam_clock_deg: 270.0, .. }), "{:?}", taper.make);
    let printed = &Report::new(&project).runs[0].printed;
    assert_eq!(printed.iter().filter(|p| p.source.name() == "rolled").count(), 1);
    assert!(shop.has("rolled, ends square"), "the table of pieces says so");
    shop.press("Delete taper");
    assert!(shop.project().runs[0].tapers.is_empty());
    assert_eq!(shop.undo_name().as_deref(), Some("delete taper"));
    undo_to(&mut shop, &before, 7);
}

#[test]
fn without_a_second_size_there_is_no_taper_to_add() {
    let project = one_pipe();
    let mut shop = Shop::open(&project);
    shop.select(&project.runs[0].name);
    shop.press("Add taper");
    same(&shop.project(), &project, "the button is off");
}

#[test]
fn a_bung_is_put_on_moved_and_a_sensor_screwed_in() {
    let mut shop = two_sizes();
    let before = shop.project();
    shop.press("Add small part");
    shop.press("Bung");
    assert_eq!(shop.project().runs[0].parts.len(), 1);
    shop.choose("Part on", 0, "Leg 2");
    shop.fill("Part middle at", "80");
    shop.fill("Stands at clock", "45");
    shop.fill("Hole", "16");
    shop.choose("In it", 0, "Something screwed in");
    let project = shop.project();
    let part = &project.runs[0].parts[0];
    assert_eq!((part.leg, part.station_mm, part.clock_deg), (1, 80.0, 45.0));
    let PartKind::Bung(bung) = &part.kind else { panic!("{part:?}") };
    assert_eq!(bung.hole_mm, 16.0);
    assert!(bung.screwed.is_some());
    let report = Report::new(&project);
    let [told] = &report.runs[0].parts[..] else { panic!("{:?}", report.findings) };
    assert_eq!((told.leg, told.clock_deg, told.hole.as_ref().unwrap().diameter_mm), (2, 45.0, 16.0));
    assert!(shop.has(&format!("{} on {}", told.mark, told.piece)), "where it goes is said");
    shop.press("Delete part");
    assert!(shop.project().runs[0].parts.is_empty());
    undo_to(&mut shop, &before, 7);
}

#[test]
fn every_small_part_is_added_and_shows_in_the_strip() {
    for kind in new_item::part_kinds() {
        let mut shop = two_sizes();
        shop.press("Add small part");
        shop.press(kind.name());
        let project = shop.project();
        assert_eq!(project.runs[0].parts.len(), 1, "{}", kind.name());
        let report = Report::new(&project);
        let [told] = &report.runs[0].parts[..] else { panic!("{}: {:?}", kind.name(), report.findings) };
        assert!(shop.draws(&told.mark), "{} stands in the strip", kind.name());
    }
}

#[test]
fn a_part_is_dragged_along_its_leg() {
    let mut shop = two_sizes();
    shop.press("Add small part");
    shop.press("Bung");
    let before = shop.project();
    let part = before.runs[0].parts[0].clone();
    // from above no leg is seen from its end
    shop.press("Top");
    shop.press("Bring into view");
    let handle = Handle::Part(before.runs[0].id, part.id);
    let (here, Freedom::Axis(_, axis)) = (place(&before, handle).unwrap(), freedom(&before, handle)) else {
        panic!("it slides along its leg")
    };
    let by = shop.on_screen(here + axis * 40.0) - shop.on_screen(here);
    shop.drag(&format!("{} handle", part.name), by);
    let now = shop.project().runs[0].parts[0].clone();
    // perspective: the pointer is to a point or so where the place is
    assert!((now.station_mm - part.station_mm - 40.0).abs() < 2.0, "{now:?}");
    assert_eq!((now.leg, now.clock_deg), (part.leg, part.clock_deg));
    assert_eq!(shop.undo_name().as_deref(), Some("slide part"));
    undo_to(&mut shop, &before, 1);
}

#[test]
fn a_merge_comes_with_its_mouths_gets_an_inlet_and_goes_with_them() {
    let mut shop = two_sizes();
    let before = shop.project();
    shop.menu(&["Add", "Add merge"]);
    let project = shop.project();
    let [merge] = &project.merges[..] else { panic!("{:?}", project.merges) };
    let mouths = |p: &Project| {
        p.hardpoints
            .iter()
            .filter(|h| matches!(h.seat, Some(Seat::Arm { merge: id, .. } | Seat::Outlet { merge: id, .. }) if id == merge.id))
            .count()
    };
    assert_eq!((merge.arms.len(), mouths(&project)), (2, 3));
    shop.press("Add inlet");
    let project = shop.project();
    assert_eq!((project.merges[0].arms.len(), mouths(&project)), (3, 4));
    shop.choose("Outlet", 0, "Outlet goes over the tubes");
    assert_ne!(shop.project().merges[0].join, project.merges[0].join);
    shop.key(Key::Delete);
    let project = shop.project();
    assert!(project.merges.is_empty());
    assert_eq!(project.hardpoints.len(), before.hardpoints.len(), "its mouths go with it");
    undo_to(&mut shop, &before, 4);
}

#[test]
fn a_bar_is_entered_bent_sleeved_and_deleted() {
    let mut shop = two_sizes();
    let before = shop.project();
    shop.menu(&["Add", "Add bar"]);
    assert_eq!(shop.project().bars.len(), 1);
    shop.fill("Outside diameter", "25");
    shop.choose("It is", 0, "Solid");
    shop.fill("To X", "640");
    shop.choose("Start is", 0, "Tab");
    let project = shop.project();
    let bar = &project.bars[0];
    assert_eq!((bar.od_mm, bar.wall_mm, bar.ends[1].position_mm.x), (25.0, None, 640.0));
    assert!(matches!(bar.ends[0].make, BarEndMake::Tab(_)), "{:?}", bar.ends[0].make);
    shop.choose("Sleeve", 0, "One over it");
    assert!(shop.project().bars[0].sleeve.is_some());
    shop.press("Add bend");
    assert_eq!(shop.project().bars[0].corners.len(), 1);
    shop.press("Delete bend");
    shop.key(Key::Delete);
    assert!(shop.project().bars.is_empty());
    undo_to(&mut shop, &before, 9);
}

#[test]
fn an_open_end_is_cut_at_an_angle_turned_and_its_jet_looked_after() {
    let mut project = one_pipe();
    let RunEnd::Hardpoint { hardpoint, .. } = project.runs[0].end else { panic!() };
    let position_mm = project.hardpoint(hardpoint).unwrap().position_mm;
    project.runs[0].end = RunEnd::Open { position_mm, slash: None, blast: None };
    let mut shop = Shop::open(&project);
    shop.select(&project.runs[0].name);
    shop.choose("End is cut", 0, "At an angle");
    shop.fill("Angle from square", "30");
    shop.press_right("down");
    shop.choose("What it blows at", 0, "Looked after");
    shop.fill("Reaches", "250");
    let project = shop.project();
    let RunEnd::Open { slash: Some(slash), blast: Some(blast), .. } = project.runs[0].end else {
        panic!("{:?}", project.runs[0].end)
    };
    assert_eq!((slash.tilt_deg, blast.reach_mm), (30.0, 250.0));
    let report = Report::new(&project);
    let last = report.runs[0].pieces.last().unwrap();
    assert!((last.end_cut_deg - 30.0).abs() < 1e-9, "{last:?}");
    // the long side lies where it was turned to
    let end = report.runs[0].built.end().unwrap();
    let clock = end.clock_of(-glam::DVec3::Z).to_degrees();
    assert!((slash.clock_deg - clock).abs() < 0.051, "{} {clock}", slash.clock_deg);
}

/// From an inlet of a merge a run is drawn into the open: to the merge's own outlet it could not go.
#[test]
fn a_run_from_a_merge_does_not_come_back_to_it() {
    let mut shop = two_sizes();
    shop.menu(&["Add", "Add merge"]);
    let mouth = shop.project().hardpoints.iter().find(|h| h.seat.is_some()).unwrap().clone();
    shop.select(&mouth.name);
    shop.menu(&["Add", "Add run"]);
    let project = shop.project();
    let run = project.runs.last().unwrap();
    assert_eq!(run.start, mouth.id);
    assert!(matches!(run.end, RunEnd::Open { .. }), "{:?}", run.end);
    // a second one from there is refused
    shop.select(&mouth.name);
    shop.menu(&["Add", "Add run"]);
    assert_eq!(shop.project().runs.len(), project.runs.len());
    assert!(shop.says().contains("already"), "{}", shop.says());
}

#[test]
fn a_bung_on_charge_air_is_for_no_exhaust_sensor() {
    for (carries, purpose) in [("Charge air", BungUse::Temperature), ("Exhaust", BungUse::ExhaustSensor)] {
        let mut shop = two_sizes();
        if carries != "Charge air" {
            shop.choose("Carries", 0, carries);
        }
        shop.press("Add small part");
        shop.press("Bung");
        let PartKind::Bung(bung) = shop.project().runs[0].parts[0].kind.clone() else { panic!("a bung") };
        assert_eq!(bung.purpose, purpose, "{carries}");
    }
}
