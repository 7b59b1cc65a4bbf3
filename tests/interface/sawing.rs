//! Bends divided in every way, numbers as printed, the weld that is fitted last, lobes, the strip.

use crate::bench::{Shop, one_pipe, same};
use eframe::egui::accesskit::Role;
use eframe::egui::{Key, Pos2, pos2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec3;
use pipeloft_core::fab::{Built, PieceKind};
use pipeloft_core::geom::Solid;
use pipeloft_core::model::{
    Attachment, BendMake, Fitting, FittingId, JointId, JointKind, JointStyle, Project, ReadySlice, SawScale,
};
use pipeloft_core::report::RunReport;
use pipeloft_core::units;
use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{TUBE, into_the_open, port, shop};
use std::sync::Arc;

fn run(shop: &Shop) -> Arc<RunReport> {
    shop.h.state().session().report().runs[0].clone()
}

/// Throat and saw angle of the first bend as entered, and its CLR and welds.
fn first(shop: &Shop) -> (f64, u32, Option<f64>, Option<f64>) {
    let BendMake::Mitred { clr_mm, welds, throat_mm, saw_deg, .. } = shop.project().runs[0].start_corner.make
    else {
        panic!("not mitred")
    };
    (clr_mm, welds, throat_mm, saw_deg)
}

/// A project in which the first bend is cut at this angle.
fn cut_at(saw: f64) -> Project {
    let mut project = one_pipe();
    let BendMake::Mitred { saw_deg, .. } = &mut project.runs[0].start_corner.make else { panic!("mitred") };
    *saw_deg = Some(saw);
    project
}

/// A joint in the middle of leg `leg` of the one pipe.
fn with_joint(style: JointStyle, make_up_mm: f64, leg: usize) -> Project {
    let mut project = one_pipe();
    let new = pipeloft_core::edit::new_item::joint(&mut project);
    let id: JointId = new.id;
    project.joints.push(JointKind { style, make_up_mm, ..new });
    let straight_mm = pipeloft_core::report::Report::new(&project).runs[0].legs[leg].straight_mm;
    project.runs[0].fittings.push(Fitting {
        id: FittingId(project.next_id),
        joint: id,
        leg,
        station_mm: straight_mm / 2.0,
        lobe_clock_deg: 17.0,
    });
    project.next_id += 1;
    project
}

#[test]
fn other_ways_to_give_a_bend_keep_its_shape() {
    let mut shop = Shop::small();
    let before = shop.project();
    let old = run(&shop).bends[0].clone();
    shop.choose("Radius by", 0, "Throat");
    assert_eq!(first(&shop).2, old.throat_mm);
    assert!((run(&shop).bends[0].clr_mm - old.clr_mm).abs() < 1e-9, "the bend is the same");
    shop.choose("Radius by", 0, "CLR");
    assert_eq!(first(&shop).2, None);
    assert!((first(&shop).0 - old.clr_mm).abs() < 1e-9);
    shop.choose("Divided by", 0, "Saw angle");
    let saw = first(&shop).3.unwrap();
    let step = before.settings.saw.step_deg;
    assert!((saw / step - (saw / step).round()).abs() < 1e-9, "{saw}° can be set in steps of {step}°");
    assert!(saw >= old.saw_angle_deg.unwrap() - 1e-9 && saw < old.saw_angle_deg.unwrap() + step);
    assert_eq!(run(&shop).bends[0].welds, old.welds, "no weld more than before");
    shop.choose("Divided by", 0, "Number of welds");
    assert_eq!((first(&shop).1, first(&shop).3), (old.welds.unwrap(), None));
    assert_eq!(shop.undo_name().as_deref(), Some("change bend"));
    for _ in 0..4 {
        shop.ctrl(Key::Z);
    }
    same(&shop.project(), &before, "as before");
}

#[test]
fn slices_are_one_fewer_than_welds() {
    let mut shop = Shop::small();
    let before = shop.project();
    shop.choose("Divided by", 0, "Number of slices");
    same(&shop.project(), &before, "another word for the same");
    shop.fill("Whole slices", "5");
    assert_eq!(first(&shop).1, 6);
    assert!(shop.has("6 welds, 5 whole slices"));
    shop.fill("Whole slices", "2.5");
    assert_eq!(first(&shop).1, 6, "refused");
    assert!(shop.has("a count is a whole number"));
}

#[test]
fn a_batch_divides_the_bend_and_its_odd_weld_is_told() {
    let mut shop = Shop::open(&cut_at(7.5));
    let deg = run(&shop).bends[0].angle_deg;
    // as many turns of 15° as fit, and one weld for the rest
    let (whole, rest) = ((deg / 15.0).floor(), deg % 15.0);
    assert!(rest > 0.1, "{deg}° is no multiple");
    assert_eq!(run(&shop).bends[0].welds, Some(whole as u32 + 1));
    assert!(shop.has("The last weld takes what is left"));
    let odd = format!("cut at {}°", units::plain_number(rest / 2.0, 3));
    assert!(shop.has(&odd), "{odd}");
    let mend = shop.h.query_all_by_label_contains("Move it to").next().map(|n| n.accesskit_node().label());
    shop.press(&mend.unwrap().unwrap());
    let turned = run(&shop).bends[0].angle_deg / 15.0;
    assert!((turned - turned.round()).abs() < 1e-6, "now it is a multiple");
    assert!(!shop.has("The last weld takes what is left"));
}

#[test]
fn the_saw_angle_is_typed_as_the_saw_reads_it() {
    let mut project = cut_at(7.5);
    project.settings.saw.scale = SawScale::FromBlade;
    let mut shop = Shop::open(&project);
    assert_eq!(shop.field("Saw angle").value().as_deref(), Some("82.5°"));
    assert!(shop.has("Saw at 82.5°"));
    shop.fill("Saw angle", "80");
    assert_eq!(first(&shop).3, Some(10.0));
    shop.fill("Saw angle", "5");
    assert_eq!(first(&shop).3, Some(10.0), "85° from square is refused");
    assert!(shop.says().contains("A saw angle of Run"), "{}", shop.says());
}

#[test]
fn ready_slices_are_chosen_for_a_bend_and_taken_from_the_shelf() {
    let mut project = one_pipe();
    project.tubes[0].slices = vec![
        ReadySlice { saw_deg: 5.0, throat_mm: 9.0, count: 40 },
        ReadySlice { saw_deg: 7.5, throat_mm: 12.0, count: 1 },
    ];
    let mut shop = Shop::open(&project);
    shop.choose("Ready slices", 0, "7.5°");
    assert_eq!((first(&shop).2, first(&shop).3), (Some(12.0), Some(7.5)));
    // R = r + t/(2·tan α)
    let clr = 63.5 / 2.0 + 12.0 / (2.0 * 7.5_f64.to_radians().tan());
    assert!((run(&shop).bends[0].clr_mm - clr).abs() < 1e-9);
    let ready = run(&shop).printed.iter().filter(|p| p.source.name() == "ready").count();
    assert_eq!(ready, 1, "there is one and no more");
    assert!(shop.has("slice, shelf"));
    shop.choose("Ready slices", 0, "As entered");
    assert_eq!((first(&shop).2, first(&shop).3), (None, Some(7.5)));
    assert!((first(&shop).0 - clr).abs() < 1e-9, "the radius stays");
    assert_eq!(
        run(&shop).printed.iter().filter(|p| p.source.name() == "ready").count(),
        1,
        "it is the same slice"
    );
    shop.h.get_all_by_role_and_label(Role::TextInput, "CLR").next().unwrap().focus();
    shop.run();
    shop.ctrl(Key::A);
    shop.text("97");
    shop.key(Key::Enter);
    assert_eq!(first(&shop).0, 97.0);
    shop.key(Key::Escape);
    assert!(!shop.has("From the shelf"), "no slice on it is of that size");
    shop.ctrl(Key::Z);
    assert!(shop.has("From the shelf: 1 ready slice cut at 7.5°"));
}

#[test]
fn pieces_stand_as_on_the_sheet() {
    let shop = Shop::small();
    let run = run(&shop);
    for piece in run.printed.iter().filter(|p| p.bend.is_none() && p.joint.is_none()) {
        let long = units::length(piece.long_mm, shop.project().settings.units);
        assert!(shop.h.query_all_by_label(&long).next().is_some(), "{}: {long}", piece.mark);
    }
    let fit = run.fit.clone().unwrap();
    let words = format!("{} includes 6.0 mm to trim off at its {}, where {}", fit.piece, fit.at, fit.weld);
    assert!(shop.has(&words), "{words}");
}

#[test]
fn the_weld_that_is_fitted_last_is_the_fabricators_choice() {
    let mut shop = Shop::small();
    let before = shop.project();
    shop.fold("Welds (");
    let by_program = run(&shop).fit.clone().unwrap().weld;
    assert!(shop.has(&format!("By the program ({by_program})")) || shop.has("Fit last"));
    let other =
        run(&shop).welds.iter().position(|w| w.mark != by_program && w.kind.name() == "mitre").unwrap();
    let mark = run(&shop).welds[other].mark.clone();
    shop.choose("Fit last", 0, &format!("{mark}: "));
    assert_eq!(shop.project().runs[0].fit_weld, run(&shop).welds[other].key);
    assert_eq!(run(&shop).fit.clone().map(|f| (f.weld, f.chosen)), Some((mark.clone(), true)));
    let last = run(&shop).welds.iter().max_by_key(|w| w.tack).unwrap().mark.clone();
    assert_eq!(last, mark, "it is tacked after all others");
    assert!(shop.has("of filler wire"));
    shop.choose("Fit last", 0, "By the program");
    same(&shop.project(), &before, "as before");
    shop.ctrl(Key::Z);
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
}

#[test]
fn how_far_the_end_is_off_is_told_and_what_the_saw_alone_makes_of_it() {
    let mut project = one_pipe();
    project.settings.saw.step_deg = 0.01;
    let shop = Shop::open(&project);
    assert!(shop.has("Cut from the sheet it ends"));
    assert!(!shop.has("steps alone make"), "0.01° is fine");
    project.settings.saw.step_deg = 5.0;
    let shop = Shop::open(&project);
    assert!(run(&shop).saw_miss.offset_mm > 0.5);
    let words = format!("The saw's 5° steps alone make {:.2} mm", run(&shop).saw_miss.offset_mm);
    assert!(shop.has(&words), "{words}");
}

/// Unit direction from the middle of the pipe to the first lobe there, and the pipe's own direction.
fn lobe(built: &Built, piece: usize) -> (DVec3, DVec3) {
    let begin = built.frames[piece].0;
    let block = built.solids.iter().find_map(|s| match s.solid {
        Solid::Block(block) if s.lobe && s.piece == piece => Some(block.centre - begin.origin),
        _ => None,
    });
    let out = block.unwrap();
    ((out - begin.travel * out.dot(begin.travel)).normalize_or_zero(), begin.travel)
}

/// Presses every button that can be pressed and looks where the lobe has gone.
fn turns_everywhere(shop: &mut Shop, piece: usize) {
    let ways = [
        ("up", DVec3::Z),
        ("down", DVec3::NEG_Z),
        ("front", DVec3::X),
        ("back", DVec3::NEG_X),
        ("left", DVec3::Y),
        ("right", DVec3::NEG_Y),
        ("to the view", -shop.h.state().view().camera.forward()),
    ];
    let mut pressed = 0;
    for (words, way) in ways {
        let before = shop.project();
        let label = format!("Turn lobe {words}");
        let (_, travel) = lobe(&run(shop).built, piece);
        let along = travel.dot(way).abs() > 0.999;
        assert_eq!(
            shop.button(&label).accesskit_node().is_disabled(),
            along,
            "{words} with a pipe along {travel}"
        );
        if along {
            continue;
        }
        shop.press(&label);
        let (out, travel) = lobe(&run(shop).built, piece);
        let wanted = (way - travel * way.dot(travel)).normalize_or_zero();
        // to 0.1° of clock
        assert!(out.angle_between(wanted) < 0.002, "{words}: {out} and not {wanted}");
        if shop.project() != before {
            assert_eq!(shop.undo_name().as_deref(), Some("turn lobe"));
            pressed += 1;
        }
    }
    assert!(pressed >= 4, "{pressed}");
}

#[test]
fn the_lobe_of_a_joint_turns_to_where_it_is_wanted() {
    let mut shop = Shop::open(&with_joint(JointStyle::ClampCoupler, 25.0, 1));
    let piece = run(&shop).built.pieces.iter().position(|p| matches!(p.kind, PieceKind::Joint(_))).unwrap();
    turns_everywhere(&mut shop, piece);
}

#[test]
fn the_lobe_of_a_joint_at_a_hardpoint_turns_too() {
    let mut shop = Shop::metric();
    shop.select("Turbo compressor outlet");
    turns_everywhere(&mut shop, 0);
    assert!(matches!(shop.project().hardpoints[0].attachment, Attachment::Joint { .. }));
}

#[test]
fn a_lobe_on_a_pipe_that_cannot_be_built_cannot_be_turned() {
    let mut project = with_joint(JointStyle::ClampCoupler, 25.0, 1);
    project.runs[0].fittings[0].station_mm = -500.0;
    let shop = Shop::open(&project);
    assert!(run(&shop).printed.is_empty());
    assert!(shop.button("Turn lobe up").accesskit_node().is_disabled());
}

/// Middle of the clock faces of the strip, by weld.
fn faces(shop: &Shop) -> Vec<(String, Pos2)> {
    let rect = shop.h.get_by_label("Strip: the run straightened out").rect();
    let run = run(shop);
    let per_mm = f64::from(rect.width() - 32.0) / run.centreline_mm;
    let half = (run.tube.od_mm * per_mm / 2.0).clamp(9.0, 20.0) as f32;
    let x = |before: usize| {
        let mm: f64 = run.built.pieces[..before].iter().map(|p| p.centre_mm).sum();
        rect.left() + 16.0 + (mm * per_mm) as f32
    };
    let y = rect.center().y + 8.0 - half - 16.0;
    run.welds.iter().map(|w| (w.mark.clone(), pos2(x(w.before), y))).collect()
}

#[test]
fn the_strip_tells_which_weld_is_fitted_last_and_when_the_first_is_tacked() {
    let mut shop = Shop::small();
    let fit = run(&shop).fit.clone().unwrap().weld;
    let at = faces(&shop).into_iter().find(|(mark, _)| *mark == fit).unwrap().1;
    shop.rest(at);
    assert!(shop.has(&format!("{fit}: fitted last")));
    let camera = shop.h.state().view().camera.clone();
    shop.press_and_move(at, at);
    shop.move_and_release(at);
    assert_ne!(shop.h.state().view().camera, camera, "a click shows it");
    let first = run(&shop).welds.iter().find(|w| w.tack == 1).unwrap().mark.clone();
    let at = faces(&shop).into_iter().find(|(mark, _)| *mark == first).unwrap().1;
    shop.rest(at);
    assert!(shop.has(&format!("{first}: number 1 to be tacked")));
}

#[test]
fn tubes_that_lie_in_each_other_are_told_apart_in_the_strip() {
    let mut shop = Shop::open(&with_joint(JointStyle::SlipJoint, -40.0, 1));
    let pieces = run(&shop).built.pieces.clone();
    let joint = pieces.iter().position(|p| matches!(p.kind, PieceKind::Joint(_))).unwrap();
    assert_eq!(pieces[joint].centre_mm, -40.0);
    let rect = shop.h.get_by_label("Strip: the run straightened out").rect();
    let per_mm = f64::from(rect.width() - 32.0) / run(&shop).centreline_mm;
    let mm: f64 = pieces[..joint].iter().map(|p| p.centre_mm).sum();
    for (off_mm, piece) in [(-20.0, joint), (-60.0, joint - 1), (20.0, joint + 1)] {
        let x = rect.left() + 16.0 + ((mm + off_mm) * per_mm) as f32;
        let at = pos2(x, rect.center().y + 8.0);
        shop.press_and_move(at, at);
        shop.move_and_release(at);
        assert_eq!(shop.h.state().session().selection.piece, pieces[piece].key, "{off_mm} mm from its end");
    }
    let at = pos2(rect.left() + 16.0 + ((mm - 20.0) * per_mm) as f32, rect.center().y + 8.0);
    shop.rest(at);
    assert!(shop.has("the tubes lie in each other for 40.0 mm"));
}

/// Straight pipes of a fifth to half a stick, whose fewest sticks take long to prove.
fn many_pipes() -> Project {
    let mut project = shop(63.5, 1.65);
    project.tubes[0].stick_mm = 3000.0;
    let mut dice = Dice(5);
    for i in 0..130 {
        let at = DVec3::new(0.0, 200.0 * f64::from(i), 0.0);
        let start = port(&mut project, &format!("port {i}"), at, DVec3::X);
        into_the_open(&mut project, start, TUBE, dice.between(600.0, 1500.0));
    }
    project
}

#[test]
fn the_look_for_fewer_sticks_ends_where_its_button_is_pressed() {
    const STOP: &str = "Stop looking for fewer sticks";
    let mut shop = Shop::open_looking(&many_pipes());
    // nothing comes to rest while it looks
    let looks = |shop: &Shop| shop.h.query_by_role_and_label(Role::Button, STOP).is_some();
    shop.h.key_press(Key::Escape);
    let mut frames = 0;
    while !looks(&shop) {
        shop.h.step();
        frames += 1;
        assert!(frames < 200, "it is not looking: {}", shop.h.state().session().report().could_be_better());
    }
    let sticks = |shop: &Shop| shop.h.state().session().report().totals.sticks_to_buy;
    let before = sticks(&shop);
    shop.h.get_by_role_and_label(Role::Button, STOP).click_accesskit();
    for _ in 0..5000 {
        shop.h.step();
        if !looks(&shop) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    assert!(!looks(&shop), "it has stopped");
    assert!((1..=before).contains(&sticks(&shop)), "what was found is kept");
    for _ in 0..20 {
        shop.h.step();
        assert!(!looks(&shop), "and it does not begin again by itself");
    }
}
