use super::*;
use crate::measure::testing::{Chance, NASTY};
use crate::units::UnitSystem::Millimetre;
use approx::assert_relative_eq;

const ONE_DEGREE: f64 = PI / 180.0;

fn guide(name: &str, direction: DVec3, angle_rad: f64) -> Guide {
    Guide { name: name.to_owned(), direction, angle_rad }
}

#[test]
fn two_views_are_not_an_incline_and_a_heading() {
    // own vectors
    let (side, above) = (20_f64.to_radians(), 35_f64.to_radians());
    let views = from_views(side, above, ONE_DEGREE).unwrap();
    assert_relative_eq!(views.direction, DVec3::new(0.78500, 0.54967, 0.28572), epsilon = 5e-6);
    let slope = from_incline(side, above, ONE_DEGREE).unwrap();
    assert_relative_eq!(slope.direction, DVec3::new(0.76975, 0.53899, 0.34202), epsilon = 5e-6);
    assert_relative_eq!(slope.incline_rad, side, epsilon = 1e-12);
    let apart = angle_between(views.direction, slope.direction).to_degrees();
    assert_relative_eq!(apart, 3.40, epsilon = 0.005);
    assert_eq!(views.trust.level(), Level::Good);
}

#[test]
fn three_hundred_directions_are_found_again_from_their_pictures() {
    let mut chance = Chance::new(21);
    let mut tried = 0;
    while tried < 300 {
        let d = chance.direction();
        if d.x.abs() < 0.02 {
            continue;
        }
        tried += 1;
        let got = from_views(d.z.atan2(d.x), d.y.atan2(d.x), ONE_DEGREE).unwrap();
        assert!(angle_between(got.direction, d) < 1e-9, "{d} {}", got.direction);
        let got = from_incline(d.z.asin(), d.y.atan2(d.x), ONE_DEGREE).unwrap();
        assert!(angle_between(got.direction, d) < 1e-7, "{d} {}", got.direction);
    }
}

#[test]
fn three_hundred_directions_are_found_again_from_two_lines() {
    let mut chance = Chance::new(22);
    let mut tried = 0;
    while tried < 300 {
        let (d, a, b) = (chance.direction(), chance.direction(), chance.direction());
        let between = angle_between(a, b);
        if between.min(PI - between) < 0.2 {
            continue;
        }
        tried += 1;
        // any length of the line will do
        let first = guide("rail", a * 300.0, angle_between(a, d));
        let second = guide("post", b * 0.01, angle_between(b, d));
        let got = from_lines(&first, &second, ONE_DEGREE).unwrap();
        let miss = |aim: &Aim| angle_between(aim.direction, d);
        let near = miss(&got.first).min(got.second.as_ref().map_or(f64::MAX, miss));
        // near the plane of the lines the height is the root of what is left
        assert!(near < 1e-6, "{near} off: {d} from {a} and {b}");
        if let Some(second) = &got.second {
            assert!(got.first.direction.z >= second.direction.z);
            assert!(miss(&got.first) > 1e-9 || miss(second) > 1e-9);
        }
    }
}

#[test]
fn deviations_of_directions_are_those_of_trials() {
    let mut chance = Chance::new(23);
    let sigma = 0.2 * ONE_DEGREE;
    let runs = 2000;
    let rail = guide("rail", DVec3::X, 50_f64.to_radians());
    let post = guide("post", DVec3::new(0.2, 1.0, 0.1), 70_f64.to_radians());
    for way in 0..3 {
        let aim = |a: f64, b: f64| match way {
            0 => from_views(0.9 + a, 1.1 + b, sigma).unwrap(),
            1 => from_incline(0.9 + a, 1.1 + b, sigma).unwrap(),
            _ => {
                let first = Guide { angle_rad: rail.angle_rad + a, ..rail.clone() };
                let second = Guide { angle_rad: post.angle_rad + b, ..post.clone() };
                from_lines(&first, &second, sigma).unwrap().first
            }
        };
        let said = aim(0.0, 0.0);
        let mut sum = 0.0;
        for _ in 0..runs {
            let got = aim(sigma * chance.normal(), sigma * chance.normal());
            sum += angle_between(got.direction, said.direction).powi(2);
        }
        let seen = (sum / f64::from(runs)).sqrt();
        assert_relative_eq!(seen, said.sigma_rad, max_relative = 0.07);
    }
}

#[test]
fn upright_and_backward_lines_are_seen_in_views() {
    let up = from_views(FRAC_PI_2, 0.3, ONE_DEGREE).unwrap();
    assert_relative_eq!(up.direction, DVec3::Z, epsilon = 1e-12);
    let left = from_views(0.0, FRAC_PI_2, ONE_DEGREE).unwrap();
    assert_relative_eq!(left.direction, DVec3::Y, epsilon = 1e-12);
    let back = from_views(PI - 0.2, -PI + 0.3, ONE_DEGREE).unwrap();
    assert!(back.direction.x < 0.0 && back.direction.y < 0.0 && back.direction.z > 0.0, "{}", back.direction);
}

#[test]
fn views_that_say_nothing_or_contradict_each_other_are_refused() {
    let across = from_views(FRAC_PI_2, -FRAC_PI_2, ONE_DEGREE);
    assert_eq!(across, Err(MeasureError::ViewsBlind));
    let error = from_views(0.3, PI - 0.3, ONE_DEGREE).unwrap_err();
    assert!(error.text(Millimetre).contains("17.2°") && error.text(Millimetre).contains("162.8°"));
    let nearly = from_views(86_f64.to_radians(), 86_f64.to_radians(), ONE_DEGREE).unwrap();
    assert_eq!(nearly.trust.level(), Level::Bad, "{}", nearly.trust.text(Millimetre));
}

#[test]
fn an_incline_beyond_upright_is_refused_and_upright_is_not() {
    assert!(from_incline(100_f64.to_radians(), 0.0, ONE_DEGREE).is_err());
    let up = from_incline(90_f64.to_radians(), 1.0, ONE_DEGREE).unwrap();
    assert_relative_eq!(up.direction, DVec3::Z, epsilon = 1e-12);
}

#[test]
fn angles_to_two_lines_have_two_answers_one_or_none() {
    let at = |a: f64, b: f64| {
        from_lines(
            &guide("rail", DVec3::X, a.to_radians()),
            &guide("post", DVec3::Y, b.to_radians()),
            0.5 * ONE_DEGREE,
        )
    };
    let both = at(60.0, 60.0).unwrap();
    // cos 60° twice, and what is left upward: hand worked
    assert_relative_eq!(both.first.direction, DVec3::new(0.5, 0.5, 0.5_f64.sqrt()), epsilon = 1e-12);
    assert_relative_eq!(both.second.unwrap().direction.z, -0.5_f64.sqrt(), epsilon = 1e-12);
    assert!(
        both.first.trust.text(Millimetre).contains("90.0° apart"),
        "{}",
        both.first.trust.text(Millimetre)
    );
    // half way between the lines
    let touching = at(45.0, 45.0).unwrap();
    assert!(touching.first.direction.z.abs() < 1e-7);
    // a gauge may be a little off
    let touching = at(44.7, 44.8).unwrap();
    assert!(touching.second.is_none());
    assert_relative_eq!(
        touching.first.direction,
        DVec3::new(1.0, 1.0, 0.0).normalize_or_zero(),
        epsilon = 0.01
    );
    let none = at(40.0, 40.0).unwrap_err();
    assert!(none.text(Millimetre).contains("10.0° too small together"), "{}", none.text(Millimetre));
    assert!(at(10.0, 120.0).is_err() && at(170.0, 150.0).is_err());
}

#[test]
fn parallel_lines_are_refused_by_name() {
    let error = from_lines(
        &guide("Rail", DVec3::X, 1.0),
        &guide("Sill", DVec3::new(-1.0, 0.05, 0.0), 1.0),
        ONE_DEGREE,
    )
    .unwrap_err();
    assert!(
        error.text(Millimetre).starts_with("Rail and Sill are only 2.9° apart"),
        "{}",
        error.text(Millimetre)
    );
}

#[test]
fn nothing_typed_by_mistake_panics() {
    for x in NASTY {
        for y in NASTY.into_iter().chain([1.0]) {
            for sigma in [x, ONE_DEGREE] {
                for got in [from_views(x, y, sigma), from_incline(x, y, sigma), from_incline(y, x, sigma)] {
                    match got {
                        Ok(aim) => assert!((aim.direction.length() - 1.0).abs() < 1e-9),
                        Err(error) => assert!(error.text(Millimetre).ends_with('.'), "{error:?}"),
                    }
                }
                for line in [DVec3::splat(x), DVec3::new(x, y, 1.0), DVec3::X] {
                    let got = from_lines(&guide("a", line, y), &guide("", DVec3::Y, x), sigma);
                    match got {
                        Ok(aims) => assert!((aims.first.direction.length() - 1.0).abs() < 1e-9),
                        Err(error) => assert!(error.text(Millimetre).ends_with('.'), "{error:?}"),
                    }
                }
            }
        }
    }
}
