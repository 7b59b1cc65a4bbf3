//! Gaps worked out beforehand: distances of an arc and of lines to triangles, by bisection with other code.

use super::*;
use crate::geom::{Barrel, Drum, Elbow, Frame};
use std::f64::consts::FRAC_PI_2;

/// A quarter bend from the origin along X about the axis Z, towards Y, of the given tube.
fn bend(radius_mm: f64) -> Elbow {
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    Elbow { start, toward: DVec3::Y, clr_mm: 114.3, angle_rad: FRAC_PI_2, radius_mm }
}

fn triangle(corners: [[f64; 3]; 3]) -> PlacedScan {
    placed(&(corners.map(DVec3::from).to_vec(), vec![[0, 1, 2]]))
}

fn gap(solid: impl Into<Solid>, scan: &PlacedScan) -> f64 {
    scan.tightest(&one(solid), f64::INFINITY, None).unwrap().gap.gap_mm
}

/// Own vectors: best-first bisection of the arc into segments, segment to triangle in closed form, to 1e-7 mm.
#[test]
fn a_quarter_bend_keeps_the_known_distances_to_triangles() {
    let cases = [
        ([[150.0, 0.0, -20.0], [150.0, 100.0, -20.0], [150.0, 50.0, 60.0]], 37.866_740_4),
        ([[40.0, 60.0, 0.0], [60.0, 60.0, 0.0], [50.0, 80.0, 0.0]], 33.377_259_1),
        ([[-40.0, -40.0, -10.0], [-80.0, -20.0, 20.0], [-60.0, -90.0, 0.0]], 57.445_626_5),
    ];
    for (corners, distance_mm) in cases {
        let scan = triangle(corners);
        assert!(
            (gap(bend(0.0), &scan) - distance_mm).abs() < 0.008,
            "{corners:?}: {}",
            gap(bend(0.0), &scan)
        );
    }
    // the first two are nearest beside the bend and not at its ends: a tube comes nearer by its radius
    for (corners, distance_mm) in &cases[..2] {
        let found = gap(bend(25.0), &triangle(*corners));
        assert!((found - (distance_mm - 25.0)).abs() < 0.008, "{corners:?}: {found}");
    }
}

#[test]
fn a_triangle_across_the_middle_of_a_bend_touches_it() {
    let scan = triangle([[100.0, 20.0, -50.0], [100.0, 20.0, 50.0], [60.0, 20.0, 0.0]]);
    assert!(gap(bend(0.0), &scan).abs() < 0.008, "{}", gap(bend(0.0), &scan));
    // the middle line goes through it: as deep as the tube is thick to its middle, give or take the estimate
    let deep = gap(bend(20.0), &scan);
    assert!((-20.0..0.0).contains(&deep), "{deep}");
}

/// Points, from the closed form of the distance of a point to an arc.
#[test]
fn points_keep_the_known_distances_to_a_bend() {
    let cases = [
        ([50.0, 200.0, 30.0], 111.260_864_6),
        ([90.0, 40.0, -25.0], 25.115_591_8),
        ([-30.0, 40.0, 0.0], 50.0),
        ([200.0, 114.3, 10.0], 86.281_458_1),
        ([0.0, 114.3, 0.0], 114.3),
    ];
    for ([x, y, z], distance_mm) in cases {
        // a triangle hardly larger than a point
        let (s, t) = (0.001, 0.0005);
        let scan = triangle([[x - s, y - t, z], [x + s, y - t, z], [x, y + s, z]]);
        assert!((gap(bend(0.0), &scan) - distance_mm).abs() < 0.01, "{x} {y} {z}: {}", gap(bend(0.0), &scan));
    }
}

#[test]
fn lines_keep_the_known_distances_to_a_triangle() {
    let scan = triangle([[20.0, -10.0, 0.0], [80.0, -10.0, 0.0], [50.0, 30.0, 0.0]]);
    let line = |length_mm: f64, z: f64, radius_mm: f64| Drum {
        start: Frame::new(DVec3::Z * z, DVec3::X, DVec3::Z),
        length_mm,
        radius_mm,
    };
    assert!((gap(Solid::Drum(line(100.0, 10.0, 0.0)), &scan) - 10.0).abs() < 0.004);
    assert!((gap(Solid::Drum(line(100.0, 10.0, 4.0)), &scan) - 6.0).abs() < 0.004);
    assert!((gap(Solid::Drum(line(10.0, 5.0, 0.0)), &scan) - 14.866_068_7).abs() < 0.004);
}

#[test]
fn flat_ends_and_mitred_tips_count_as_they_are() {
    // a wall 100 mm ahead of a tube of 30 mm radius that ends square 60 mm ahead: 40, not 10 as with a round end
    let wall = triangle([[100.0, -900.0, -900.0], [100.0, 900.0, -900.0], [100.0, 0.0, 900.0]]);
    let lean = 0.4_f64;
    let square = Barrel {
        start: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z),
        length_mm: 60.0,
        radius_mm: 30.0,
        start_normal: DVec3::X,
        end_normal: DVec3::X,
    };
    assert!((gap(square, &wall) - 40.0).abs() < 0.004);
    let mitred = Barrel { end_normal: DVec3::new(lean.cos(), 0.0, lean.sin()), ..square };
    assert!((gap(mitred, &wall) - (40.0 - 30.0 * lean.tan())).abs() < 0.004);
}

#[test]
fn a_tube_that_cuts_the_scan_is_as_deep_as_it_comes_near_its_middle_line() {
    let floor = placed(&sheet(10, 200.0, |_, _| 0.0));
    let tube = |z: f64| Barrel {
        start: Frame::new(DVec3::new(-80.0, 7.0, z), DVec3::X, DVec3::Z),
        length_mm: 160.0,
        radius_mm: 25.0,
        start_normal: DVec3::X,
        end_normal: DVec3::X,
    };
    for z in [-24.0_f64, -10.0, 0.0, 3.0, 20.0, 24.99] {
        let found = gap(tube(z), &floor);
        assert!((found - (z.abs() - 25.0)).abs() < 0.01, "{z}: {found}");
    }
    let above = floor.tightest(&one(tube(26.0)), f64::INFINITY, None).unwrap();
    assert!((above.gap.gap_mm - 1.0).abs() < 0.004);
    assert!((above.gap.on_first.z - 1.0).abs() < 0.004 && above.gap.on_second.z.abs() < 1e-9, "{above:?}");
}

#[test]
fn a_pipe_within_a_closed_scan_is_apart_from_it() {
    let shell = placed(&ball(40, 200.0));
    let inside = gap(bend(20.0), &placed_at(&ball(40, 300.0), &Pose::at(DVec3::new(57.0, 57.0, 0.0)), 1.0));
    assert!(inside > 150.0, "{inside}");
    assert!(
        (gap(
            Solid::Drum(Drum {
                start: Frame::new(DVec3::NEG_X * 5.0, DVec3::X, DVec3::Z),
                length_mm: 10.0,
                radius_mm: 5.0
            }),
            &shell
        ) - 192.9)
            .abs()
            < 0.5
    );
}

#[test]
fn odd_solids_and_scans_give_no_gap_and_no_panic() {
    let scan = triangle([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]);
    let bad = Elbow { clr_mm: f64::NAN, ..bend(10.0) };
    assert_eq!(scan.tightest(&one(bad), f64::INFINITY, None), None);
    assert_eq!(scan.tightest(&[], f64::INFINITY, None), None);
    assert_eq!(scan.tightest(&one(bend(10.0)), f64::NAN, None), None);
    assert_eq!(scan.nearest(DVec3::NAN, f64::INFINITY), None);
    for (pose, scale) in [
        (Pose::at(DVec3::NAN), 1.0),
        (Pose::at(DVec3::ZERO), 0.0),
        (Pose::at(DVec3::ZERO), -1.0),
        (Pose::at(DVec3::ZERO), f64::NAN),
        (Pose { turn_deg: DVec3::INFINITY, ..Pose::at(DVec3::ZERO) }, 1.0),
    ] {
        assert!(PlacedScan::new(scan.tree().clone(), &pose, scale).is_none(), "{pose:?} {scale}");
    }
}
