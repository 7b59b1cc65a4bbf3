//! The bound over a range of rolls, against points rolled one by one.

use super::super::bound::{Swing, least_apart};
use super::*;
use crate::geom::vector::turn;

/// Corners of a box of shifts.
fn corners(half_mm: DVec3) -> Vec<DVec3> {
    let signs = [-1.0, 1.0];
    let all = signs.iter().flat_map(|x| signs.iter().flat_map(move |y| signs.map(|z| DVec3::new(*x, *y, z))));
    all.map(|sign| sign * half_mm).collect()
}

#[test]
fn no_roll_within_a_range_brings_points_nearer_than_the_bound_and_some_roll_comes_close_to_it() {
    let mut dice = Dice::new(48);
    for n in 0..300 {
        let [first, second] = [0; 2].map(|_| [0; 6].map(|_| dice.point(150.0)));
        let [c, d] = [0; 2].map(|_| dice.point(200.0));
        let half_mm = dice.point(if n % 3 == 0 { 0.0 } else { 15.0 }).abs();
        let width = [0.4, 0.1, 0.01][n % 3];
        let swings =
            [0; 2].map(|_| Swing { axis: dice.direction(), half_rad: dice.between(0.1, 1.0) * width });
        let across = dice.direction();

        let highest = |points: &[DVec3], from: DVec3, v: DVec3| {
            points.iter().map(|p| (p - from).dot(v)).fold(f64::NEG_INFINITY, f64::max)
        };
        let second_mm = highest(&second, d, -across);
        let first_mm = |v: DVec3| highest(&first, c, v);
        let (bound_mm, at_rad) = least_apart(across, second_mm, &first_mm, (c - d, half_mm), swings);

        let shifts = corners(half_mm);
        // along `across`, which stays with the second body: the first as it is seen from there
        let apart_at = |rad: [f64; 2]| {
            let rolled = |x: DVec3| c + turn(x - c, swings[0].axis, rad[0]);
            let seen = |w: DVec3| d + turn(w - d, swings[1].axis, -rad[1]);
            let all = first.iter().flat_map(|&x| shifts.iter().map(move |&s| (x, s)));
            let top = all.map(|(x, s)| seen(rolled(x) + s).dot(across)).fold(f64::NEG_INFINITY, f64::max);
            -second_mm + d.dot(across) - top
        };
        let steps = 20;
        let share = |i: i32| 2.0 * f64::from(i) / f64::from(steps) - 1.0;
        let mut least_mm = f64::INFINITY;
        for i in 0..=steps {
            for j in 0..=steps {
                let rad = [share(i) * swings[0].half_rad, share(j) * swings[1].half_rad];
                least_mm = least_mm.min(apart_at(rad));
            }
        }
        assert!(bound_mm <= least_mm + 1e-9, "scene {n}: bound {bound_mm}, sampled {least_mm}");
        // the points of either reach 700 mm; what is lost goes with the square of the range
        let reach_mm = 700.0;
        let lost_mm = reach_mm * (swings[0].half_rad + swings[1].half_rad).powi(2) / 2.0;
        assert!(bound_mm >= least_mm - lost_mm - 1e-9, "scene {n}: bound {bound_mm}, sampled {least_mm}");
        // the rolls told with it are in the range and about as near
        assert!((0..2).all(|side| at_rad[side].abs() <= swings[side].half_rad));
        assert!(apart_at(at_rad) <= least_mm + lost_mm + 1e-9, "scene {n}");
    }
}
