//! Lengths along the tube between two plane cuts: the wrap template.

use approx::assert_relative_eq;
use glam::{DQuat, DVec3};
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::geom::ellipse::cut_face_perimeter;
use pipeloft_tests::shop::TUBE;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

fn piece(od_mm: f64, centre_mm: f64, start: Cut, end: Cut) -> Piece {
    Piece {
        mark: "A1".to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TUBE,
        od_mm,
        centre_mm,
        start,
        end,
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

/// Depth of the cut below its heel point every 10° for OD 76.2 at 11.25°, mm.
///
/// Source: computed with mpmath, measured on solids cut by planes.
const DEPTHS: [f64; 19] = [
    0.0, 0.115_135, 0.457_043, 1.015_335, 1.773_047, 2.707_156, 3.789_281, 4.986_541, 6.262_558, 7.578_561,
    8.894_565, 10.170_582, 11.367_842, 12.449_966, 13.384_076, 14.141_788, 14.700_079, 15.041_987,
    15.157_122,
];

#[test]
fn the_wrap_of_an_eleven_and_a_quarter_degree_cut_has_the_tabled_stations() {
    // heel at 3 o'clock, so that a clock taken from the wrong place shows
    let heel = PI / 2.0;
    for cut_at_end in [false, true] {
        let cut = Cut::tilted(11.25_f64.to_radians(), heel);
        let p = if cut_at_end {
            piece(76.2, 100.0, Cut::SQUARE, cut)
        } else {
            piece(76.2, 100.0, cut, Cut::SQUARE)
        };
        for (i, depth) in DEPTHS.iter().enumerate() {
            let from_heel = (10.0 * i as f64).to_radians();
            for clock in [heel + from_heel, heel - from_heel] {
                assert_relative_eq!(p.generator_mm(heel) - p.generator_mm(clock), *depth, epsilon = 6e-7);
            }
        }
    }
    // stations are this far apart on the wrap
    assert_relative_eq!(38.1 * 10_f64.to_radians(), 6.649_704_45, epsilon = 5e-9);
}

/// The unit normal of a face tilted by `cut`: the axis turned so that the face leans out at the heel.
///
/// Clock angles are right-handed about the axis X with 12 o'clock on Z.
fn face_normal(cut: &Cut, at_end: bool) -> DVec3 {
    let Some(heel) = cut.heel_clock_rad else { return DVec3::X };
    let out = DQuat::from_axis_angle(DVec3::X, heel) * DVec3::Z;
    // turning X towards `out` leans an end face back at `out`: the heel of an end face is away from it
    let towards = if at_end { -out } else { out };
    DQuat::from_axis_angle(DVec3::X.cross(towards), cut.tilt_rad) * DVec3::X
}

/// Where the generator at `clock_rad` meets a plane, by bisection along the tube.
fn meets(centre: DVec3, normal: DVec3, r: f64, clock_rad: f64) -> f64 {
    let foot = DQuat::from_axis_angle(DVec3::X, clock_rad) * DVec3::Z * r;
    let side = |x: f64| (foot + DVec3::X * x - centre).dot(normal);
    let (mut low, mut high) = (-1e5, 1e5);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if side(middle) < 0.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    /// A cylinder is cut by two planes and measured along its sides, with no formula in between.
    #[test]
    fn a_cut_cylinder_measures_what_the_piece_says_all_round(
        od in 19.0..152.0_f64,
        centre in 5.0..800.0_f64,
        tilts in (0.0..0.8_f64, 0.0..0.8_f64),
        heels in (-3.1..3.1_f64, -3.1..3.1_f64),
    ) {
        let p = piece(od, centre, Cut::tilted(tilts.0, heels.0), Cut::tilted(tilts.1, heels.1));
        let (from, to) = (face_normal(&p.start, false), face_normal(&p.end, true));
        let (mut long, mut short) = (f64::MIN, f64::MAX);
        for i in 0..720 {
            let clock = f64::from(i) * TAU / 720.0;
            let measured = meets(DVec3::X * centre, to, od / 2.0, clock)
                - meets(DVec3::ZERO, from, od / 2.0, clock);
            prop_assert!((measured - p.generator_mm(clock)).abs() < 1e-8, "at {clock}");
            (long, short) = (long.max(measured), short.min(measured));
        }
        // the longest of 720 sides is short of the true one by at most 1 − cos 0.25° of the reach
        let (want_long, want_short) = p.long_short_mm();
        let near = 1e-8 + 1e-5 * (want_long - want_short);
        prop_assert!((want_long - long).abs() <= near && (want_short - short).abs() <= near);
    }

    /// The weld is the edge of the cut, measured as a polygon of points found by bisection.
    #[test]
    fn the_weld_is_as_long_as_the_edge_of_the_cut(od in 19.0..152.0_f64, tilt in 0.0..0.8_f64) {
        let (r, n) = (od / 2.0, 1200_u32);
        let normal = face_normal(&Cut::tilted(tilt, 0.7), true);
        let point = |i: u32| {
            let clock = f64::from(i) * TAU / f64::from(n);
            let foot = DQuat::from_axis_angle(DVec3::X, clock) * DVec3::Z * r;
            foot + DVec3::X * meets(DVec3::ZERO, normal, r, clock)
        };
        let edge: f64 = (0..n).map(|i| point(i).distance(point(i + 1))).sum();
        prop_assert!((edge - cut_face_perimeter(r, tilt)).abs() < 1e-5 * edge);
    }
}

#[test]
fn the_heel_is_the_longest_side_and_the_throat_opposite_the_shortest() {
    let cut = Cut::tilted(0.2, 1.0);
    let p = piece(63.5, 80.0, cut, cut);
    let reach = 63.5 * 0.2_f64.tan();
    assert_relative_eq!(p.generator_mm(1.0), 80.0 + reach, max_relative = 1e-14);
    assert_relative_eq!(p.generator_mm(1.0 + PI), 80.0 - reach, max_relative = 1e-14);
    assert_relative_eq!(p.generator_mm(1.0 + PI / 2.0), 80.0, max_relative = 1e-14);
}
