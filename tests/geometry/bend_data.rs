//! XYZ to LRA and back.

use approx::assert_relative_eq;
use glam::DVec3;
use pipeloft_core::fab::lra::{Lra, LraRow, lra_from_xyz, xyz_from_lra};
use pipeloft_core::geom::vector::angle_between;
use proptest::prelude::*;
use std::f64::consts::PI;

fn row(feed_mm: f64, roll_deg: f64, angle_deg: f64, clr_mm: f64) -> LraRow {
    LraRow { feed_mm, roll_rad: roll_deg.to_radians(), angle_rad: angle_deg.to_radians(), clr_mm }
}

fn developed_mm(lra: &Lra) -> f64 {
    lra.rows.iter().map(|r| r.feed_mm + r.clr_mm * r.angle_rad).sum::<f64>() + lra.last_mm
}

/// Source: the points stand in freemathhelp.com thread 111090 "Converting XYZ Coordinates to LRA"; lengths,
/// rolls and the developed length at CLR 1.25 computed with mpmath.
#[test]
fn a_flat_s_bend_rolls_by_half_a_turn_however_it_lies_in_space() {
    let points = [
        DVec3::new(38.5202, -14.0264, 0.0),
        DVec3::new(45.3142, -14.0264, 0.0),
        DVec3::new(45.3142, -17.5214, 0.9654),
        DVec3::new(48.6822, -17.5214, 0.9654),
    ];
    let lra = lra_from_xyz(&points, &[1.25, 1.25]).unwrap();
    assert_eq!(lra.rows.len(), 2);
    for r in &lra.rows {
        assert_relative_eq!(r.angle_rad.to_degrees(), 90.0, epsilon = 1e-9);
    }
    assert_relative_eq!(lra.rows[0].feed_mm, 5.544, epsilon = 1e-9);
    assert_relative_eq!(lra.rows[0].roll_rad, 0.0);
    assert_relative_eq!(lra.rows[1].feed_mm, 1.125_882_26, epsilon = 1e-8);
    assert_relative_eq!(lra.rows[1].roll_rad.to_degrees(), 180.0, epsilon = 1e-9);
    assert_relative_eq!(lra.last_mm, 2.118, epsilon = 1e-9);
    assert_relative_eq!(developed_mm(&lra), 12.714_873_1, epsilon = 1e-7);
}

/// Own vector, checked with a forward simulation on SciPy rotations: feeds 80 and 40, roll 90°, end 40, CLR 20.
#[test]
fn a_quarter_roll_turns_the_second_bend_to_the_right_hand_about_the_feed() {
    let lra = Lra { rows: vec![row(80.0, 0.0, 90.0, 20.0), row(40.0, 90.0, 90.0, 20.0)], last_mm: 40.0 };
    assert_relative_eq!(developed_mm(&lra), 222.831_853, epsilon = 1e-6);
    // +X, first bend about +Z: on along +Y; the normal Z turned right-handed about +Y is +X, and +Y about +X
    // goes to +Z
    let points = xyz_from_lra(&lra, DVec3::ZERO, DVec3::X, DVec3::Z);
    let want = [
        DVec3::ZERO,
        DVec3::new(100.0, 0.0, 0.0),
        DVec3::new(100.0, 80.0, 0.0),
        DVec3::new(100.0, 80.0, 60.0),
    ];
    assert_eq!(points.len(), want.len());
    for (got, want) in points.iter().zip(want) {
        assert_relative_eq!(*got, want, epsilon = 1e-9);
    }
    assert_eq!(lra_from_xyz(&points, &[20.0, 20.0]).map(|l| l.rows.len()), Some(2));
}

#[test]
fn a_roll_to_the_left_is_negative() {
    // +X, +Y, then down: the mirror image of the quarter roll above
    let points =
        [DVec3::ZERO, DVec3::X * 100.0, DVec3::new(100.0, 80.0, 0.0), DVec3::new(100.0, 80.0, -60.0)];
    let lra = lra_from_xyz(&points, &[20.0, 20.0]).unwrap();
    assert_relative_eq!(lra.rows[1].roll_rad.to_degrees(), -90.0, epsilon = 1e-9);
}

#[test]
fn setback_is_radius_times_tangent_of_half_the_bend() {
    // 60° at R 95.25: setback 54.9926 (95.25 / √3), so 200 leaves 145.0074
    let points = [DVec3::ZERO, DVec3::X * 200.0, DVec3::new(300.0, 100.0 * 3_f64.sqrt(), 0.0)];
    let lra = lra_from_xyz(&points, &[95.25]).unwrap();
    assert_relative_eq!(lra.rows[0].feed_mm, 200.0 - 95.25 / 3_f64.sqrt(), epsilon = 1e-9);
    assert_relative_eq!(lra.last_mm, 200.0 - 95.25 / 3_f64.sqrt(), epsilon = 1e-9);
}

/// Own vector: straights that are too short come out negative, not cut off at zero.
#[test]
fn a_straight_that_is_too_short_comes_out_negative() {
    let points = [DVec3::ZERO, DVec3::X * 10.0, DVec3::new(10.0, 100.0, 0.0)];
    assert_relative_eq!(lra_from_xyz(&points, &[30.0]).unwrap().rows[0].feed_mm, -20.0, epsilon = 1e-12);
}

fn rows() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
    prop::collection::vec((0.0..400.0, -179.9..180.0_f64, 0.5..170.0_f64, 10.0..200.0), 1..9)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn rows_made_into_points_and_back_are_the_same_rows(
        list in rows(),
        last_mm in 0.0..300.0,
        way in (-1.0..1.0, -1.0..1.0, -1.0..1.0_f64),
        lean in (-1.0..1.0, -1.0..1.0, -1.0..1.0_f64),
    ) {
        let (way, lean) = (DVec3::from(way), DVec3::from(lean));
        prop_assume!(way.length() > 0.1 && way.cross(lean).length() > 0.1);
        let mut rows: Vec<LraRow> = list.iter().map(|&(l, r, a, c)| row(l, r, a, c)).collect();
        rows[0].roll_rad = 0.0;
        let lra = Lra { rows, last_mm };
        let travel = way.normalize_or_zero();
        let points = xyz_from_lra(&lra, DVec3::new(12.0, -7.0, 3.0), travel, lean);
        let clr: Vec<f64> = lra.rows.iter().map(|r| r.clr_mm).collect();
        let back = lra_from_xyz(&points, &clr).unwrap();
        for (a, b) in lra.rows.iter().zip(&back.rows) {
            // a setback is long where the bend is sharp, and takes its digits with it
            let setback = a.clr_mm * (a.angle_rad / 2.0).tan() + 1000.0;
            prop_assert!((a.feed_mm - b.feed_mm).abs() < 1e-10 * setback, "{a:?} {b:?}");
            prop_assert!((a.angle_rad - b.angle_rad).abs() < 1e-10);
            let roll = (a.roll_rad - b.roll_rad).rem_euclid(2.0 * PI);
            prop_assert!(roll.min(2.0 * PI - roll) < 1e-8, "{a:?} {b:?}");
        }
        prop_assert!((back.last_mm - last_mm).abs() < 1e-6);
    }

    #[test]
    fn points_made_into_rows_and_back_are_the_same_points(
        list in prop::collection::vec((-900.0..900.0, -900.0..900.0, -900.0..900.0_f64), 3..10),
    ) {
        let points: Vec<DVec3> = list.into_iter().map(DVec3::from).collect();
        let ways: Vec<DVec3> =
            points.windows(2).map(|p| (p[1] - p[0]).normalize_or_zero()).collect();
        let kink = |w: &[DVec3]| angle_between(w[0], w[1]);
        prop_assume!(ways.windows(2).all(|w| kink(w) > 0.02 && kink(w) < 3.0));
        let clr = vec![50.0; points.len() - 2];
        let lra = lra_from_xyz(&points, &clr).unwrap();
        let back = xyz_from_lra(&lra, points[0], ways[0], ways[0].cross(ways[1]));
        prop_assert_eq!(back.len(), points.len());
        for (a, b) in points.iter().zip(&back) {
            prop_assert!(a.distance(*b) < 1e-7, "{} {}", a, b);
        }
    }
}

#[test]
fn points_that_are_no_bend_are_refused() {
    assert_eq!(lra_from_xyz(&[DVec3::ZERO], &[]), None);
    assert_eq!(lra_from_xyz(&[DVec3::ZERO, DVec3::X, DVec3::X * 2.0], &[5.0]), None);
    assert_eq!(lra_from_xyz(&[DVec3::ZERO, DVec3::X, DVec3::X], &[5.0]), None);
    assert_eq!(lra_from_xyz(&[DVec3::ZERO, DVec3::X, DVec3::Y], &[]), None);
}
