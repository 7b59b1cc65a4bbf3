//! How bends are made, and joints along a run.

use crate::bench::{Shop, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable as _;
use pipeloft_core::model::{BendMake, Ends, Fitting};

/// Opens the list of the bend at `index` and picks from it.
fn make(shop: &mut Shop, index: usize, words: &str) {
    shop.choose("Made as", index, words);
}

fn fittings(shop: &Shop) -> Vec<Fitting> {
    shop.project().runs[0].fittings.clone()
}

#[test]
fn an_elbow_becomes_a_mitred_bend_and_an_elbow_again() {
    let mut shop = Shop::metric();
    let before = shop.project();
    let elbow = before.runs[0].start_corner.make;
    assert!(matches!(elbow, BendMake::Elbow { .. }));
    let welds = shop.h.state().session().report().totals.welds;
    make(&mut shop, 0, "Mitred, half ends");
    let BendMake::Mitred { clr_mm, welds: count, ends, .. } = shop.project().runs[0].start_corner.make else {
        panic!("not mitred")
    };
    assert_eq!((clr_mm, count, ends), (95.25, 4, Ends::Half), "the radius stays, 22.5° a weld");
    assert_ne!(shop.h.state().session().report().totals.welds, welds);
    assert_eq!(shop.undo_name().as_deref(), Some("change bend"));
    let name = before.elbow_name(&before.elbows[0]);
    make(&mut shop, 0, &name);
    assert_eq!(shop.project().runs[0].start_corner.make, elbow);
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}

#[test]
fn full_ends_have_two_welds_at_least() {
    let mut shop = Shop::metric();
    shop.h.get_all_by_role_and_label(Role::TextInput, "Welds").next().unwrap().focus();
    shop.run();
    shop.ctrl(Key::A);
    shop.text("1");
    shop.key(Key::Enter);
    assert!(matches!(shop.project().runs[0].waypoints[0].make, BendMake::Mitred { welds: 1, .. }));
    make(&mut shop, 1, "Mitred, full ends");
    assert!(matches!(
        shop.project().runs[0].waypoints[0].make,
        BendMake::Mitred { welds: 2, ends: Ends::Full, .. }
    ));
}

#[test]
fn welds_that_are_no_whole_number_are_refused() {
    for typed in ["2.5", "-1", "many"] {
        let mut shop = Shop::metric();
        let before = shop.project();
        shop.h.get_all_by_role_and_label(Role::TextInput, "Welds").next().unwrap().focus();
        shop.run();
        shop.ctrl(Key::A);
        shop.text(typed);
        shop.key(Key::Enter);
        same(&shop.project(), &before, typed);
        assert!(shop.has("a count is a whole number"), "{typed}");
    }
}

#[test]
fn a_joint_is_added_slid_and_deleted() {
    let mut shop = Shop::metric();
    let before = shop.project();
    // the tree has a button of that name too
    let mut legs = shop.h.get_all_by_role_and_label(Role::Button, "Add joint");
    legs.rfind(|n| n.rect().left() > 900.0).unwrap().click_accesskit();
    drop(legs);
    shop.run();
    let added = fittings(&shop);
    assert_eq!(added.len(), 2);
    assert_eq!(shop.undo_name().as_deref(), Some("add joint"));
    let new = *added.iter().find(|f| !before.runs[0].fittings.contains(f)).unwrap();
    assert_eq!(new.leg, 3, "on the leg whose button it was");
    // sized for the tube
    let od = before.tube(before.runs[0].tube).unwrap().od_mm;
    assert_eq!(before.joint(new.joint).unwrap().od_mm, od);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
    shop.h.key_press_modifiers(Modifiers::SHIFT, Key::F);
    shop.run();
    let old = fittings(&shop)[0];
    shop.drag("Joint handle", vec2(-30.0, 12.0));
    let slid = fittings(&shop)[0];
    assert_ne!(slid.station_mm, old.station_mm);
    assert_eq!(slid, Fitting { station_mm: slid.station_mm, ..old }, "it slides and does no more");
    assert_eq!(shop.undo_name().as_deref(), Some("slide joint"));
    shop.button("Delete joint").click_accesskit();
    shop.run();
    assert!(fittings(&shop).is_empty());
    assert_eq!(shop.undo_name().as_deref(), Some("delete joint"));
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}

#[test]
fn the_place_of_a_joint_can_be_typed() {
    let mut shop = Shop::metric();
    shop.fill("Middle at", "70");
    assert_eq!(fittings(&shop)[0].station_mm, 70.0);
    shop.fill("Lobe at clock", "22°30'");
    assert_eq!(fittings(&shop)[0].lobe_clock_deg, 22.5);
}

#[test]
fn the_place_of_a_bend_can_be_typed() {
    let mut shop = Shop::metric();
    let before = shop.project();
    shop.press("Bend 2   45.0°");
    shop.fill("Z, up", "950");
    let mut expected = (*before).clone();
    expected.runs[0].waypoints[0].position_mm.z = 950.0;
    same(&shop.project(), &expected, "only Z");
    shop.ctrl(Key::Z);
    shop.press("Bend 1   90.0°");
    shop.fill("From the face", "160");
    assert_eq!(shop.project().runs[0].start_corner.reach_mm, 160.0);
}

#[test]
fn a_problem_is_shown_and_mended_by_its_buttons() {
    let mut shop = Shop::metric();
    make(&mut shop, 1, "Mitred, full ends");
    shop.h.get_all_by_role_and_label(Role::TextInput, "Welds").next().unwrap().focus();
    shop.run();
    shop.ctrl(Key::A);
    shop.text("1");
    shop.key(Key::Enter);
    let camera = shop.h.state().view().camera.clone();
    shop.h.get_all_by_role_and_label(Role::Button, "Show").next().unwrap().click_accesskit();
    shop.run();
    assert_ne!(shop.h.state().view().camera, camera, "the view goes to the place");
    shop.press("Use 2 welds");
    assert!(matches!(shop.project().runs[0].waypoints[0].make, BendMake::Mitred { welds: 2, .. }));
    assert_eq!(shop.undo_name().as_deref(), Some("use 2 welds"));
    assert!(!shop.has("Use 2 welds"), "the problem is gone");
}
