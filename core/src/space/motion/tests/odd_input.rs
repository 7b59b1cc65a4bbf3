//! Movements and numbers that make no sense, and searches that are given up.

use super::*;

#[test]
fn there_is_no_motion_where_nothing_moves_or_a_number_is_not_finite() {
    let still = Movement::default();
    assert_eq!(Motion::between(&still, &still), None);
    assert_eq!(Motion::between(&rolls(DVec3::ZERO, DVec3::ZERO, 3.0), &still), None);
    for bad in [f64::NAN, f64::INFINITY] {
        assert_eq!(Motion::between(&shifts(bad, 0.0, 0.0), &still), None);
        assert_eq!(Motion::between(&still, &shifts(bad, 0.0, 0.0)), None);
        assert_eq!(Motion::between(&rolls(DVec3::splat(bad), DVec3::X, 3.0), &still), None);
        assert_eq!(Motion::between(&rolls(DVec3::ZERO, DVec3::splat(bad), 3.0), &still), None);
        assert_eq!(Motion::between(&rolls(DVec3::ZERO, DVec3::X, bad), &still), None);
    }
    assert_eq!(Motion::between(&shifts(f64::MAX, 0.0, 0.0), &shifts(f64::MAX, 0.0, 0.0)), None);
}

#[test]
fn solids_with_numbers_that_are_not_finite_take_no_part() {
    let motion = against_still(&Movement { shift_mm: DVec3::ONE, ..rolls(DVec3::ZERO, DVec3::X, 2.0) });
    let good = block(DVec3::ZERO, DVec3::splat(10.0));
    let bad = block(DVec3::splat(f64::NAN), DVec3::splat(10.0));
    let form = Shape::Sphere { diameter_mm: 20.0 };
    for placed in [shape(&form, DVec3::X * 50.0), shape(&Shape::HalfSpace, DVec3::Z * -60.0)] {
        let one = motion.tightest(&[good], &placed, f64::INFINITY).unwrap();
        let two = motion.tightest(&[bad, good], &placed, f64::INFINITY).unwrap();
        assert_eq!((two.solid, two.gap), (1, one.gap));
        assert_eq!(motion.tightest(&[bad], &placed, f64::INFINITY), None);
        assert_eq!(motion.tightest(&[], &placed, f64::INFINITY), None);
    }
    assert_eq!(motion.tightest_between(&[bad], &[good], f64::INFINITY), None);
    let nowhere = shape(&Shape::Sphere { diameter_mm: 20.0 }, DVec3::NAN);
    assert_eq!(motion.tightest(&[good], &nowhere, f64::INFINITY), None);
}

#[test]
fn what_is_too_far_at_every_position_is_not_even_measured() {
    let own = Movement { shift_mm: DVec3::splat(10.0), ..rolls(DVec3::ZERO, DVec3::X, 3.0) };
    let motion = against_still(&own);
    let pipe = bar(DVec3::new(0.0, 0.0, 200.0), DVec3::X, 300.0, 30.0);
    let far = shape(&Shape::Sphere { diameter_mm: 50.0 }, DVec3::new(0.0, 300.0, 200.0));
    let target = Target::Bodies(vec![far.body().unwrap()]);
    let mut search = StandSearch::new(&motion, &[pipe], &target, 100.0);
    assert!(search.run().is_none());
    assert_eq!(search.measured, 0);
    // nearer it counts, though not as drawn: 300 − 30 − 25 = 245, and it comes nearer by about 20
    assert!(gap_to_shape(&pipe, &far, 240.0).is_none());
    let swept = motion.tightest(&[pipe], &far, 240.0).unwrap();
    assert!(swept.gap.gap_mm < 230.0);
    let limit_mm = swept.gap.gap_mm;
    assert!(motion.tightest(&[pipe], &far, limit_mm - 2.0 * WITHIN_MM).is_none());
}

#[test]
fn a_search_that_is_given_up_says_how_far_it_came() {
    let motion = against_still(&Movement {
        shift_mm: DVec3::splat(10.0),
        ..rolls(DVec3::new(0.0, 0.0, -200.0), DVec3::new(1.0, 0.4, 0.2), 6.0)
    });
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    let bend = Elbow { start, toward: DVec3::Y, clr_mm: 90.0, angle_rad: 2.0, radius_mm: 30.0 };
    let solids = [Solid::Elbow(bend)];
    let form = Shape::Capsule { diameter_mm: 12.0, length_mm: 100.0 };
    let placed = shape(&form, DVec3::new(-30.0, 90.0, 120.0));
    let proved = motion.tightest(&solids, &placed, f64::INFINITY).unwrap();
    assert!(proved.gap.gap_mm > 1.0);
    let target = Target::Bodies(vec![placed.body().unwrap()]);
    let mut before = f64::NEG_INFINITY;
    for looks in [1, 3, 6, 12] {
        let mut search = StandSearch::new(&motion, &solids, &target, f64::INFINITY);
        search.looks_left = looks;
        let found = search.run().unwrap();
        assert!(found.never_below_mm <= proved.gap.gap_mm, "{looks} looks: {found:?}");
        assert!(found.never_below_mm >= before, "{looks} looks prove less than fewer did");
        before = found.never_below_mm;
    }
    // given up below the limit: something is told all the same
    let mut search = StandSearch::new(&motion, &solids, &target, proved.gap.gap_mm);
    search.looks_left = 1;
    assert!(search.run().unwrap().never_below_mm < proved.gap.gap_mm);
}

#[test]
fn a_body_may_go_all_round() {
    let arm = bar(DVec3::new(50.0, 0.0, 0.0), DVec3::X, 100.0, 10.0);
    let ball = shape(&Shape::Sphere { diameter_mm: 20.0 }, DVec3::new(-180.0, 0.0, 0.0));
    for turn_deg in [180.0, 1e9, -190.0] {
        let swept =
            against_still(&rolls(DVec3::ZERO, DVec3::Z, turn_deg)).tightest(&[arm], &ball, 1e9).unwrap();
        // the rim of the arm's end points at the ball
        let closed_mm = 180.0 - 150.0_f64.hypot(10.0) - 10.0;
        assert!((swept.gap.gap_mm - closed_mm).abs() <= WITHIN_MM + GAP_MM, "{swept:?}");
    }
}
