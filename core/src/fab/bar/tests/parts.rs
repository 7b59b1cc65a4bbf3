//! Copes, sleeves, saddle plates and pins.

use super::sleeve::closest_that_slides;
use super::*;
use approx::assert_relative_eq;
use std::f64::consts::PI;

/// Where a bar of radius `b` at `beta` to a tube of radius `h` meets its outside, along the bar: on the tube
/// `y² + z² = h²` about X, a side of the bar at `clock` starts from `b·cos`, `b·sin` across its axis. Solved for the
/// distance along the bar's axis.
fn seat(h: f64, b: f64, beta: f64) -> impl Fn(f64) -> f64 {
    move |clock: f64| {
        let (sin, cos) = clock.sin_cos();
        ((h * h - (b * sin).powi(2)).sqrt() + b * cos * beta.cos()) / beta.sin()
    }
}

/// Depths of a cope on its outside, found by root finding and on solids: 60.3 on 60.3, 50.8 on 76.2 square and at
/// 45°, 50.8 on 152.4 square.
#[test]
fn the_depth_of_a_cope_is_that_of_the_curve() {
    let known = [
        (60.3, 60.3, 90.0, 30.15),
        (76.2, 50.8, 90.0, 9.70193669),
        (76.2, 50.8, 45.0, 50.8),
        (152.4, 50.8, 90.0, 4.35795103),
    ];
    for (tube, bar_od, deg, depth) in known {
        let (h, b, beta) = (tube / 2.0, bar_od / 2.0, f64::to_radians(deg));
        let cope = Cope::from_curve(&seat(h, b, beta)).unwrap();
        assert_relative_eq!(cope.depth_mm(), depth, epsilon = 5e-7);
        if deg > 89.0 {
            let plain = Cope::square_on(tube, bar_od).unwrap();
            assert_relative_eq!(plain.near_mm, cope.near_mm, epsilon = 1e-6);
            assert_relative_eq!(plain.far_mm, cope.far_mm, epsilon = 1e-9);
        }
    }
}

/// 1 in bar square onto 2 in tube, own arithmetic: √(1 − 0.25) = 0.866025404 in from the tube's axis.
#[test]
fn a_coped_bar_is_sawn_to_its_longest_side() {
    let cope = Cope::square_on(inch(2.0), inch(1.0)).unwrap();
    let mut job = bar(300.0, [BarEnd::Cope(cope), BarEnd::Tab { hole_to_bar_mm: 20.0 }]);
    job.stock.od_mm = inch(1.0);
    let out = job.work_out().unwrap();
    assert_relative_eq!(out.cut_mm, 300.0 - inch(0.866025404) - 20.0, epsilon = 1e-7);
    assert_relative_eq!(out.ends[0].inside_mm, inch(1.0 - 0.866025404), epsilon = 1e-7);
}

#[test]
fn a_bar_that_misses_the_tube_says_where() {
    let beside = |clock: f64| (400.0 - (10.0 + 15.0 * clock.sin()).powi(2)).sqrt();
    let Err(BarError::NoSeat { clock_rad }) = Cope::from_curve(&beside) else { panic!("it seats") };
    assert!((10.0 + 15.0 * clock_rad.sin()).abs() > 20.0);
    assert!(matches!(Cope::square_on(40.0, 40.1), Err(BarError::Length { .. })));
}

fn sleeve(od_in: f64, wall_in: f64) -> Sleeve {
    Sleeve { od_mm: inch(od_in), wall_mm: inch(wall_in) }
}

/// Own arithmetic on nominal inch sizes: 0.875 − 0.240 − 0.625 = 0.010; 2 − 0.240 − 1.75 = 0.010;
/// 1.625 − 0.116 − 1.5 = 0.009; 2.625 − 0.116 − 2.5 = 0.009. And two that do not slide: 0.875 − 0.130 − 0.75 is
/// −0.005, 1 − 0.070 − 0.875 is 0.055.
#[test]
fn sleeves_over_bars_have_the_clearance_of_their_sizes() {
    let known = [
        (0.625, 0.875, 0.120, 0.010, Fit::Slides),
        (1.75, 2.0, 0.120, 0.010, Fit::Slides),
        (1.5, 1.625, 0.058, 0.009, Fit::Slides),
        (2.5, 2.625, 0.058, 0.009, Fit::Slides),
        (0.75, 0.875, 0.065, -0.005, Fit::TooTight),
        (0.875, 1.0, 0.035, 0.055, Fit::Loose),
    ];
    for (bar_in, od, wall, clearance, fit) in known {
        let out = sleeve(od, wall).over(inch(bar_in), &Limits::SLEEVE).unwrap();
        assert_relative_eq!(out.clearance_mm, inch(clearance), epsilon = 1e-9);
        assert_eq!(out.fit, fit, "{bar_in} in {od} x {wall}");
    }
}

/// Three sizes of a published table of round A554 stainless tube (a listing on ecer.com): 1 × 0.049, 1 × 0.065 and
/// 1 × 0.083 in; inside 0.902, 0.870 and 0.834 in by own arithmetic. Over a bar of 7/8 in only the first goes, by 0.027 in.
#[test]
fn of_three_walls_of_one_size_only_the_thinnest_goes_over_the_next_bar_down() {
    let fits = [(0.049, 0.027, Fit::Slides), (0.065, -0.005, Fit::TooTight), (0.083, -0.041, Fit::TooTight)];
    for (wall, clearance, fit) in fits {
        let out = sleeve(1.0, wall).over(inch(0.875), &Limits::SLEEVE).unwrap();
        assert_relative_eq!(out.clearance_mm, inch(clearance), epsilon = 1e-9);
        assert_eq!(out.fit, fit);
    }
}

#[test]
fn clearances_at_the_limits_slide_and_the_limits_can_be_changed() {
    let limits = Limits::SLEEVE;
    assert_eq!(limits.fit(inch(0.005)), Fit::Slides);
    assert_eq!(limits.fit(inch(0.030)), Fit::Slides);
    assert_eq!(limits.fit(inch(0.0049)), Fit::TooTight);
    assert_eq!(limits.fit(inch(0.0301)), Fit::Loose);
    let close = Limits { least_mm: 0.02, most_mm: 0.1 };
    assert_eq!(sleeve(0.875, 0.120).over(inch(0.625), &close).unwrap().fit, Fit::Loose);
}

#[test]
fn the_closest_size_that_slides_is_offered_and_of_equals_the_lighter() {
    let list = [
        sleeve(0.75, 0.058),
        sleeve(1.0, 0.180),
        sleeve(0.875, 0.120),
        sleeve(0.875, 0.116),
        sleeve(1.5, 0.1),
    ];
    // 0.009, 0.015, 0.010, 0.018 and far too much
    let pick = |sizes: &[Sleeve]| closest_that_slides(inch(0.625), sizes, &Limits::SLEEVE).unwrap();
    assert_eq!(pick(&list), Some(0));
    assert_eq!(pick(&list[1..]), Some(1));
    assert_eq!(pick(&[sleeve(1.0, 0.1825), sleeve(0.875, 0.120)]), Some(1));
    assert_eq!(pick(&list[4..]), None);
    assert_eq!(pick(&[]), None);
}

/// Half round 2 in tube in 1/8 in plate, own arithmetic: π × 1.0625 = 3.337942194 in; 2 in across.
#[test]
fn a_saddle_plate_is_as_long_as_its_middle() {
    let plate = SaddlePlate {
        tube_od_mm: inch(2.0),
        thick_mm: inch(0.125),
        gap_mm: 0.0,
        angle_rad: PI,
        lips_mm: [0.0; 2],
    };
    let size = plate.work_out().unwrap();
    assert_relative_eq!(size.blank_mm, inch(3.337942194), epsilon = 1e-7);
    assert_relative_eq!(size.across_mm, inch(2.0), max_relative = 1e-12);
    assert!(size.from_the_side && !size.thick);
    // inner and outer arc lie as far below as above
    let (inner, outer) = (PI * size.inside_radius_mm, PI * (size.inside_radius_mm + plate.thick_mm));
    assert_relative_eq!(size.bent_mm, inner.midpoint(outer), max_relative = 1e-12);
    let lined = SaddlePlate { gap_mm: 1.0, angle_rad: 4.0, lips_mm: [10.0, 12.0], ..plate };
    let size = lined.work_out().unwrap();
    assert_relative_eq!(size.blank_mm, 4.0 * (26.4 + 1.5875) + 22.0, max_relative = 1e-12);
    assert!(!size.from_the_side);
    assert!(SaddlePlate { thick_mm: 6.0, ..plate }.work_out().unwrap().thick);
}

fn pin_job() -> PinJob {
    PinJob {
        hole_mm: 10.2,
        over_cheeks_mm: 38.0,
        washers_mm: 3.0,
        play_mm: pin::USUAL_PLAY_MM,
        limits: Limits::PIN,
    }
}

fn a_pin(dia_mm: f64, to_groove_mm: f64) -> Pin {
    Pin { dia_mm, to_groove_mm, groove_mm: 1.3, tail_mm: 2.2 }
}

#[test]
fn a_pin_has_to_reach_over_cheeks_washers_and_clip() {
    let job = pin_job();
    let fit = |dia: f64, groove: f64| job.with(&a_pin(dia, groove)).unwrap();
    let good = fit(10.0, 42.0);
    assert_eq!((good.fit, good.length), (Fit::Slides, Fit::Slides));
    assert_relative_eq!(good.clearance_mm, 0.2, max_relative = 1e-9);
    assert_relative_eq!(good.play_mm, 1.0, max_relative = 1e-12);
    assert_relative_eq!(good.least_to_groove_mm, 41.2, max_relative = 1e-12);
    assert_relative_eq!(a_pin(10.0, 42.0).length_mm(), 45.5, max_relative = 1e-12);
    assert_eq!(fit(10.0, 40.0).length, Fit::TooTight);
    assert_eq!(fit(10.0, 41.1).length, Fit::TooTight);
    assert_eq!(fit(10.0, 41.2).length, Fit::Slides);
    assert_eq!(fit(10.0, 43.0).length, Fit::Slides);
    assert_eq!(fit(10.0, 43.1).length, Fit::Loose);
    assert_eq!(fit(10.2, 42.0).fit, Fit::TooTight);
    assert_eq!(fit(9.5, 42.0).fit, Fit::Loose);
}

#[test]
fn of_several_pins_the_one_with_least_play_that_goes_in_is_offered() {
    let pins = [a_pin(10.0, 40.0), a_pin(10.0, 43.0), a_pin(9.0, 41.5), a_pin(9.9, 42.0), a_pin(10.0, 42.0)];
    assert_eq!(pin_job().closest(&pins).unwrap(), Some(4));
    assert_eq!(pin_job().closest(&pins[..3]).unwrap(), Some(1));
    assert_eq!(pin_job().closest(&pins[..1]).unwrap(), None);
}
