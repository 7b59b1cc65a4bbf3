use super::*;
use crate::measure::testing::{Chance, NASTY};
use crate::units::UnitSystem::Millimetre;
use approx::assert_relative_eq;

const R: f64 = 31.75;

/// Points at the given degrees round a rim of radius [`R`].
fn points(centre: DVec3, axis: DVec3, degrees: &[f64]) -> Vec<DVec3> {
    let one = any_across(axis);
    let two = axis.cross(one);
    degrees
        .iter()
        .map(|d| {
            let (sin, cos) = d.to_radians().sin_cos();
            centre + (one * cos + two * sin) * R
        })
        .collect()
}

fn flat(degrees: &[f64]) -> Vec<DVec3> {
    points(DVec3::new(400.0, -90.0, 230.0), DVec3::Z, degrees)
}

#[test]
fn three_points_fix_a_circle() {
    // own vector
    let p = [DVec3::new(10.0, 2.0, 3.0), DVec3::new(4.0, 8.0, 1.0), DVec3::new(-3.0, 5.0, 9.0)];
    let got = rim(&p, Some(DVec3::Z), None, 0.3).unwrap();
    assert_relative_eq!(got.centre_mm, DVec3::new(3.5834057, 3.0516942, 6.4048653), epsilon = 5e-8);
    assert_relative_eq!(got.axis, DVec3::new(0.4376900, 0.6461138, 0.6252714), epsilon = 5e-8);
    assert_relative_eq!(got.diameter_mm / 2.0, 7.3397446, epsilon = 5e-8);
    assert!(got.rms_mm < 1e-12);
}

#[test]
fn three_hundred_rims_are_found_again() {
    let mut chance = Chance::new(31);
    for case in 0..300 {
        let (centre, axis) = (chance.point(2000.0), chance.direction());
        let count = 3 + case % 9;
        let turn = chance.even(0.0, 360.0);
        let reach = chance.even(70.0, 340.0);
        let degrees: Vec<f64> =
            (0..count).map(|k| turn + reach * f64::from(k) / f64::from(count - 1)).collect();
        let hint = axis + chance.direction() * 0.5;
        let got = rim(&points(centre, axis, &degrees), Some(hint), Some(2.0 * R), 0.3).unwrap();
        assert!((got.centre_mm - centre).length() < 1e-7, "{case}: {}", (got.centre_mm - centre).length());
        assert!((got.axis - axis).length() < 1e-8, "{case}: {} {axis}", got.axis);
        assert!((got.diameter_mm - 2.0 * R).abs() < 1e-7, "{case}");
        let gap = 360.0 - reach;
        let widest = gap.max(reach / f64::from(count - 1));
        assert_relative_eq!(got.spread_rad.to_degrees(), 360.0 - widest, epsilon = 1e-6);
        assert_eq!(got.trust.level(), Level::Good, "{case}: {}", got.trust.text(Millimetre));
    }
}

#[test]
fn eight_marked_points_give_the_circle_of_a_second_program() {
    // marks with 0.3 mm of noise on radius 31.75; circle, residuals and deviations by SciPy 1.17 least_squares on
    // centre, two tilts and radius
    let p = [
        [386.04, -105.28, 228.74],
        [399.48, -114.25, 217.82],
        [422.95, -110.86, 211.59],
        [439.06, -93.38, 215.65],
        [441.31, -75.27, 226.64],
        [426.87, -61.25, 240.67],
        [403.68, -62.79, 248.16],
        [383.93, -81.03, 244.12],
    ]
    .map(DVec3::from_array);
    let got = rim(&p, Some(DVec3::Z), Some(63.5), 1.0).unwrap();
    assert_relative_eq!(got.centre_mm, DVec3::new(411.85555733, -87.30672845, 230.0061267), epsilon = 2e-6);
    assert_relative_eq!(got.axis, DVec3::new(0.30246853, -0.50123273, 0.81072717), epsilon = 1e-7);
    assert_relative_eq!(got.diameter_mm / 2.0, 31.772156775, epsilon = 2e-6);
    assert_relative_eq!(got.rms_mm, 0.3109661827, epsilon = 1e-7);
    assert_relative_eq!(got.misses[0].off_plane_mm, 0.17391505, epsilon = 2e-6);
    assert_relative_eq!(got.misses[3].radial_mm, -0.42043381, epsilon = 2e-6);
    assert_relative_eq!(got.centre_sigma_mm, 0.79224, epsilon = 2e-4);
    assert_relative_eq!(got.axis_sigma_rad, 0.022304, epsilon = 1e-5);
    assert_relative_eq!(got.diameter_sigma_mm, 0.70880, epsilon = 2e-4);
}

#[test]
fn a_short_arc_is_as_bad_as_tabled() {
    // own vectors: 0.3 mm at the points, 120° and 30° apart; those were trials, so to two figures
    let wide = rim(&flat(&[0.0, 120.0, 240.0]), Some(DVec3::Z), None, 0.3).unwrap();
    assert_relative_eq!(wide.centre_sigma_mm, 0.39, epsilon = 0.01);
    assert_relative_eq!(wide.axis_sigma_rad.to_degrees(), 0.63, epsilon = 0.01);
    let short = rim(&flat(&[0.0, 30.0, 60.0]), Some(DVec3::Z), None, 0.3).unwrap();
    assert_relative_eq!(short.centre_sigma_mm, 3.7, epsilon = 0.1);
    assert_relative_eq!(short.axis_sigma_rad.to_degrees(), 4.9, epsilon = 0.15);
}

#[test]
fn rims_stray_as_far_as_their_deviations_say() {
    let mut chance = Chance::new(32);
    for degrees in [&[0.0, 100.0, 200.0][..], &[0.0, 40.0, 90.0, 130.0, 200.0, 260.0][..]] {
        let exact = flat(degrees);
        let said = rim(&exact, Some(DVec3::Z), None, 0.1).unwrap();
        let (mut centre, mut axis, mut size) = (0.0, 0.0, 0.0);
        let runs = 2000;
        for _ in 0..runs {
            let marks: Vec<DVec3> = exact.iter().map(|p| *p + chance.normal_point() * 0.1).collect();
            let got = rim(&marks, Some(DVec3::Z), None, 0.1).unwrap();
            centre += (got.centre_mm - said.centre_mm).length_squared();
            axis += (got.axis - said.axis).length_squared();
            size += (got.diameter_mm - said.diameter_mm).powi(2);
        }
        let seen = [centre, axis, size].map(|x| (x / f64::from(runs)).sqrt());
        for (seen, said) in
            seen.iter().zip([said.centre_sigma_mm, said.axis_sigma_rad, said.diameter_sigma_mm])
        {
            assert_relative_eq!(*seen, said, max_relative = 0.07);
        }
    }
}

#[test]
fn no_small_change_of_the_circle_fits_better() {
    let mut chance = Chance::new(33);
    for _ in 0..40 {
        let degrees: Vec<f64> = (0..7).map(|k| 45.0 * f64::from(k) + chance.even(-9.0, 9.0)).collect();
        let axis = chance.direction();
        let marks: Vec<DVec3> = points(chance.point(900.0), axis, &degrees)
            .into_iter()
            .map(|p| p + chance.normal_point() * 1.5)
            .collect();
        let got = rim(&marks, Some(axis), None, 1.5).unwrap();
        let sum = |c: &Circle| marks.iter().map(|p| c.miss(*p).distance_mm().powi(2)).sum::<f64>();
        let circle = Circle::new(got.centre_mm, got.axis, got.diameter_mm / 2.0);
        let least = sum(&circle);
        for k in 0..6 {
            for h in [-1e-3, 1e-3] {
                let mut step = [0.0; 6];
                step[k] = h;
                assert!(sum(&circle.moved(step)) > least, "unknown {k}");
            }
        }
    }
}

#[test]
fn the_axis_points_out_of_the_part() {
    for hint in [DVec3::new(0.5, 0.0, 2.0), DVec3::new(0.5, 0.0, -2.0)] {
        let got = rim(&flat(&[0.0, 120.0, 240.0]), Some(hint), Some(63.5), 0.3).unwrap();
        assert_relative_eq!(got.axis, DVec3::Z * hint.z.signum(), epsilon = 1e-12);
        assert_eq!(got.trust.level(), Level::Good);
    }
    for hint in [None, Some(DVec3::X), Some(DVec3::ZERO), Some(DVec3::splat(f64::NAN))] {
        let got = rim(&flat(&[0.0, 240.0, 120.0]), hint, Some(63.5), 0.3).unwrap();
        assert_relative_eq!(got.axis, DVec3::Z, epsilon = 1e-12);
        assert_eq!(got.trust.doubts, [Doubt::RimSideOpen], "{hint:?}");
    }
}

#[test]
fn heights_are_positive_where_the_axis_points() {
    let mut p = flat(&[0.0, 90.0, 180.0, 270.0]);
    p[0].z += 0.4;
    for side in [1.0, -1.0] {
        let got = rim(&p, Some(DVec3::Z * side), None, 0.3).unwrap();
        assert_relative_eq!(got.misses[0].off_plane_mm, 0.1 * side, epsilon = 1e-3);
    }
}

#[test]
fn narrow_wrong_sized_uneven_and_unchecked_rims_say_so() {
    let level = |degrees: &[f64], known: Option<f64>| {
        let got = rim(&flat(degrees), Some(DVec3::Z), known, 0.3).unwrap();
        (got.trust.level(), got.trust.text(Millimetre))
    };
    let (narrow, text) = level(&[0.0, 25.0, 50.0], Some(63.5));
    assert_eq!(narrow, Level::Doubtful);
    assert!(text.starts_with("The points go only 50.0° round the rim"), "{text}");
    assert_eq!(level(&[0.0, 10.0, 20.0], Some(63.5)).0, Level::Bad);
    let (unchecked, text) = level(&[0.0, 120.0, 240.0], None);
    assert_eq!(unchecked, Level::Doubtful);
    assert!(text.starts_with("Three points always lie on a circle"), "{text}");
    let (good, text) = level(&[0.0, 120.0, 240.0], Some(63.5));
    assert_eq!((good, text.as_str()), (Level::Good, "The rim comes out at 63.5 mm where 63.5 mm is known."));
    let (size, text) = level(&[0.0, 120.0, 240.0], Some(76.2));
    assert_eq!(size, Level::Bad);
    assert!(text.contains("63.5 mm where 76.2 mm is known"), "{text}");
    let mut p = flat(&[0.0, 60.0, 120.0, 180.0, 240.0, 300.0]);
    p[4] += DVec3::new(0.0, 0.0, 6.0);
    let got = rim(&p, Some(DVec3::Z), None, 0.3).unwrap();
    assert_eq!(got.trust.level(), Level::Bad);
    assert!(got.trust.text(Millimetre).contains("most of all point 5"), "{}", got.trust.text(Millimetre));
}

#[test]
fn points_in_line_or_in_one_place_are_refused() {
    let line: Vec<DVec3> = [0.0, 10.0, 25.0].map(|x| DVec3::new(x, 2.0 * x, 5.0)).to_vec();
    let error = rim(&line, None, None, 0.3).unwrap_err();
    assert!(
        error.text(Millimetre).starts_with("Rim points 1, 2 and 3 lie in one line"),
        "{}",
        error.text(Millimetre)
    );
    let mut p = flat(&[0.0, 120.0, 240.0]);
    p.push(p[1] + DVec3::X * 0.05);
    let error = rim(&p, None, None, 0.3).unwrap_err();
    assert!(
        error.text(Millimetre).starts_with("Rim points 2 and 4 are one point"),
        "{}",
        error.text(Millimetre)
    );
    assert!(rim(&p[..2], None, None, 0.3).is_err());
}

#[test]
fn nothing_typed_by_mistake_panics() {
    for nasty in NASTY {
        for count in 0..6 {
            for field in 0..4 {
                let mut p = flat(&[0.0, 50.0, 130.0, 200.0, 290.0]);
                p.truncate(count);
                let (mut known, mut sigma) = (None, 0.3);
                match field {
                    0 => p.iter_mut().take(1).for_each(|p| p.x = nasty),
                    1 => {
                        for p in &mut p {
                            *p = DVec3::splat(nasty);
                        }
                    }
                    2 => known = Some(nasty),
                    _ => sigma = nasty,
                }
                match rim(&p, Some(DVec3::splat(nasty)), known, sigma) {
                    Ok(got) => assert!(got.centre_mm.is_finite() && (got.axis.length() - 1.0).abs() < 1e-9),
                    Err(error) => assert!(error.text(Millimetre).ends_with('.'), "{error:?}"),
                }
            }
        }
    }
}

#[test]
fn a_rim_is_taken_for_the_nearest_size_in_stock_if_that_is_near() {
    let stock = [50.8, 63.5, 76.2];
    assert_eq!(stock_size(64.9, stock), Some(63.5));
    assert_eq!(stock_size(62.1, stock), Some(63.5));
    assert_eq!(stock_size(65.1, stock), None);
    assert_eq!(stock_size(f64::NAN, stock), None);
    assert_eq!(stock_size(63.0, [64.0, 62.5]), Some(62.5));
}
