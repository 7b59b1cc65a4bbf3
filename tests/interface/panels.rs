//! Every panel in every state it can be in: all fields have names, all letters have glyphs, and it comes to rest.
//!
//! The window's `run` fails where one of these does not hold.

use crate::bench::Shop;
use eframe::egui::{self, accesskit::Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use pipeloft::demos;

/// Names of the rows of the tree, all sections open.
fn open_all(shop: &mut Shop) -> Vec<String> {
    for title in ["Tube", "Elbows", "Joints", "Bodies"] {
        let start = format!("{title} (");
        let header = shop.h.get_all_by_role(Role::DisclosureTriangle).find(|n| {
            n.accesskit_node().label().is_some_and(|l| l.starts_with(&start)) && n.rect().right() < 320.0
        });
        header.unwrap().click_accesskit();
        shop.run();
    }
    let p = shop.project();
    let spatial = p.runs.iter().map(|x| x.name.clone()).chain(p.hardpoints.iter().map(|x| x.name.clone()));
    let stock = p.tubes.iter().map(|x| p.tube_name(x)).chain(p.elbows.iter().map(|x| p.elbow_name(x)));
    let rest = p.joints.iter().map(|x| x.name.clone()).chain(p.bodies.iter().map(|x| x.name.clone()));
    // one obstacle of each kind is enough
    let mut kinds: Vec<(&str, String)> =
        p.obstacles.iter().map(|o| (o.shape.kind_name(), o.name.clone())).collect();
    kinds.sort();
    kinds.dedup_by_key(|k| k.0);
    spatial.chain(stock).chain(rest).chain(kinds.into_iter().map(|k| k.1)).collect()
}

#[test]
fn every_item_of_every_demo_shows_its_fields_with_names() {
    for index in 0..demos::ALL.len() {
        let mut shop = Shop::demo(index);
        for name in open_all(&mut shop) {
            shop.select(&name);
            assert!(shop.h.state().session().selection.item.is_some(), "{name}");
            assert!(
                shop.h.get_all_by_role(Role::Button).any(|n| n.rect().left() > 900.0),
                "{name} shows nothing"
            );
        }
        assert!(!shop.is_starred(), "looking at things changes none");
    }
}

#[test]
fn every_part_of_the_results_unfolds() {
    for index in 0..demos::ALL.len() {
        let mut shop = Shop::demo(index);
        for title in ["Welds (", "Gaps ("] {
            let header = shop
                .h
                .get_all_by_role(Role::DisclosureTriangle)
                .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with(title)));
            header.unwrap().click_accesskit();
            shop.run();
        }
        for run in shop.project().runs.clone() {
            shop.select(&run.name);
            assert!(shop.has("Clocks count from the index line"), "{}", run.name);
        }
    }
}

#[test]
fn every_menu_opens_with_words_and_closes_again() {
    let mut shop = Shop::small();
    for (menu, item) in [
        ("File", "Print sheet"),
        ("Edit", "Redo"),
        ("Add", "Add hardpoint"),
        ("View", "Fit everything"),
        ("Help", "Mouse and keys"),
    ] {
        let before = shop.h.query_all_by_label_contains(item).count();
        shop.click(menu);
        assert_eq!(shop.h.query_all_by_label_contains(item).count(), before + 1, "{menu}");
        shop.click(menu);
        assert_eq!(shop.h.query_all_by_label_contains(item).count(), before, "{menu}");
    }
}

#[test]
fn the_tree_shows_the_letters_of_every_run() {
    let shop = Shop::metric();
    for run in &shop.project().runs {
        assert!(!run.letters.is_empty());
        let found = shop.h.get_all_by_label(&run.letters).any(|node| node.rect().right() < 320.0);
        assert!(found, "{} of {}", run.letters, run.name);
    }
}

#[test]
fn pieces_light_up_and_are_selected_from_the_table_and_the_strip() {
    let mut shop = Shop::metric();
    let strip = shop.h.get_by_label("Strip: the run straightened out").rect();
    let at = strip.center();
    shop.press_and_move(at, at);
    shop.move_and_release(at);
    let piece = shop.h.state().session().selection.piece.unwrap();
    let report = shop.h.state().session().report().clone();
    let is_first = report.runs[0].piece_index(piece) == Some(0);
    let other = &report.runs[0].pieces[usize::from(is_first)];
    shop.h.get_by_role_and_label(Role::Button, &other.mark).click_accesskit();
    shop.run();
    assert_eq!(shop.h.state().session().selection.piece, other.key);
}

#[test]
fn all_that_is_shown_fits_into_the_smallest_window() {
    let mut shop = Shop::metric();
    shop.h.set_size(eframe::egui::vec2(1000.0, 620.0));
    shop.run();
    shop.run();
    let view = shop.h.get_by_label("3D view").rect();
    assert!(view.width() > 300.0 && view.height() > 250.0, "the 3D view is left with {view:?}");
    for label in ["Print sheet…", "Bring into view", "Undo"] {
        let rect = shop.button(label).rect();
        assert!(rect.right() <= 1000.0 && rect.left() >= 0.0, "{label} at {rect:?}");
    }
}

#[test]
fn the_panel_on_the_right_keeps_its_width_whatever_is_selected() {
    let mut shop = Shop::metric();
    let width = |shop: &Shop| 1480.0 - shop.h.get_by_label("3D view").rect().right();
    let begun = width(&shop);
    for name in ["Ground", "Firewall", "Wastegate outlet", "Exhaust, turbine to tail", "Ground"] {
        shop.select(name);
        shop.run();
        assert!((width(&shop) - begun).abs() < 0.5, "{name}: {} and not {begun}", width(&shop));
    }
    assert!(begun < 440.0, "it takes {begun} of 1480 points");
}

#[test]
fn what_was_said_about_one_step_is_gone_after_the_next() {
    let mut shop = Shop::small();
    let nudge = eframe::egui::vec2(20.0, 10.0);
    shop.drag("Bend handle 2", nudge);
    shop.ctrl(eframe::egui::Key::Z);
    assert_eq!(shop.says(), "Took back: move bend 2.");
    shop.drag("Bend handle 2", nudge);
    assert_eq!(shop.says(), "", "it is not taken back any more");
}

#[test]
fn on_a_small_screen_the_window_fills_what_the_bars_leave() {
    for (screen, fills, least) in
        [([1920.0, 1080.0], false, None), ([1366.0, 768.0], true, None), ([1024.0, 600.0], true, Some(490.0))]
    {
        let mut shop = Shop::small();
        let root = shop.h.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
        root.monitor_size = Some(screen.into());
        shop.h.step();
        assert_eq!(shop.sent(|c| *c == egui::ViewportCommand::Maximized(true)), fills, "{screen:?}");
        let smaller = |c: &egui::ViewportCommand| matches!(c, egui::ViewportCommand::MinInnerSize(_));
        let wanted = |c: &egui::ViewportCommand| match c {
            egui::ViewportCommand::MinInnerSize(size) => Some(size.y) == least,
            _ => false,
        };
        assert_eq!((shop.sent(smaller), shop.sent(wanted)), (least.is_some(), least.is_some()), "{screen:?}");
        shop.h.step();
        assert!(!shop.sent(|c| matches!(c, egui::ViewportCommand::Maximized(_))), "once");
    }
}
