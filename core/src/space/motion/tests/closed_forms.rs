//! Positions whose gaps are known in closed form.

use super::*;
use approx::assert_relative_eq;

/// What may be off where bodies roll: what is left unsearched and what a measured gap may be off, mm.
const OFF_MM: f64 = WITHIN_MM + GAP_MM;

#[test]
fn a_ball_over_a_plane_that_rolls_and_shifts() {
    // the top of a slab, rolling about Y through the origin; a ball stands over it 300 forward
    let slab = block(DVec3::new(0.0, 0.0, -50.0), DVec3::new(800.0, 400.0, 50.0));
    let (r, height) = (20.0, 100.0);
    let ball = shape(&Shape::Sphere { diameter_mm: 2.0 * r }, DVec3::new(300.0, 0.0, height));
    let own = Movement { shift_mm: DVec3::new(4.0, 6.0, 8.0), ..rolls(DVec3::ZERO, DVec3::Y, 3.0) };
    let swept = against_still(&own).tightest(&[slab], &ball, f64::INFINITY).unwrap();
    // front end up: the plane's normal leans back by 3°; the ball's height over it, less the box of shifts along it
    let (sin, cos) = 3.0_f64.to_radians().sin_cos();
    let closed_mm = (height * cos - 300.0 * sin) - r - (8.0 * cos + 4.0 * sin);
    assert_relative_eq!(swept.gap.gap_mm, closed_mm, epsilon = OFF_MM);
    assert!(swept.never_below_mm <= closed_mm && swept.never_below_mm > closed_mm - OFF_MM);
    assert_eq!(swept.at.own.ends, [End::Least, End::Between, End::Most, End::Least]);
    assert!(swept.at.own.shift_mm.y.abs() < 1e-12, "a shift along the plane does not matter");
    let length = |mm: f64| format!("{mm:.0} mm");
    let words = swept.at.in_words(["Engine", "Chassis"], &length);
    assert_eq!(words, "Engine 4 mm back, 8 mm up and rolled 3° front end up");
}

#[test]
fn a_pipe_that_hangs_under_the_axis_is_lowest_between_the_ends_of_its_roll() {
    // the middle line swings as a pendulum; straight down is 2° from where it is drawn, not at an end
    let lean = 2.0_f64.to_radians();
    let middle = DVec3::new(0.0, 400.0 * lean.sin(), -400.0 * lean.cos());
    let pipe = bar(middle - DVec3::X * 50.0, DVec3::X, 100.0, 30.0);
    let ground = shape(&Shape::HalfSpace, DVec3::new(0.0, 0.0, -500.0));
    let own = Movement { shift_mm: DVec3::splat(5.0), ..rolls(DVec3::ZERO, DVec3::X * 7.0, 3.0) };
    let swept = against_still(&own).tightest(&[pipe], &ground, f64::INFINITY).unwrap();
    assert_relative_eq!(swept.gap.gap_mm, 500.0 - 400.0 - 30.0 - 5.0, epsilon = OFF_MM);
    assert!(swept.never_below_mm <= 65.0);
    assert_eq!(swept.at.own.ends[3], End::Between);
    // 400 mm times one less the cosine of what it is off may be within the slack: one degree at most
    assert!((swept.at.own.roll_rad.to_degrees() + 2.0).abs() < 1.0, "{swept:?}");
}

#[test]
fn a_bar_beside_a_box_that_both_shift() {
    let pipe = bar(DVec3::ZERO, DVec3::X, 200.0, 20.0);
    let form = Shape::Box { size_mm: DVec3::new(100.0, 40.0, 40.0) };
    let tray = shape(&form, DVec3::new(100.0, 70.0, 0.0));
    let motion = Motion::between(&shifts(0.0, 10.0, 0.0), &shifts(3.0, -5.0, 0.0)).unwrap();
    let swept = motion.tightest(&[pipe], &tray, f64::INFINITY).unwrap();
    assert_relative_eq!(swept.gap.gap_mm, 70.0 - 20.0 - 20.0 - 15.0, epsilon = GAP_MM);
    assert_relative_eq!(swept.at.own.shift_mm.y, 10.0, epsilon = 1e-6);
    assert_relative_eq!(swept.at.other.shift_mm.y, -5.0, epsilon = 1e-6);
    // points where both are then, not where they are drawn
    assert_relative_eq!(swept.gap.on_first.y, 30.0, epsilon = GAP_MM);
    assert_relative_eq!(swept.gap.on_second.y, 45.0, epsilon = GAP_MM);
    let words = swept.at.in_words(["Engine", "Tray"], &|mm| format!("{mm:.0} mm"));
    assert_eq!(words, "Engine 10 mm to the left, Tray 5 mm to the right");
}

#[test]
fn past_a_corner_the_shifts_add_up_along_the_diagonal() {
    let cube = block(DVec3::ZERO, DVec3::splat(10.0));
    let other = block(DVec3::splat(60.0), DVec3::splat(10.0));
    let motion = against_still(&shifts(5.0, 7.0, 9.0));
    let (_, swept) = motion.tightest_between(&[cube], &[other], f64::INFINITY).unwrap();
    let apart = DVec3::new(40.0 - 5.0, 40.0 - 7.0, 40.0 - 9.0).length();
    assert_relative_eq!(swept.gap.gap_mm, apart, epsilon = GAP_MM);
    assert_eq!(swept.at.own.ends, [End::Most, End::Most, End::Most, End::Still]);
}

#[test]
fn a_bar_that_rolls_about_a_far_line() {
    // the line is 3 m below: half a degree moves the bar sideways by nearly 26 mm
    let pipe = bar(DVec3::new(-100.0, 0.0, 0.0), DVec3::X, 200.0, 25.0);
    let wire = shape(&Shape::Capsule { diameter_mm: 10.0, length_mm: 500.0 }, DVec3::new(0.0, 80.0, 0.0));
    let own = rolls(DVec3::new(500.0, 0.0, -3000.0), DVec3::X, 0.5);
    let swept = against_still(&own).tightest(&[pipe], &wire, f64::INFINITY).unwrap();
    let closed_mm = 80.0 - 25.0 - 5.0 - 3000.0 * 0.5_f64.to_radians().sin();
    assert_relative_eq!(swept.gap.gap_mm, closed_mm, epsilon = OFF_MM);
    assert_relative_eq!(swept.at.own.roll_rad, -0.5_f64.to_radians(), epsilon = 1e-9);
}

#[test]
fn two_bars_that_roll_towards_each_other() {
    // two pendulums side by side, 400 long, about lines 300 apart: both bobs swing in by 3°
    let bob = |y: f64| bar(DVec3::new(-50.0, y, -400.0), DVec3::X, 100.0, 20.0);
    let line = |y: f64| rolls(DVec3::new(0.0, y, 0.0), DVec3::X, 3.0);
    let motion = Motion::between(&line(0.0), &line(300.0)).unwrap();
    let (_, swept) = motion.tightest_between(&[bob(0.0)], &[bob(300.0)], f64::INFINITY).unwrap();
    let closed_mm = 300.0 - 40.0 - 2.0 * 400.0 * 3.0_f64.to_radians().sin();
    assert_relative_eq!(swept.gap.gap_mm, closed_mm, epsilon = OFF_MM);
    assert_relative_eq!(swept.at.own.roll_rad, 3.0_f64.to_radians(), epsilon = 1e-9);
    assert_relative_eq!(swept.at.other.roll_rad, -3.0_f64.to_radians(), epsilon = 1e-9);
}

#[test]
fn a_wire_that_the_pipe_passes_through_between_two_free_ends_is_found() {
    // an arm swings by 20° to either side; the wire is met between 6° and 8°, free at both ends and as drawn
    let arm = bar(DVec3::new(100.0, 0.0, 0.0), DVec3::X, 300.0, 2.0);
    let (sin, cos) = 7.0_f64.to_radians().sin_cos();
    let wire = shape(
        &Shape::Capsule { diameter_mm: 3.0, length_mm: 40.0 },
        DVec3::new(300.0 * cos, 300.0 * sin, 0.0),
    );
    let own = rolls(DVec3::ZERO, DVec3::Z, 20.0);
    for turn_deg in [-20.0, 0.0, 20.0_f64] {
        let moved = arm.moved(DQuat::from_axis_angle(DVec3::Z, turn_deg.to_radians()), DVec3::ZERO);
        assert!(gap_to_shape(&moved, &wire, f64::INFINITY).unwrap().gap_mm > 30.0);
    }
    let swept = against_still(&own).tightest(&[arm], &wire, 10.0).unwrap();
    assert!(swept.gap.gap_mm <= 0.0, "{swept:?}");
    assert!(swept.never_below_mm < -1e300, "{swept:?}");
    assert!((swept.at.own.roll_rad.to_degrees() - 7.0).abs() < 1.0);
    // and between two ends of a shift
    let above = bar(DVec3::new(100.0, 0.0, 30.0), DVec3::X, 300.0, 2.0);
    let shelf = shape(&Shape::Box { size_mm: DVec3::new(50.0, 50.0, 1.0) }, DVec3::new(200.0, 0.0, 10.0));
    let swept = against_still(&shifts(0.0, 0.0, 40.0)).tightest(&[above], &shelf, 10.0).unwrap();
    assert!(swept.gap.gap_mm <= 0.0, "{swept:?}");
}

#[test]
fn an_overlap_is_told_as_deep_as_the_shifts_make_it() {
    let (a, b) = (block(DVec3::ZERO, DVec3::splat(50.0)), block(DVec3::Y * 110.0, DVec3::splat(50.0)));
    let motion = against_still(&shifts(0.0, 30.0, 0.0));
    let (_, swept) = motion.tightest_between(&[a], &[b], f64::INFINITY).unwrap();
    assert_relative_eq!(swept.gap.gap_mm, 10.0 - 30.0, epsilon = GAP_MM);
    assert_eq!(swept.at.own.ends[1], End::Most);
}

#[test]
fn what_hardly_moves_has_the_gap_of_what_stands_still() {
    let mut dice = Dice::new(47);
    let motion = against_still(&Movement { shift_mm: DVec3::splat(1e-7), ..rolls(DVec3::X, DVec3::Y, 1e-7) });
    let mut apart = 0;
    for n in 0..60 {
        let (solid, placed) = (dice.solid(n, 120.0), PlacedShape::new(&dice.shape(n / 4), &dice.pose(250.0)));
        let plain = gap_to_shape(&solid, &placed, f64::INFINITY).unwrap();
        let swept = motion.tightest(&[solid], &placed, f64::INFINITY).unwrap();
        if plain.gap_mm > 0.0 {
            assert_relative_eq!(swept.gap.gap_mm, plain.gap_mm, epsilon = OFF_MM);
            assert!(swept.never_below_mm <= plain.gap_mm + 1e-5, "scene {n}: {swept:?} {plain:?}");
            apart += 1;
        } else {
            assert!(swept.gap.gap_mm <= 1e-5, "scene {n}: {swept:?} {plain:?}");
        }
    }
    assert!(apart > 30);
}

#[test]
fn a_bend_that_rolls_about_its_own_centre_keeps_its_gap() {
    // the torus goes along itself: only its ends come anywhere new
    let start = Frame::new(DVec3::new(100.0, 0.0, 0.0), DVec3::Y, DVec3::Z);
    let bend = Elbow { start, toward: -DVec3::X, clr_mm: 100.0, angle_rad: 1.5, radius_mm: 25.0 };
    let form = Shape::Sphere { diameter_mm: 20.0 };
    let ball = shape(&form, DVec3::new(180.0 * 0.75_f64.cos(), 180.0 * 0.75_f64.sin(), 0.0));
    let own = rolls(DVec3::ZERO, DVec3::Z, 4.0);
    let swept = against_still(&own).tightest(&[Solid::Elbow(bend)], &ball, f64::INFINITY).unwrap();
    assert_relative_eq!(swept.gap.gap_mm, 180.0 - 125.0 - 10.0, epsilon = OFF_MM);
    assert!(swept.at.own.is_as_drawn(), "a roll that does not matter is left out: {swept:?}");
    assert_eq!(swept.at.in_words(["Engine", "Chassis"], &|mm| mm.to_string()), "both where they are drawn");
}

#[test]
fn a_position_is_told_by_what_can_be_seen_of_it() {
    let moved = |shift_mm, turn_deg: f64, axis: DVec3| Moved {
        shift_mm,
        roll_rad: turn_deg.to_radians(),
        through_mm: DVec3::ZERO,
        axis,
        ends: [End::Between; 4],
    };
    let told = |own, other| Position { own, other }.in_words(["Engine", "Cab"], &|mm| format!("{mm} mm"));
    let still = moved(DVec3::ZERO, 0.0, DVec3::ZERO);
    let skew = DVec3::ONE / 3.0_f64.sqrt();
    assert_eq!(
        told(moved(DVec3::new(0.0, 0.0, -7.0), 2.5, -DVec3::X), still),
        "Engine 7 mm down and rolled 2.5° right side up"
    );
    assert_eq!(
        told(still, moved(DVec3::new(0.01, -2.0, 0.0), -3.0, skew)),
        "Cab 2 mm to the right and rolled 3°"
    );
    assert_eq!(told(moved(DVec3::X * 0.01, 0.01, DVec3::X), still), "both where they are drawn");
}
