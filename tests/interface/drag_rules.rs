//! Where a drag goes, without a window: a pipe, what the hand does, where the bend ends up.

use crate::bench::{one_pipe, same};
use glam::{DVec2, DVec3, dvec2};
use pipeloft::viewport::drag::{DragRules, DragState};
use pipeloft_core::edit::apply;
use pipeloft_core::edit::handle::{Freedom, Handle, handles_of, place};
use pipeloft_core::model::{Project, Vertex};
use pipeloft_core::units::UnitSystem;
use pipeloft_core::view3d::{Camera, NamedView, Projection};

const SIZE: DVec2 = DVec2::new(900.0, 600.0);
const FREE: DragRules = DragRules { snap: false, units: UnitSystem::Millimetre };
const CATCHING: DragRules = DragRules { snap: true, ..FREE };

fn waypoint(project: &Project) -> Handle {
    Handle::Vertex(project.runs[0].id, Vertex::Way(project.runs[0].waypoints[0].id))
}

fn camera(view: NamedView, projection: Projection) -> Camera {
    let mut camera = Camera { projection, ..Camera::default() };
    camera.look_from(view);
    camera.fit(DVec3::new(0.0, 0.0, 0.0), DVec3::new(1100.0, 600.0, 300.0), SIZE);
    camera
}

fn all_cameras() -> Vec<Camera> {
    let views = [
        NamedView::Free,
        NamedView::Front,
        NamedView::Back,
        NamedView::Left,
        NamedView::Right,
        NamedView::Top,
        NamedView::Bottom,
    ];
    let both = [Projection::Perspective, Projection::Parallel];
    views.into_iter().flat_map(|v| both.map(|p| camera(v, p))).collect()
}

/// A drag pressed exactly on the handle.
fn begin(project: &Project, handle: Handle, camera: &Camera) -> (DragState, DVec2) {
    let at = camera.ui_from_world(place(project, handle).unwrap(), SIZE).unwrap().0;
    (DragState::begin(project, handle, at, camera, SIZE).unwrap(), at)
}

#[test]
fn a_free_bend_follows_the_pointer_in_every_view() {
    let project = one_pipe();
    for camera in all_cameras() {
        let (mut drag, at) = begin(&project, waypoint(&project), &camera);
        for by in [dvec2(0.0, 0.0), dvec2(30.0, 12.0), dvec2(-55.0, 40.0), dvec2(3.0, -70.0)] {
            let edit = drag.update(&project, at + by, &camera, SIZE, FREE).unwrap();
            let next = apply(&project, &edit).unwrap();
            let now = place(&next, drag.handle).unwrap();
            let seen = camera.ui_from_world(now, SIZE).unwrap().0;
            assert!(seen.distance(at + by) < 0.05, "{camera:?}: {seen} and not {}", at + by);
            assert!((now - drag.start).dot(drag.plane).abs() < 1e-6, "it stays in its plane");
        }
    }
}

#[test]
fn pressing_beside_the_middle_of_a_ring_does_not_make_it_jump() {
    let project = one_pipe();
    let camera = camera(NamedView::Free, Projection::Perspective);
    let handle = waypoint(&project);
    let at = camera.ui_from_world(place(&project, handle).unwrap(), SIZE).unwrap().0;
    let press = at + dvec2(9.0, -7.0);
    let mut drag = DragState::begin(&project, handle, press, &camera, SIZE).unwrap();
    drag.update(&project, press, &camera, SIZE, FREE);
    assert!(drag.target.distance(drag.start) < 1e-6, "{}", drag.target - drag.start);
}

#[test]
fn a_locked_bend_moves_on_one_axis_in_every_view_and_never_flies_away() {
    let project = one_pipe();
    for camera in all_cameras() {
        for axis in 0..3 {
            let (mut drag, at) = begin(&project, waypoint(&project), &camera);
            drag.toggle_lock(axis);
            for by in [dvec2(25.0, 0.0), dvec2(0.0, 25.0), dvec2(-400.0, 300.0), dvec2(5000.0, -5000.0)] {
                drag.update(&project, at + by, &camera, SIZE, FREE);
                let moved = drag.target - drag.start;
                assert!(moved.is_finite());
                for other in (0..3).filter(|o| *o != axis) {
                    assert_eq!(drag.target[other], drag.start[other], "{by} on axis {axis}");
                }
            }
        }
    }
}

#[test]
fn looking_along_the_locked_axis_a_bend_stays_where_it_is() {
    let project = one_pipe();
    for (view, axis) in [(NamedView::Front, 0), (NamedView::Left, 1), (NamedView::Top, 2)] {
        let camera = camera(view, Projection::Parallel);
        let (mut drag, at) = begin(&project, waypoint(&project), &camera);
        drag.toggle_lock(axis);
        drag.update(&project, at + dvec2(40.0, 25.0), &camera, SIZE, FREE);
        assert_eq!(drag.target, drag.start, "{view:?}");
    }
}

#[test]
fn diamonds_stay_on_their_axis_in_front_of_the_face() {
    let project = one_pipe();
    let run = &project.runs[0];
    for vertex in [Vertex::Start, Vertex::End] {
        for camera in all_cameras() {
            let (mut drag, at) = begin(&project, Handle::Vertex(run.id, vertex), &camera);
            let Freedom::Axis(origin, axis) = drag.freedom else { panic!("{vertex:?} slides") };
            for by in [dvec2(60.0, 10.0), dvec2(-60.0, -10.0), dvec2(900.0, 0.0), dvec2(-900.0, 0.0)] {
                let Some(edit) = drag.update(&project, at + by, &camera, SIZE, FREE) else { continue };
                let Ok(next) = apply(&project, &edit) else { continue };
                let now = place(&next, drag.handle).unwrap() - origin;
                assert!((now - axis * now.dot(axis)).length() < 1e-9, "{vertex:?} leaves its axis: {now}");
                assert!(now.dot(axis) > 0.0, "{vertex:?} goes behind the face");
            }
        }
    }
}

#[test]
fn what_is_typed_counts_and_the_pointer_does_not() {
    // lock, typed, units, where it goes from the start
    let inch = UnitSystem::InchFraction;
    let mm = UnitSystem::Millimetre;
    for (lock, typed, units, expected) in [
        (Some(0), "12.5", mm, DVec3::X * 12.5),
        (Some(0), "12.5", inch, DVec3::X * 317.5),
        (Some(1), "-1 1/2", inch, DVec3::Y * -38.1),
        (Some(2), "10mm", inch, DVec3::Z * 10.0),
        (Some(2), "2'", mm, DVec3::Z * 609.6),
    ] {
        let project = one_pipe();
        let camera = camera(NamedView::Free, Projection::Perspective);
        let (mut drag, at) = begin(&project, waypoint(&project), &camera);
        if let Some(axis) = lock {
            drag.toggle_lock(axis);
        }
        drag.typed = typed.to_owned();
        for by in [dvec2(10.0, 10.0), dvec2(-200.0, 90.0)] {
            drag.update(&project, at + by, &camera, SIZE, DragRules { units, ..CATCHING });
            assert!((drag.target - drag.start - expected).length() < 1e-9, "{typed}: {}", drag.target);
            assert_eq!(drag.snapped, None, "an exact number is not pulled anywhere");
        }
        assert!(drag.caption(units).contains(typed));
    }
}

#[test]
fn a_number_without_an_axis_waits_for_one() {
    let project = one_pipe();
    let camera = camera(NamedView::Free, Projection::Perspective);
    let (mut drag, at) = begin(&project, waypoint(&project), &camera);
    drag.typed = "50".to_owned();
    drag.update(&project, at + dvec2(20.0, 0.0), &camera, SIZE, FREE);
    assert!(drag.target.distance(drag.start) > 1.0, "the pointer still leads");
    assert!(drag.caption(UnitSystem::Millimetre).contains("press X, Y or Z first"));
}

#[test]
fn catching_keeps_to_the_directions_that_are_free() {
    let project = one_pipe();
    let camera = camera(NamedView::Free, Projection::Perspective);
    let mut caught = 0;
    for i in 0..80 {
        let (mut drag, at) = begin(&project, waypoint(&project), &camera);
        let by = dvec2(f64::from(i) * 1.5 - 60.0, f64::from(i % 9) * 6.0 - 24.0);
        drag.update(&project, at + by, &camera, SIZE, FREE);
        let free = drag.target;
        drag.update(&project, at + by, &camera, SIZE, CATCHING);
        assert!((drag.target - drag.start).dot(drag.plane).abs() < 1e-6, "it stays in its plane");
        let pulled = drag.target.distance(free) / camera.mm_per_point_at(free, SIZE);
        assert!(pulled <= 9.0 + 1e-6, "pulled by {pulled} points");
        caught += usize::from(drag.snapped.is_some());
    }
    assert!(caught > 5, "{caught} of 80");
}

#[test]
fn every_handle_of_a_run_can_be_dragged_and_its_edit_touches_that_run_only() {
    let project = one_pipe();
    let camera = camera(NamedView::Free, Projection::Perspective);
    for handle in handles_of(&project.runs[0]) {
        let (mut drag, at) = begin(&project, handle, &camera);
        let edit = drag.update(&project, at + dvec2(14.0, -9.0), &camera, SIZE, CATCHING).unwrap();
        let mut next = apply(&project, &edit).unwrap();
        assert!(next != project, "{handle:?} does nothing");
        next.runs.clone_from(&project.runs);
        next.next_id = project.next_id;
        same(&next, &project, "all but the run");
    }
}

#[test]
fn a_handle_that_is_gone_or_behind_the_eye_cannot_be_dragged() {
    let mut project = one_pipe();
    let handle = waypoint(&project);
    let mut behind = camera(NamedView::Free, Projection::Perspective);
    behind.target += behind.forward() * 50_000.0;
    assert_eq!(DragState::begin(&project, handle, DVec2::ZERO, &behind, SIZE), None);
    project.runs.clear();
    let camera = camera(NamedView::Free, Projection::Perspective);
    assert_eq!(DragState::begin(&project, handle, DVec2::ZERO, &camera, SIZE), None);
}
