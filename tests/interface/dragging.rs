//! Dragging the rings of a run.

use crate::bench::{Shop, same};
use eframe::egui::{Event, Key, Modifiers, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use glam::DVec3;
use pipeloft_core::model::{BendMake, Project, RunEnd, Vertex};
use std::sync::Arc;

const RING: &str = "Bend handle 2";
const BY: Vec2 = vec2(46.0, 31.0);

/// The first demo in millimetres with its first run filling the view, so that its handles stand apart.
fn close_up() -> Shop {
    let mut shop = Shop::metric();
    shop.h.key_press_modifiers(Modifiers::SHIFT, Key::F);
    shop.run();
    shop
}

/// Place of the first waypoint of the first run.
fn waypoint(project: &Project) -> DVec3 {
    project.runs[0].waypoints[0].position_mm
}

/// The project with that waypoint elsewhere and nothing else changed.
fn with_waypoint(project: &Project, at: DVec3) -> Project {
    let mut project = project.clone();
    project.runs[0].waypoints[0].position_mm = at;
    project
}

fn is_snapped(shop: &Shop) -> bool {
    shop.h.state().view().drag.as_ref().is_some_and(|d| d.snapped.is_some())
}

#[test]
fn a_dragged_ring_moves_one_bend_and_is_one_step_back() {
    let mut shop = close_up();
    let before = shop.project();
    assert!(!shop.is_starred());
    shop.drag(RING, BY);
    let after = shop.project();
    assert!(waypoint(&after).distance(waypoint(&before)) > 10.0);
    same(&after, &with_waypoint(&before, waypoint(&after)), "nothing but that bend may move");
    assert!(shop.is_starred());
    assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
    assert!(!shop.is_starred());
    assert_eq!((shop.undo_name(), shop.redo_name().as_deref()), (None, Some("move bend 2")));
    shop.ctrl(Key::Y);
    same(&shop.project(), &after, "done again");
    assert!(shop.is_starred());
    shop.ctrl(Key::Z);
    shop.ctrl_shift(Key::Z);
    same(&shop.project(), &after, "done again");
}

#[test]
fn the_bend_ends_under_the_pointer_however_few_frames_the_drag_had() {
    let mut quick = close_up();
    quick.drag(RING, BY);
    let mut slow = close_up();
    let at = slow.handle(RING);
    slow.press_and_move(at, at + BY * 0.2);
    for share in [0.3, 0.6, 1.4, 1.0] {
        slow.move_to(at + BY * share);
    }
    slow.move_and_release(at + BY);
    same(&slow.project(), &quick.project(), "slow and quick");
    assert_ne!(waypoint(&slow.project()), waypoint(&close_up().project()));
}

#[test]
fn the_result_follows_while_the_drag_goes_on() {
    let mut shop = close_up();
    let id = shop.project().runs[0].id;
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY * 0.3);
    let mut seen = Vec::new();
    for share in [0.6, 1.0] {
        shop.move_to(at + BY * share);
        let session = shop.h.state().session();
        let report = session.report().run(id).unwrap();
        let target = shop.h.state().view().drag.as_ref().unwrap().target;
        let nearest = report.vertices_mm.iter().map(|v| v.distance(target)).fold(f64::MAX, f64::min);
        assert!(nearest < 1e-9, "the result is {nearest} mm behind the hand");
        seen.push(report.centreline_mm);
        assert!(shop.is_starred() && session.history().in_gesture());
    }
    assert_ne!(seen[0], seen[1]);
    shop.move_and_release(at + BY);
    assert!(!shop.h.state().session().history().in_gesture());
}

#[test]
fn escape_in_mid_drag_puts_everything_back_and_leaves_no_step() {
    let mut shop = close_up();
    let before = shop.project();
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY);
    assert!(shop.project() != before, "the drag has begun");
    shop.key_in_drag(Key::Escape, Modifiers::NONE);
    shop.move_to(at + BY * 2.0);
    shop.move_and_release(at + BY * 2.0);
    same(&shop.project(), &before, "as before");
    assert_eq!(shop.undo_name(), None);
    assert!(!shop.is_starred());
    assert!(shop.h.state().session().selection.item.is_some(), "only the drag is given up");
}

#[test]
fn undo_in_mid_drag_puts_everything_back_and_leaves_no_step() {
    let mut shop = close_up();
    let before = shop.project();
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY);
    assert!(shop.project() != before, "the drag has begun");
    shop.key_in_drag(Key::Z, Modifiers::COMMAND);
    shop.move_to(at + BY * 2.0);
    shop.move_and_release(at + BY * 2.0);
    same(&shop.project(), &before, "as before");
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn a_locked_drag_keeps_the_other_two_coordinates_to_the_last_bit() {
    for (axis, key) in ["x", "y", "z"].into_iter().enumerate() {
        let mut shop = close_up();
        let start = waypoint(&shop.project());
        let at = shop.handle(RING);
        shop.press_and_move(at, at + BY * 0.5);
        shop.type_in_drag(key);
        shop.move_and_release(at + BY);
        let end = waypoint(&shop.project());
        for i in 0..3 {
            assert_eq!(end[i] == start[i], i != axis, "{key}: {start} to {end}");
        }
    }
}

#[test]
fn the_same_key_again_lets_go_of_the_axis() {
    let mut shop = close_up();
    let start = waypoint(&shop.project());
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY * 0.5);
    shop.type_in_drag("x");
    shop.type_in_drag("x");
    shop.move_and_release(at + BY);
    let moved = waypoint(&shop.project()) - start;
    assert!(moved.to_array().iter().filter(|m| **m != 0.0).count() >= 2, "{moved}");
}

#[test]
fn a_typed_offset_is_taken_exactly() {
    // typed, what it moves along, how far in mm
    for (lock, typed, offset) in
        [("x", "12.5", DVec3::X * 12.5), ("y", "-3", DVec3::Y * -3.0), ("z", "1/2\"", DVec3::Z * 12.7)]
    {
        let mut shop = close_up();
        let start = waypoint(&shop.project());
        let at = shop.handle(RING);
        shop.press_and_move(at, at + BY * 0.5);
        shop.type_in_drag(lock);
        shop.type_in_drag(typed);
        shop.key_in_drag(Key::Enter, Modifiers::NONE);
        assert_eq!(waypoint(&shop.project()), start + offset, "{lock} {typed}");
        shop.move_to(at + BY * 2.0);
        shop.move_and_release(at + BY * 2.0);
        assert_eq!(waypoint(&shop.project()), start + offset, "the drag was over");
        assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
        shop.ctrl(Key::Z);
        assert_eq!((waypoint(&shop.project()), shop.undo_name()), (start, None));
    }
}

#[test]
fn the_bends_next_to_hardpoints_slide_on_their_axis() {
    for (label, from_start) in [("Bend handle 1", true), ("Bend handle 3", false)] {
        let mut shop = close_up();
        let before = shop.project();
        shop.drag(label, vec2(33.0, -41.0));
        let after = shop.project();
        let mut expected = (*before).clone();
        let run = &mut expected.runs[0];
        if from_start {
            run.start_corner.reach_mm = after.runs[0].start_corner.reach_mm;
        } else if let (RunEnd::Hardpoint { corner, .. }, RunEnd::Hardpoint { corner: now, .. }) =
            (&mut run.end, after.runs[0].end)
        {
            corner.reach_mm = now.reach_mm;
        }
        same(&after, &expected, "nothing but its distance from the face may change");
        assert!(after != before, "{label} has not moved");
    }
}

#[test]
fn a_typed_number_on_a_diamond_is_the_distance_from_the_face() {
    let mut shop = close_up();
    let at = shop.handle("Bend handle 1");
    shop.press_and_move(at, at + vec2(0.0, -20.0));
    shop.type_in_drag("150");
    shop.key_in_drag(Key::Enter, Modifiers::NONE);
    shop.move_and_release(at);
    assert_eq!(shop.project().runs[0].start_corner.reach_mm, 150.0);
}

#[test]
fn caught_bends_have_angles_the_shop_can_make() {
    let mut shop = close_up();
    let id = shop.project().runs[0].id;
    let at = shop.handle(RING);
    shop.press_and_move(at, at + vec2(6.0, 0.0));
    let mut caught = 0;
    for step in 0..60 {
        let (sin, cos) = (step as f32 * 0.7).sin_cos();
        shop.move_to(at + vec2(cos, sin) * (8.0 + step as f32));
        let Some(snapped) = shop.h.state().view().drag.as_ref().unwrap().snapped.clone() else { continue };
        let project = shop.project();
        let report = shop.h.state().session().report().clone();
        let vertices = project.runs[0].vertices();
        for (bend, deg) in &snapped.caught {
            let vertex = vertices[bend - 1];
            let found = report.run(id).unwrap().bends.iter().find(|b| b.vertex == vertex);
            let angle = found.map_or(0.0, |b| b.angle_deg);
            assert!((angle - deg).abs() < 1e-6, "bend {bend} is {angle}° and not {deg}°");
            let step = (deg / 15.0 - (deg / 15.0).round()).abs() < 1e-9;
            let whole = matches!(project.runs[0].make(vertex), Some(BendMake::Elbow { elbow })
                if project.elbow(elbow).is_some_and(|e| (e.angle_deg - deg).abs() < 1e-9));
            assert!(step || whole, "nobody asked for {deg}°");
            caught += 1;
        }
    }
    assert!(caught > 10, "{caught} catches in 60 places");
}

#[test]
fn ctrl_held_down_means_no_catching() {
    let mut shop = close_up();
    let at = shop.handle(RING);
    shop.press_and_move(at, at + vec2(6.0, 0.0));
    let place = (0..60).map(|i| at + vec2(6.0 + i as f32, 0.0)).find(|to| {
        shop.move_to(*to);
        is_snapped(&shop)
    });
    let place = place.expect("somewhere it catches");
    let caught = waypoint(&shop.project());
    shop.frame(&[Event::ModifiersChanged(Modifiers::COMMAND | Modifiers::CTRL)]);
    assert!(!is_snapped(&shop));
    let free = waypoint(&shop.project());
    assert_ne!(free, caught);
    shop.frame(&[Event::ModifiersChanged(Modifiers::NONE)]);
    assert_eq!(waypoint(&shop.project()), caught);
    shop.move_and_release(place);
}

#[test]
fn the_snap_key_switches_catching_off_for_good() {
    let mut shop = close_up();
    shop.key(Key::S);
    assert_eq!(shop.says(), "Drags go anywhere.");
    let at = shop.handle(RING);
    shop.press_and_move(at, at + vec2(6.0, 0.0));
    for i in 0..60 {
        shop.move_to(at + vec2(6.0 + i as f32, 0.0));
        assert!(!is_snapped(&shop));
    }
    shop.move_and_release(at);
}

#[test]
fn the_cross_on_a_leg_puts_in_a_bend() {
    let mut shop = close_up();
    let before = shop.project();
    let at = shop.handle("Add a bend on leg 3");
    shop.press_and_move(at, at + vec2(10.0, 40.0));
    shop.move_and_release(at + vec2(20.0, 70.0));
    let after = shop.project();
    let (old, new) = (&before.runs[0], &after.runs[0]);
    assert_eq!(new.waypoints.len(), old.waypoints.len() + 1);
    assert_eq!(new.waypoints[0], old.waypoints[0], "the new one comes after the old one");
    assert_eq!(shop.undo_name().as_deref(), Some("add waypoint"));
    let selected = shop.h.state().session().selection.vertex;
    assert_eq!(selected, Some(Vertex::Way(new.waypoints[1].id)));
    shop.ctrl(Key::Z);
    same(&shop.project(), &before, "as before");
    assert_eq!(shop.undo_name(), None);
}

#[test]
fn a_click_on_a_ring_selects_its_bend_and_moves_nothing() {
    let mut shop = close_up();
    let before = shop.project();
    shop.button(RING).click();
    shop.run();
    assert!(Arc::ptr_eq(&before, &shop.project()));
    let way = before.runs[0].waypoints[0].id;
    assert_eq!(shop.h.state().session().selection.vertex, Some(Vertex::Way(way)));
    assert!(shop.button(RING).is_focused());
}

#[test]
fn a_ring_wins_over_the_cross_that_lies_on_it() {
    let mut shop = Shop::metric();
    let (ring, cross) = (shop.handle(RING), shop.handle("Add a bend on leg 2"));
    let between = cross - ring;
    assert!(between.x.abs().max(between.y.abs()) < 22.0, "they overlap in the opening view: {ring} {cross}");
    // nearer to the cross, still within both
    let at = ring + between * 0.58;
    shop.press_and_move(at, at + BY);
    shop.move_and_release(at + BY);
    assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
}

#[test]
fn a_ring_is_caught_even_when_the_hand_has_left_it_by_the_next_frame() {
    let mut shop = close_up();
    let camera = shop.h.state().view().camera.clone();
    let at = shop.handle(RING);
    shop.flick(at, at + BY);
    shop.move_and_release(at + BY);
    assert_eq!(shop.undo_name().as_deref(), Some("move bend 2"));
    assert_eq!(shop.h.state().view().camera, camera, "the view may not turn instead");
}

#[test]
fn a_drag_held_still_lets_the_machine_rest() {
    let mut shop = close_up();
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY);
    shop.run();
    assert!(shop.h.state().view().drag.is_some(), "it is still held");
    shop.move_and_release(at + BY);
}

#[test]
fn the_view_keeps_its_place_while_something_is_dragged_in_it() {
    let mut shop = close_up();
    let at = shop.handle(RING);
    shop.press_and_move(at, at + BY * 0.2);
    let view = |shop: &Shop| shop.h.get_by_label("3D view").rect();
    let begun = view(&shop);
    for share in [0.5, 1.0, 1.5, 2.0, -1.0] {
        shop.move_to(at + BY * share);
        // the numbers beside it follow in the next frame
        shop.move_to(at + BY * share);
        assert_eq!(view(&shop), begun, "a view that shifts takes the bend from under the hand");
    }
    shop.move_and_release(at);
}

/// A click on the handle of a bend beside a hardpoint takes that bend: Delete must not take the whole run.
#[test]
fn delete_after_a_click_on_a_bend_beside_a_hardpoint_leaves_the_run() {
    let mut shop = Shop::metric();
    let before = shop.project();
    shop.select(&before.runs[0].name);
    let at = shop.handle("Bend handle 1");
    shop.click_at(at);
    shop.key(eframe::egui::Key::Delete);
    assert_eq!(shop.project().runs.len(), before.runs.len());
    assert!(shop.says().contains("belong to the run"), "{}", shop.says());
}
