//! What the shop has and how it works: settings, slices and joints in stock, sticks that are sawn.

use crate::bench::{Shop, one_pipe, same};
use crate::extremes::field_of_pipes;
use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use pipeloft_core::model::{JointKind, JointStyle, Project, ReadySlice, Settings};
use pipeloft_core::units::UnitSystem;

/// The one pipe with nothing selected, so that the project shows, all its parts open.
fn at_project() -> Shop {
    let mut shop = Shop::small();
    shop.key(Key::Escape);
    shop.fold("Welding and fitting");
    shop.fold("How far off work usually is");
    shop.fold("Wire, gas and paper");
    shop
}

#[test]
fn every_setting_is_typed_and_undone() {
    type Get = fn(&Settings) -> f64;
    let fields: [(&str, Get); 22] = [
        ("Kerf", |s| s.saw.kerf_mm),
        ("Angle steps", |s| s.saw.step_deg),
        ("Largest angle", |s| s.saw.most_deg),
        ("Grip", |s| s.saw.grip_mm),
        ("First trim", |s| s.saw.first_trim_mm),
        ("Shortest throat", |s| s.shortest_throat_mm),
        ("Hot pipe gap", |s| s.hot_gap_mm),
        ("Bends snap to", |s| s.angle_snap_deg),
        ("Shortest drop kept", |s| s.allowances.keep_mm),
        ("Weld gap", |s| s.allowances.weld_gap_mm),
        ("Weld shrinkage", |s| s.allowances.shrink_mm),
        ("Trim at last weld", |s| s.allowances.trim_mm),
        ("Saw angle off by", |s| s.scatter.saw_deg),
        ("Sawn length off by", |s| s.scatter.length_mm),
        ("Clock mark off by", |s| s.scatter.clock_mm),
        ("Elbow off by", |s| s.scatter.elbow_deg),
        ("Weld pulls by", |s| s.scatter.pull_deg),
        ("Shrinkage off by", |s| s.scatter.shrink_mm),
        ("Bead section, mm²", |s| s.allowances.bead_mm2),
        ("Filler wire", |s| s.allowances.wire_mm),
        ("Gas changes", |s| s.allowances.purge_changes),
        ("Gas flow, l/min", |s| s.allowances.purge_l_min),
    ];
    let mut shop = at_project();
    let before = shop.project();
    for (label, get) in fields {
        shop.fill(label, "2.25");
        assert_eq!(get(&shop.project().settings), 2.25, "{label}");
        assert_eq!(shop.undo_name().as_deref(), Some("change settings"), "{label}");
        shop.ctrl(Key::Z);
        same(&shop.project(), &before, label);
    }
    shop.fill("Template paper", "0.15");
    assert_eq!(shop.project().settings.allowances.paper_mm, 0.15);
    assert_eq!(shop.field("Template paper").value().as_deref(), Some("0.15 mm"), "two decimals");
}

#[test]
fn settings_out_of_reason_are_refused_with_a_sentence() {
    for (label, typed, part) in [
        ("Weld gap", "-1", "The weld gap"),
        ("Largest angle", "85", "The largest angle of the saw"),
        ("Gas flow, l/min", "0", "The gas flow"),
        ("Sawn length off by", "-1", "The scatter of sawn lengths"),
        ("Angle steps", "0", "angle step"),
    ] {
        let mut shop = at_project();
        let before = shop.project();
        shop.fill(label, typed);
        same(&shop.project(), &before, label);
        assert!(shop.says().contains(part), "{label}: {}", shop.says());
    }
}

#[test]
fn labels_say_what_is_meant_and_where_a_number_has_no_source() {
    let mut shop = at_project();
    for (label, part) in [("Kerf", "blade"), ("Shortest throat", "common practice, no source")] {
        let at = shop.h.get_by_role_and_label(Role::Label, label).rect().center();
        shop.rest(at);
        assert!(shop.has(part), "{label}");
    }
}

#[test]
fn small_sizes_show_in_decimals() {
    let mut project = one_pipe();
    project.settings.units = UnitSystem::InchFraction;
    let mut shop = Shop::open(&project);
    shop.key(Key::Escape);
    assert_eq!(shop.field("Kerf").value().as_deref(), Some("0.063\""));
    shop.fill("Kerf", "1/16");
    assert_eq!(shop.project().settings.saw.kerf_mm, 1.5875);
}

#[test]
fn ready_slices_come_and_go_with_the_tube() {
    let mut shop = Shop::small();
    let before = shop.project();
    shop.fold_tree("Tube (");
    let name = before.tube_name(&before.tubes[0]);
    shop.select(&name);
    shop.press("Add ready slices");
    shop.fill("How many slices", "6");
    shop.fill("Saw angle", "10");
    shop.fill("Throat", "9");
    let wanted = ReadySlice { saw_deg: 10.0, throat_mm: 9.0, count: 6 };
    assert_eq!(shop.project().tubes[0].slices, [wanted]);
    // R = r + t/(2·tan α)
    let clr = 63.5 / 2.0 + 9.0 / (2.0 * 10_f64.to_radians().tan());
    let words = format!("Each turns a bend 20°, at a CLR of {clr:.1} mm");
    assert!(shop.has(&words), "{words}");
    shop.fill("Saw angle", "85");
    assert_eq!(shop.project().tubes[0].slices, [wanted]);
    assert!(shop.says().contains("The saw angle of ready slices"), "{}", shop.says());
    shop.press("Delete ready slices 1");
    same(&shop.project(), &before, "as before");
    assert_eq!(shop.undo_name().as_deref(), Some("change tube"));
    for _ in 0..5 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

fn joint(shop: &Shop) -> JointKind {
    shop.project().joints.last().cloned().unwrap()
}

#[test]
fn a_hose_has_insertion_and_bead() {
    let mut shop = Shop::small();
    shop.menu(&["Add", "Add joint"]);
    shop.choose("Kind", 0, "Hose and clamps");
    shop.fill("Insertion", "30");
    assert!(shop.has("Cut the hose 85.0 mm long"), "25 and twice 30");
    assert_eq!(joint(&shop).hose.unwrap().bead_mm, None);
    shop.choose("On the tubes", 0, "Rolled bead");
    assert_eq!(joint(&shop).hose.unwrap().bead_mm, Some(6.0));
    shop.fill("Bead from the end", "40");
    assert_eq!(joint(&shop).hose.unwrap().bead_mm, Some(6.0), "no further in than the tube");
    assert!(shop.says().contains("The bead of"), "{}", shop.says());
    shop.fill("Bead from the end", "8");
    assert_eq!(joint(&shop).hose.unwrap().bead_mm, Some(8.0));
    shop.choose("On the tubes", 0, "No bead");
    assert_eq!(joint(&shop).hose.unwrap().bead_mm, None);
}

#[test]
fn a_slip_joint_has_an_engagement_and_is_made_another_joint_again() {
    let mut shop = Shop::small();
    shop.menu(&["Add", "Add joint"]);
    let begun = joint(&shop);
    shop.choose("Kind", 0, "Slip joint");
    assert_eq!(joint(&shop).make_up_mm, -begun.make_up_mm);
    shop.fill("Engagement", "40");
    assert_eq!(joint(&shop).engagement_mm(), Some(40.0));
    shop.fill("Engagement", "-5");
    assert_eq!(joint(&shop).engagement_mm(), Some(40.0), "refused");
    assert!(shop.says().contains("Engagement is"), "{}", shop.says());
    shop.choose("Kind", 0, "V-band");
    let now = joint(&shop);
    assert_eq!((now.style, now.make_up_mm, now.hose), (JointStyle::VBand, 40.0, None));
    assert_eq!(shop.field("Make-up").value().as_deref(), Some("40.0 mm"));
}

/// The buttons that say that a stick is sawn.
fn sawn_buttons(shop: &Shop) -> Vec<String> {
    let labels = shop.h.query_all_by_label_contains("Sawn: stick").filter_map(|n| n.accesskit_node().label());
    labels.collect()
}

#[test]
fn a_stick_that_is_sawn_is_done_with_until_a_piece_is_wanted_again() {
    let mut shop = Shop::small();
    let before = shop.project();
    shop.key(Key::Escape);
    let stick = shop.h.state().session().report().stock[0].sticks[0].clone();
    let all = sawn_buttons(&shop).len();
    assert_eq!(all, shop.h.state().session().report().stock[0].sticks.len());
    assert!(shop.has("No layout needs fewer sticks."));
    assert!(shop.has("Stick 1 drawn to scale: "));
    let button = sawn_buttons(&shop).remove(0);
    shop.press(&button);
    assert_eq!(shop.undo_name().as_deref(), Some("stick sawn"));
    assert_eq!(shop.project().done.len(), stick.cuts.len());
    assert_eq!(sawn_buttons(&shop).len(), all - 1);
    let mark = &stick.cuts[0].mark;
    shop.press(&format!("Saw again: {mark}"));
    assert_eq!(shop.project().done.len(), stick.cuts.len() - 1);
    assert_eq!(shop.undo_name(), Some(format!("saw {mark} again")));
    let sticks = shop.h.state().session().report().stock[0].sticks.clone();
    assert!(sticks.iter().any(|s| s.cuts.iter().any(|c| c.mark == *mark)), "it is on a stick again");
    shop.press("Saw all of them again");
    assert!(shop.project().done.is_empty());
    for _ in 0..3 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn a_piece_that_was_sawn_to_another_size_is_told_and_wanted_again() {
    let mut shop = Shop::small();
    shop.key(Key::Escape);
    let button = sawn_buttons(&shop).remove(0);
    shop.press(&button);
    shop.select("Run");
    assert!(shop.has("straight, sawn"));
    let bend = shop.h.query_all_by_label_contains("Bend 1   ").find_map(|n| n.accesskit_node().label());
    shop.press(&bend.unwrap());
    shop.fill("From the face", "400");
    assert!(shop.has("has been sawn"));
    let told = shop.h.query_all_by_label_contains("Saw it again").count();
    assert!(told > 0);
    shop.h.get_all_by_role_and_label(Role::Button, "Saw it again").next().unwrap().click_accesskit();
    shop.run();
    assert_eq!(shop.h.query_all_by_label_contains("Saw it again").count(), told - 1);
    assert!(shop.undo_name().unwrap().starts_with("saw A"));
}

#[test]
fn nothing_to_saw_is_said() {
    let shop = Shop::open(&Project::new("Nothing", UnitSystem::InchFraction));
    assert!(shop.has("Sticks of tube (0)"));
    assert!(shop.has("No run can be cut yet."));
    assert!(sawn_buttons(&shop).is_empty());
}

#[test]
fn two_hundred_sticks_are_all_there() {
    let mut project = field_of_pipes(40, 12);
    project.tubes[0].stick_mm = 700.0;
    let mut shop = Shop::open(&project);
    shop.key(Key::Escape);
    let count = shop.h.state().session().report().stock[0].sticks.len();
    assert!(count >= 200, "{count}");
    assert_eq!(sawn_buttons(&shop).len(), count);
    let on_sticks = |shop: &Shop| -> Vec<usize> {
        shop.h.state().session().report().stock[0].sticks.iter().map(|s| s.cuts.len()).collect()
    };
    let before = on_sticks(&shop);
    let last = sawn_buttons(&shop).pop().unwrap();
    shop.press(&last);
    // what is left over of it may serve again, so that sticks need not be one fewer; its pieces are
    let done = shop.project().done.len();
    assert_eq!(done, before[count - 1]);
    assert_eq!(on_sticks(&shop).iter().sum::<usize>(), before.iter().sum::<usize>() - done);
    shop.ctrl(Key::Z);
    same(&shop.project(), &project, "as before");
}
