//! Scenes with known answers: own vectors. OD 63.5, R 95.25, gap 12, end straights 30, others 20.

use super::check::fault;
use super::prove::{Verdict, prove};
use super::room::{Room, Thing};
use super::search::{Effort, Outcome, Why, search};
use super::task::{Bending, Task, Weights};
use glam::{DQuat, DVec3};
use pipeloft_core::model::{Hole, Pose, Shape};
use pipeloft_core::space::PlacedShape;
use pipeloft_core::watch::Unwatched;

const RADIUS_MM: f64 = 31.75;
const NEED_MM: f64 = RADIUS_MM + 12.0;

fn v(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

fn brick(low: DVec3, high: DVec3) -> PlacedShape {
    PlacedShape::new(&Shape::Box { size_mm: high - low }, &Pose::at(low.midpoint(high)))
}

/// A plate 8 mm thick across X with round holes at the given places of its plane.
fn wall(x_mm: f64, holes: &[(f64, f64, f64)]) -> PlacedShape {
    // its own X, Y, Z are the vehicle's Y, Z, X
    let rotation = DQuat::from_mat3(&glam::DMat3::from_cols(DVec3::Y, DVec3::Z, DVec3::X));
    let holes =
        holes.iter().map(|(y, z, radius)| Hole { x_mm: *y, y_mm: *z, diameter_mm: 2.0 * radius }).collect();
    let panel = Shape::Panel { width_mm: 8000.0, height_mm: 8000.0, thickness_mm: 8.0, holes };
    PlacedShape::new(&panel, &Pose::of_rotation(v(x_mm, 0.0, 0.0), rotation))
}

fn capsule(a: DVec3, b: DVec3, radius_mm: f64) -> PlacedShape {
    let way = (b - a).try_normalize().unwrap_or(DVec3::Z);
    let pose = Pose::of_rotation(a.midpoint(b), DQuat::from_rotation_arc(DVec3::Z, way));
    PlacedShape::new(&Shape::Capsule { diameter_mm: 2.0 * radius_mm, length_mm: a.distance(b) }, &pose)
}

fn scene(end: DVec3, arrives: DVec3, shapes: Vec<PlacedShape>) -> Task {
    let things = shapes.into_iter().map(|s| Thing::new(s, NEED_MM, (0.0, 0.0), 0)).collect();
    Task {
        room: Room::new(things, (v(-200.0, -350.0, -350.0), v(800.0, 450.0, 400.0))),
        start: (DVec3::ZERO, DVec3::X),
        end: (end, Some(arrives)),
        radius_mm: RADIUS_MM,
        clr_mm: 95.25,
        bending: Bending::Elbow,
        most_bend_rad: 150_f64.to_radians(),
        each: Vec::new(),
        ends_mm: (30.0, 30.0),
        straight_mm: 20.0,
        most_bends: 8,
        own_near_mm: (2.5 * 63.5_f64).max(1.6 * 95.25),
        own_gap_mm: 5.0,
        weights: Weights::default(),
    }
}

fn solved(task: &Task, guides: usize) -> Outcome {
    let out = search(task, Effort::of(guides), &Unwatched, &mut |_| {});
    for route in &out.routes {
        assert_eq!(fault(task, &route.line), None);
        sampled(task, &route.vertices);
    }
    out
}

/// Walks the line every millimetre with formulas of its own.
fn sampled(task: &Task, vertices: &[DVec3]) {
    let mut points = vec![task.start.0];
    points.extend(vertices);
    points.push(task.end.0);
    let mut at = task.start.0;
    for i in 1..points.len() {
        let way = (points[i] - points[i - 1]).try_normalize().unwrap();
        let mut stop = points[i];
        let mut arc = Vec::new();
        if let Some(next) = points.get(i + 1) {
            let out = (next - points[i]).try_normalize().unwrap();
            let angle = way.dot(out).clamp(-1.0, 1.0).acos();
            let tangent = task.clr_mm * (angle / 2.0).tan();
            stop = points[i] - way * tangent;
            let centre_way = (out - way).try_normalize().unwrap();
            let centre = points[i] + centre_way * (task.clr_mm / (angle / 2.0).cos());
            let (from, to) = (stop - centre, points[i] + out * tangent - centre);
            for k in 0..=200 {
                arc.push(centre + from.lerp(to, f64::from(k) / 200.0).try_normalize().unwrap() * task.clr_mm);
            }
        }
        assert!((stop - at).dot(way) > -1e-6, "straight {i} runs back");
        let steps = at.distance(stop).ceil().max(1.0);
        let straight = (0..=steps as usize).map(|k| at.lerp(stop, k as f64 / steps));
        for p in straight.chain(arc.iter().copied()) {
            for thing in &task.room.things {
                let mm = thing.shape.signed_distance(p);
                assert!(mm > NEED_MM - 0.02, "{mm} at {p}");
            }
        }
        at = arc.last().copied().unwrap_or(stop);
    }
}

fn costs(end: DVec3, arrives: DVec3, shapes: Vec<PlacedShape>, known: f64) {
    let mut task = scene(end, arrives, shapes);
    if end.x > 800.0 {
        task.room.bounds.1.x = 1100.0;
    }
    let out = solved(&task, 60);
    let best = out.routes.first().map_or(f64::INFINITY, |r| r.cost);
    assert!(best <= 1.03 * known, "cost {best}, known {known}, {:?}", out.why);
}

#[test]
fn round_a_box() {
    costs(
        v(560.0, 120.0, 0.0),
        DVec3::X,
        vec![brick(v(180.0, -120.0, -150.0), v(330.0, 260.0, 60.0))],
        1212.53,
    );
}

#[test]
fn through_a_hole() {
    costs(v(700.0, 0.0, 0.0), DVec3::X, vec![wall(350.0, &[(150.0, 80.0, 50.0)])], 1274.98);
}

#[test]
fn through_two_holes() {
    let walls = vec![wall(300.0, &[(110.0, 0.0, 52.0)]), wall(560.0, &[(-100.0, 60.0, 52.0)])];
    costs(v(900.0, 0.0, 0.0), DVec3::X, walls, 1689.79);
}

#[test]
fn back_round_the_end_of_a_wall() {
    let wall = brick(v(-150.0, 120.0, -300.0), v(260.0, 180.0, 300.0));
    costs(v(-20.0, 300.0, 0.0), -DVec3::X, vec![wall], 1266.44);
}

#[test]
fn out_of_a_tunnel() {
    let side = |low: DVec3, high: DVec3| brick(low, high);
    let shapes = vec![
        side(v(-300.0, -70.0, -70.0), v(260.0, -55.0, 70.0)),
        side(v(-300.0, 55.0, -70.0), v(260.0, 70.0, 70.0)),
        side(v(-300.0, -70.0, 55.0), v(260.0, 70.0, 70.0)),
        side(v(-300.0, -70.0, -70.0), v(260.0, 70.0, -55.0)),
        side(v(480.0, -400.0, -400.0), v(500.0, 400.0, 400.0)),
    ];
    costs(v(120.0, 320.0, 0.0), -DVec3::X, shapes, 1129.20);
}

#[test]
fn between_hoses_and_a_ball() {
    let shapes = vec![
        capsule(v(220.0, -300.0, 20.0), v(220.0, 300.0, -20.0), 40.0),
        capsule(v(360.0, 0.0, -300.0), v(360.0, 60.0, 300.0), 45.0),
        capsule(v(330.0, -250.0, 140.0), v(600.0, 250.0, 160.0), 25.0),
        PlacedShape::new(&Shape::Sphere { diameter_mm: 120.0 }, &Pose::at(v(500.0, 60.0, 60.0))),
        brick(v(560.0, -60.0, -200.0), v(720.0, 20.0, 40.0)),
    ];
    costs(v(650.0, 200.0, 100.0), DVec3::Y, shapes, 1407.17);
}

#[test]
fn a_hole_too_small_is_proved_too_small() {
    let task = scene(v(600.0, 120.0, 40.0), DVec3::X, vec![wall(300.0, &[(60.0, 20.0, 40.75)])]);
    let out = solved(&task, 10);
    assert!(out.routes.is_empty());
    assert_eq!(prove(&task, 3_000_000, &Unwatched), Verdict::NoWay);
    // and one that is large enough is not
    let task = scene(v(600.0, 120.0, 40.0), DVec3::X, vec![wall(300.0, &[(60.0, 20.0, 52.0)])]);
    assert_ne!(prove(&task, 3_000_000, &Unwatched), Verdict::NoWay);
}

#[test]
fn a_blocked_stub_says_how_far_it_gets() {
    let task =
        scene(v(600.0, 120.0, 40.0), DVec3::X, vec![brick(v(60.0, -50.0, -50.0), v(90.0, 50.0, 50.0))]);
    let out = solved(&task, 10);
    let Some(Why::StartBlocked(blocked)) = out.why else { panic!("{:?}", out.why) };
    assert!((blocked.free_mm - 16.25).abs() < 0.1, "{blocked:?}");
    assert!((blocked.needs_mm - 30.0).abs() < 1e-9, "{blocked:?}");
}

#[test]
fn where_the_axes_meet_one_bend_is_found_exactly() {
    let task = scene(v(400.0, 300.0, 0.0), DVec3::Y, Vec::new());
    let mut told = Vec::new();
    let out = search(&task, Effort::of(5), &Unwatched, &mut |route| told.push(route.vertices.clone()));
    assert_eq!(told[0].len(), 1);
    assert!(told[0][0].distance(v(400.0, 0.0, 0.0)) < 1e-9);
    // one right angle, 400 and 300 to the corner: 3 pieces, two welds
    let arc = 95.25 * std::f64::consts::FRAC_PI_2;
    let known = 120.0 + 700.0 - 2.0 * 95.25 + arc + 90.0;
    assert!(out.routes[0].cost <= known + 1e-6);
}

#[test]
fn two_bends_are_no_dearer_than_the_line_with_the_shortest_straights_at_the_ends() {
    // own vector: 30 mm at both ends, tangents 38.7231 and 17.7757, bends 44.2476° and 21.1420°, 400.5373 between
    let arrives = v(0.5, 0.6, 0.6245).try_normalize().unwrap();
    let task = scene(v(420.0, 310.0, 180.0), arrives, Vec::new());
    let turned: f64 = 44.247_631_2 + 21.142_004_8;
    let known = 4.0 * 60.0 + 60.0 + 400.537_293_2 + 95.25 * turned.to_radians() + turned;
    let out = search(&task, Effort::of(5), &Unwatched, &mut |_| {});
    let best = out.routes[0].cost;
    assert!(best <= known + 0.01, "{best}, known {known}");
}
