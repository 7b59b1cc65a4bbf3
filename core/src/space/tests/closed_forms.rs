//! Gaps that can be written down. The source stands beside each: closed form unless said otherwise; "own
//! vector" is a value of the project's algorithm notes, section 8.

use super::*;
use crate::geom::tolerance::GAP_MM;
use approx::assert_abs_diff_eq;
use parry3d_f64::math::Pose as Placement;
use parry3d_f64::query::distance;
use parry3d_f64::shape::{Cuboid, Cylinder};
use std::f64::consts::FRAC_PI_2;

fn ball(diameter_mm: f64) -> Shape {
    Shape::Sphere { diameter_mm }
}

fn bar(diameter_mm: f64, length_mm: f64) -> Shape {
    Shape::Cylinder { diameter_mm, length_mm }
}

fn cube(edge_mm: f64) -> Shape {
    Shape::Box { size_mm: DVec3::splat(edge_mm) }
}

fn turned(shape: &Shape, position_mm: DVec3, turn_deg: DVec3) -> PlacedShape {
    PlacedShape::new(shape, &Pose { position_mm, turn_deg })
}

/// The bend of the own vectors: from the origin along X, turning left, R 114.3 mm, 90°.
fn bend(radius_mm: f64) -> Elbow {
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    Elbow { start, toward: DVec3::Y, clr_mm: 114.3, angle_rad: FRAC_PI_2, radius_mm }
}

#[test]
fn ball_beside_and_beyond_a_tube() {
    let tube = tube_along_x(200.0, 30.0);
    // beside: 100 − 30 − 12
    let gap = to_shape(tube, &placed(&ball(24.0), DVec3::new(80.0, 60.0, 80.0)));
    assert_abs_diff_eq!(gap.gap_mm, 58.0, epsilon = GAP_MM);
    assert_abs_diff_eq!(gap.on_first, DVec3::new(80.0, 18.0, 24.0), epsilon = 0.1);
    assert_abs_diff_eq!(gap.on_second, DVec3::new(80.0, 52.8, 70.4), epsilon = 0.1);
    // off the rim of the end: (40, 30) from the rim, so 50 − 12
    let gap = to_shape(tube, &placed(&ball(24.0), DVec3::new(240.0, 0.0, 60.0)));
    assert_abs_diff_eq!(gap.gap_mm, 38.0, epsilon = GAP_MM);
}

#[test]
fn parallel_and_skew_bars() {
    let tube = tube_along_x(400.0, 30.0);
    // parallel, axes 90 apart: 90 − 30 − 20
    let along = turned(&bar(40.0, 300.0), DVec3::new(200.0, 90.0, 0.0), DVec3::new(0.0, 90.0, 0.0));
    assert_abs_diff_eq!(to_shape(tube, &along).gap_mm, 40.0, epsilon = GAP_MM);
    // crossing above at 35° to it, axes 77 apart: 77 − 30 − 20, at the crossing
    let across = turned(&bar(40.0, 300.0), DVec3::new(200.0, 0.0, 77.0), DVec3::new(0.0, 90.0, 35.0));
    let gap = to_shape(tube, &across);
    assert_abs_diff_eq!(gap.gap_mm, 27.0, epsilon = GAP_MM);
    assert_abs_diff_eq!(gap.on_first, DVec3::new(200.0, 0.0, 30.0), epsilon = 1.0);
}

#[test]
fn box_by_face_edge_and_corner() {
    let tube = tube_along_x(200.0, 30.0);
    let gap = |at: DVec3, turn: DVec3| to_shape(tube, &turned(&cube(40.0), at, turn)).gap_mm;
    // face: 75 − 20 − 30
    assert_abs_diff_eq!(gap(DVec3::new(100.0, 0.0, 75.0), DVec3::ZERO), 25.0, epsilon = GAP_MM);
    // edge along the tube: 75 − 20√2 − 30
    let edge = 45.0 - 800.0_f64.sqrt();
    assert_abs_diff_eq!(gap(DVec3::new(100.0, 0.0, 75.0), DVec3::X * 45.0), edge, epsilon = GAP_MM);
    // corner (120, 40, 40) off the rim of the end at x 100
    let short = tube_along_x(100.0, 30.0);
    let corner = 20.0_f64.hypot(40.0_f64.hypot(40.0) - 30.0);
    let off = to_shape(short, &placed(&cube(40.0), DVec3::new(140.0, 60.0, 60.0)));
    assert_abs_diff_eq!(off.gap_mm, corner, epsilon = GAP_MM);
}

#[test]
fn hose_along_and_end_on() {
    let tube = tube_along_x(200.0, 30.0);
    let hose = Shape::Capsule { diameter_mm: 16.0, length_mm: 120.0 };
    // upright above the tube: lower ball centre at 100, so 100 − 8 − 30
    assert_abs_diff_eq!(
        to_shape(tube, &placed(&hose, DVec3::new(50.0, 0.0, 160.0))).gap_mm,
        62.0,
        epsilon = GAP_MM
    );
    // sunk 3 into the side: signed by its core
    assert_abs_diff_eq!(
        to_shape(tube, &placed(&hose, DVec3::new(50.0, 35.0, 0.0))).gap_mm,
        -3.0,
        epsilon = GAP_MM
    );
}

#[test]
fn flat_open_end_is_flat() {
    let tube = tube_along_x(200.0, 30.0);
    // 25 in front of the end, also where it stands beside the axis
    for aside in [0.0, 25.0, 49.0] {
        let wall = placed(&cube(50.0), DVec3::new(250.0, aside, 0.0));
        assert_abs_diff_eq!(to_shape(tube, &wall).gap_mm, 25.0, epsilon = GAP_MM);
    }
    // beside and just past the end: 3 on from the end, 4 off the side of the tube
    let past = placed(&cube(50.0), DVec3::new(228.0, 59.0, 0.0));
    assert_abs_diff_eq!(to_shape(tube, &past).gap_mm, 5.0, epsilon = GAP_MM);
    // bends are flat-ended too: 25 behind the start
    let behind = placed(&cube(50.0), DVec3::new(-50.0, 0.0, 0.0));
    assert_abs_diff_eq!(to_shape(bend(30.0), &behind).gap_mm, 25.0, epsilon = GAP_MM);
    assert_abs_diff_eq!(to_shape(bend(30.0), &behind).on_second.x, -25.0, epsilon = GAP_MM);
}

#[test]
fn mitred_tip_reaches_further_than_the_radius() {
    // A joint of two tubes that meet at 45° above a floor, heel down: each face leans 22.5°, and the tip is
    // r / cos 22.5° from the corner, straight below it.
    let (a, r) = (22.5_f64.to_radians(), 31.75);
    let start = Frame::new(DVec3::ZERO, DVec3::new(a.cos(), 0.0, -a.sin()), DVec3::Z);
    let leg =
        Barrel { start, length_mm: 100.0, radius_mm: r, start_normal: start.travel, end_normal: DVec3::X };
    let (_, corner) = leg.axis();
    let floor = placed(&Shape::HalfSpace, DVec3::new(0.0, 0.0, corner.z - 40.0));
    let gap = to_shape(leg, &floor);
    assert_abs_diff_eq!(gap.gap_mm, 40.0 - r / a.cos(), epsilon = 1e-9);
    assert_abs_diff_eq!(gap.on_first, corner - DVec3::Z * (r / a.cos()), epsilon = 1e-9);
    // own vector: the tip of a 31.75 mm radius stands out 2.6 mm at 22.5°
    assert_abs_diff_eq!(r / a.cos() - r, 2.6, epsilon = 0.05);
    // the same to a thin slab instead of the half space
    let slab = Shape::Box { size_mm: DVec3::new(400.0, 400.0, 2.0) };
    let slab = placed(&slab, DVec3::new(0.0, 0.0, corner.z - 41.0));
    assert_abs_diff_eq!(to_shape(leg, &slab).gap_mm, 40.0 - r / a.cos(), epsilon = GAP_MM);
}

#[test]
fn bend_to_points_of_the_own_vectors() {
    // own vectors: distance from the centreline. A ball of no size, and the bend as a tube of 10 mm radius.
    for (at, centreline_mm) in
        [(DVec3::new(90.0, 40.0, -25.0), 25.1155918), (DVec3::new(0.0, 114.3, 0.0), 114.3)]
    {
        let gap = to_shape(bend(10.0), &placed(&ball(0.0), at));
        assert_abs_diff_eq!(gap.gap_mm, centreline_mm - 10.0, epsilon = GAP_MM);
    }
    // beyond the flat ends the centreline's distance (111.26, 50.0 and 86.28) less the radius is not the gap: the
    // end discs are flat, and their rims are what is nearest
    let gap = |at: DVec3| to_shape(bend(10.0), &placed(&ball(0.0), at)).gap_mm;
    let rim = 85.7_f64.hypot(64.3_f64.hypot(30.0) - 10.0);
    assert_abs_diff_eq!(gap(DVec3::new(50.0, 200.0, 30.0)), rim, epsilon = GAP_MM);
    assert_abs_diff_eq!(gap(DVec3::new(-30.0, 40.0, 0.0)), 30.0_f64.hypot(30.0), epsilon = GAP_MM);
    // (200, 114.3, 10) lies in the plane of the end face: off the rim by √(85.7² + 10²) − 10
    let off = 85.7_f64.hypot(10.0);
    assert_abs_diff_eq!(off, 86.2814581, epsilon = 1e-6);
    assert_abs_diff_eq!(gap(DVec3::new(200.0, 114.3, 10.0)), off - 10.0, epsilon = GAP_MM);
}

#[test]
fn bend_to_a_plane_and_inside_its_turn() {
    let elbow = bend(30.0);
    // a wall across X beyond the bend: the outside reaches 114.3 + 30
    let wall = turned(&Shape::HalfSpace, DVec3::X * 200.0, DVec3::new(0.0, -90.0, 0.0));
    assert_abs_diff_eq!(to_shape(elbow, &wall).gap_mm, 200.0 - 144.3, epsilon = 1e-9);
    // a wall across the bisector: the outside of the middle of the bend reaches 144.3 from the centre
    let out = DVec3::new(1.0, -1.0, 0.0) / 2.0_f64.sqrt();
    let wall = turned(&Shape::HalfSpace, elbow.centre() + out * 160.0, DVec3::new(90.0, 0.0, 45.0));
    let (height, _) = wall.nearest(elbow.centre());
    assert_abs_diff_eq!(height.abs(), 160.0, epsilon = 1e-9);
    // a ball inside the turn, 60 from the centre towards the middle: 114.3 − 60 − 30 − 10
    let inside = placed(&ball(20.0), elbow.centre() + out * 60.0);
    assert_abs_diff_eq!(to_shape(elbow, &inside).gap_mm, 14.3, epsilon = GAP_MM);
    // a bar through the bend centre, square to the bend: every angle is equal, 114.3 − 30 − 25
    let pin = placed(&bar(50.0, 200.0), elbow.centre());
    assert_abs_diff_eq!(to_shape(elbow, &pin).gap_mm, 59.3, epsilon = GAP_MM);
}

#[test]
fn two_solids() {
    let (a, mut b) = (tube_along_x(200.0, 30.0), tube_along_x(200.0, 20.0));
    b.start.origin = DVec3::new(100.0, -90.0, 80.0);
    b.start = Frame::new(b.start.origin, DVec3::Y, DVec3::Z);
    (b.start_normal, b.end_normal) = (DVec3::Y, DVec3::Y);
    // crossing axes 80 apart
    let gap = gap_between(&a.into(), &b.into(), 100.0).unwrap();
    assert_abs_diff_eq!(gap.gap_mm, 30.0, epsilon = GAP_MM);
    assert_eq!(gap_between(&a.into(), &b.into(), 29.9), None);
    // two bends in one plane, back to back about the same centre line: outside to outside
    let (one, mut other) = (bend(30.0), bend(30.0));
    other.start = Frame::new(DVec3::new(0.0, -100.0, 0.0), DVec3::X, DVec3::Z);
    other.toward = -DVec3::Y;
    let gap = gap_between(&one.into(), &other.into(), 500.0).unwrap();
    assert_abs_diff_eq!(gap.gap_mm, 40.0, epsilon = GAP_MM); // the start faces' rims, 100 − 2·30
    // one bend inside the turn of a wider one about the same centre: all round 200 − 114.3 − 60
    let mut wide = bend(30.0);
    wide.clr_mm = 200.0;
    wide.start = Frame::new(DVec3::new(0.0, 114.3 - 200.0, 0.0), DVec3::X, DVec3::Z);
    let gap = gap_between(&one.into(), &wide.into(), 500.0).unwrap();
    assert_abs_diff_eq!(gap.gap_mm, 25.7, epsilon = GAP_MM);
}

#[test]
fn the_tightest_of_many_is_named() {
    let solids: Vec<Solid> = (0..10)
        .map(|i| {
            let mut tube = tube_along_x(50.0, 20.0);
            tube.start.origin = DVec3::new(50.0 * f64::from(i), 0.0, 0.0);
            tube.into()
        })
        .collect();
    let post = placed(&ball(20.0), DVec3::new(330.0, 70.0, 0.0));
    let (which, gap) = tightest(&solids, &post, 60.0).unwrap();
    assert_eq!(which, 6);
    assert_abs_diff_eq!(gap.gap_mm, 40.0, epsilon = GAP_MM);
    assert_eq!(tightest(&solids, &post, 39.9), None);
    // neighbours touch; next but one are 50 apart
    let neighbours = |i: usize, j: usize| i.abs_diff(j) < 2;
    let (i, j, gap) = tightest_between(&solids, &solids, 100.0, &neighbours).unwrap();
    assert_eq!(i.abs_diff(j), 2);
    assert_abs_diff_eq!(gap.gap_mm, 50.0, epsilon = GAP_MM);
}

#[test]
fn square_ended_tubes_and_boxes_agree_with_parry() {
    let mut dice = Dice::new(11);
    for n in 0..300 {
        let drum = dice.drum(100.0);
        let pose = dice.pose(150.0);
        let size_mm = dice.point(60.0).abs() + DVec3::ONE;
        let gap = to_shape(Solid::Drum(drum), &PlacedShape::new(&Shape::Box { size_mm }, &pose));
        // parry's cylinder stands along its own Y about its middle
        let turn = glam::DQuat::from_rotation_arc(DVec3::Y, drum.start.travel);
        let middle = drum.start.forward(drum.length_mm / 2.0).origin;
        let theirs = distance(
            &Placement::from_parts(middle, turn),
            &Cylinder::new(drum.length_mm / 2.0, drum.radius_mm),
            &Placement::from_parts(pose.position_mm, pose.rotation()),
            &Cuboid::new(size_mm / 2.0),
        );
        let theirs = theirs.unwrap().distance;
        assert!((gap.gap_mm.max(0.0) - theirs).abs() < GAP_MM, "scene {n}: {gap:?}, parry {theirs}");
    }
}

#[test]
fn overlaps_are_measured() {
    let tube = tube_along_x(200.0, 30.0);
    // a box sunk 4 into the side, one that swallows 6 of the end, and a bend grazed by a box by 2
    let side = placed(&cube(40.0), DVec3::new(100.0, 0.0, 46.0));
    assert_abs_diff_eq!(to_shape(tube, &side).gap_mm, -4.0, epsilon = 0.05);
    let end = placed(&cube(80.0), DVec3::new(234.0, 0.0, 0.0));
    assert_abs_diff_eq!(to_shape(tube, &end).gap_mm, -6.0, epsilon = 0.05);
    let under = placed(&cube(40.0), DVec3::new(60.0, 30.0, -48.0));
    assert_abs_diff_eq!(to_shape(bend(30.0), &under).gap_mm, -2.0, epsilon = 0.05);
    // inside the turn, where the hull is far from the bend: 114.3 − 75 − 30 − 10
    let out = DVec3::new(1.0, -1.0, 0.0) / 2.0_f64.sqrt();
    let inside = placed(&ball(20.0), bend(30.0).centre() + out * 75.0);
    assert_abs_diff_eq!(to_shape(bend(30.0), &inside).gap_mm, -0.7, epsilon = 0.05);
    // wholly inside: out through the nearest side, 60 − 30 + 10
    let swallowed = placed(&ball(20.0), DVec3::new(100.0, 0.0, 0.0));
    assert_abs_diff_eq!(to_shape(tube, &swallowed).gap_mm, -40.0, epsilon = 0.1);
    assert_abs_diff_eq!(gap_between(&tube.into(), &tube.into(), 1.0).unwrap().gap_mm, -60.0, epsilon = 0.5);
}
