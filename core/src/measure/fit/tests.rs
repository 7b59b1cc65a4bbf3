use super::*;
use crate::geom::vector::angle_between;
use crate::measure::testing::{Chance, NASTY};
use crate::units::UnitSystem::Millimetre;
use approx::assert_relative_eq;

const NAMES: [&str; 8] = ["A", "B", "C", "D", "E", "F", "G", "H"];

fn pairs(from: &[DVec3], to: impl Fn(DVec3) -> DVec3) -> Vec<Pair> {
    from.iter()
        .zip(NAMES)
        .map(|(p, name)| Pair { name: name.to_owned(), from_mm: *p, to_mm: to(*p) })
        .collect()
}

/// Own vector: four places and a turn of 0.7 rad about (0.2, 0.5, 0.8).
fn known() -> (Vec<DVec3>, DMat3, DVec3) {
    let from = [[0.0, 0.0, 0.0], [500.0, 20.0, 10.0], [40.0, 380.0, -15.0], [420.0, 350.0, 120.0]];
    let axis = DVec3::new(0.2, 0.5, 0.8).try_normalize().unwrap();
    (from.map(DVec3::from_array).to_vec(), DMat3::from_axis_angle(axis, 0.7), DVec3::new(120.0, -45.0, 310.0))
}

/// Places that are neither flat nor in line.
fn places(chance: &mut Chance, count: usize) -> Vec<DVec3> {
    let mut out = vec![
        DVec3::ZERO,
        DVec3::new(700.0, 0.0, 0.0),
        DVec3::new(200.0, 500.0, 0.0),
        DVec3::new(100.0, 100.0, 450.0),
    ];
    out.truncate(count);
    while out.len() < count {
        out.push(chance.point(600.0));
    }
    out.iter().map(|p| *p + chance.point(60.0)).collect()
}

#[test]
fn a_known_turn_is_found_to_the_last_digit() {
    let (from, rotation, shift) = known();
    let got = fit(&pairs(&from, |p| rotation * p + shift), 0.5).unwrap();
    assert!(got.rotation.abs_diff_eq(rotation, 2e-15), "{} {rotation}", got.rotation);
    assert!((got.shift_mm - shift).length() < 1e-12);
    assert!(got.rms_mm < 1e-12, "{}", got.rms_mm);
    assert_relative_eq!(got.scale, 1.0, epsilon = 1e-14);
    assert_eq!(got.trust.level(), Level::Good);
    assert_relative_eq!(got.apply(from[1]), rotation * from[1] + shift, epsilon = 1e-12);
}

#[test]
fn three_hundred_turns_are_found_again_also_half_turns_and_flat_sets() {
    let mut chance = Chance::new(41);
    for case in 0..300 {
        let count = 3 + case % 6;
        let mut from = places(&mut chance, count);
        if case % 5 == 0 {
            for p in &mut from {
                p.z = 30.0;
            }
        }
        let angle = if case % 4 == 0 { std::f64::consts::PI } else { chance.even(-3.1, 3.1) };
        let rotation = DMat3::from_axis_angle(chance.direction(), angle);
        let shift = chance.point(3000.0);
        let got = fit(&pairs(&from, |p| rotation * p + shift), 0.5).unwrap();
        assert!(got.rotation.abs_diff_eq(rotation, 1e-11), "{case}: {} {rotation}", got.rotation);
        assert!((got.shift_mm - shift).length() < 1e-8, "{case}");
        assert_relative_eq!(got.rotation.determinant(), 1.0, epsilon = 1e-12);
        assert_eq!(got.trust.level(), Level::Good, "{case}: {}", got.trust.text(Millimetre));
    }
}

#[test]
fn no_small_turn_or_shift_fits_better() {
    let mut chance = Chance::new(42);
    for _ in 0..50 {
        let rotation = DMat3::from_axis_angle(chance.direction(), chance.even(-3.0, 3.0));
        let mut sets = pairs(&places(&mut chance, 5), |p| rotation * p);
        for p in &mut sets {
            p.to_mm += chance.normal_point() * 4.0;
        }
        let got = fit(&sets, 4.0).unwrap();
        let sum = |r: DMat3, t: DVec3| {
            sets.iter().map(|p| (p.to_mm - r * p.from_mm - t).length_squared()).sum::<f64>()
        };
        let least = sum(got.rotation, got.shift_mm);
        assert_relative_eq!(least, got.rms_mm.powi(2) * 5.0, max_relative = 1e-9);
        for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
            for h in [-1e-4, 1e-4] {
                assert!(sum(DMat3::from_axis_angle(axis, h) * got.rotation, got.shift_mm) > least);
                assert!(sum(got.rotation, got.shift_mm + axis * h) > least);
            }
        }
    }
}

#[test]
fn a_point_strays_as_far_as_said() {
    let mut chance = Chance::new(43);
    let (from, rotation, shift) = known();
    let port = DVec3::new(900.0, -200.0, 300.0);
    let exact = pairs(&from, |p| rotation * p + shift);
    let said = fit(&exact, 0.5).unwrap().sigma_at_mm(port);
    let (mut sum, mut turned, runs) = (0.0, 0.0, 3000);
    for _ in 0..runs {
        let mut sets = exact.clone();
        for p in &mut sets {
            p.to_mm += chance.normal_point() * 0.5;
        }
        let got = fit(&sets, 0.5).unwrap();
        sum += (got.apply(port) - rotation * port - shift).length_squared();
        turned += angle_between(got.turn(DVec3::X), rotation * DVec3::X);
    }
    assert_relative_eq!((sum / f64::from(runs)).sqrt(), said, max_relative = 0.05);
    assert!(turned / f64::from(runs) < 0.003);
}

#[test]
fn scans_in_inches_are_told_and_not_stretched() {
    let (from, rotation, shift) = known();
    let got = fit(&pairs(&from, |p| rotation * p / 25.4 + shift), 0.5).unwrap();
    assert_relative_eq!(got.scale, 0.03937, epsilon = 5e-7); // own vector: 0.03937 is inches
    assert_relative_eq!(got.rotation.determinant(), 1.0, epsilon = 1e-12);
    assert_eq!(got.trust.level(), Level::Bad);
    let text = got.trust.text(Millimetre);
    assert!(text.contains("0.03937 times as large: the others look like inches taken for mm"), "{text}");
    let back = fit(&pairs(&from, |p| rotation * p * 25.4 * 1.003), 0.5).unwrap();
    let text = back.trust.text(Millimetre);
    assert!(text.contains("they look like inches taken for mm"), "{text}");
    let odd = fit(&pairs(&from, |p| rotation * p * 1.3), 0.5).unwrap();
    assert!(odd.trust.text(Millimetre).contains("no mix-up of units explains it"));
    let small = fit(&pairs(&from, |p| rotation * p * 1.002), 0.5).unwrap();
    assert_eq!(small.trust.level(), Level::Good, "{}", small.trust.text(Millimetre));
}

#[test]
fn a_mirrored_set_is_told() {
    let (from, rotation, shift) = known();
    let got = fit(&pairs(&from, |p| rotation * DVec3::new(p.x, -p.y, p.z) + shift), 0.5).unwrap();
    assert!(got.rms_mm > 5.0);
    assert_relative_eq!(got.rotation.determinant(), 1.0, epsilon = 1e-12);
    assert!(got.trust.doubts.contains(&Doubt::FitMirrored), "{:?}", got.trust.doubts);
}

#[test]
fn two_exchanged_places_are_named() {
    let mut chance = Chance::new(44);
    let mut named = 0;
    for case in 0..60 {
        let count = 4 + case % 4;
        let from = places(&mut chance, count);
        let mut sets = pairs(&from, |p| p + DVec3::new(5.0, 6.0, 7.0));
        let (i, k) = (case % count, (case + 1 + case / count) % count);
        if i == k {
            continue;
        }
        let (a, b) = (sets[i].to_mm, sets[k].to_mm);
        (sets[i].to_mm, sets[k].to_mm) = (b, a);
        for p in &mut sets {
            p.to_mm += chance.normal_point() * 0.3;
        }
        let got = fit(&sets, 0.5).unwrap();
        let (first, second) = (NAMES[i.min(k)].to_owned(), NAMES[i.max(k)].to_owned());
        assert_eq!(got.trust.level(), Level::Bad);
        named += usize::from(got.trust.doubts.contains(&Doubt::FitSwapped { first, second }));
    }
    assert!(named > 45, "{named}");
}

#[test]
fn one_wrong_pair_of_six_stands_out() {
    let mut chance = Chance::new(45);
    for _ in 0..50 {
        let rotation = DMat3::from_axis_angle(chance.direction(), chance.even(-3.0, 3.0));
        let mut sets = pairs(&places(&mut chance, 6), |p| rotation * p);
        for p in &mut sets {
            p.to_mm += chance.normal_point() * 0.2;
        }
        let wrong = chance.index(6);
        sets[wrong].to_mm += chance.direction() * 40.0;
        let got = fit(&sets, 0.5).unwrap();
        let found = got.trust.doubts.iter().any(|d| {
            matches!(d, Doubt::FitPoor { suspects: Suspects::One { name, off_mm }, .. }
                if name == NAMES[wrong] && (off_mm - 40.0).abs() < 3.0)
        });
        assert!(found, "{wrong} {:?}", got.trust.doubts);
    }
}

#[test]
fn pairs_in_line_or_too_few_are_refused() {
    let line: Vec<DVec3> = [0.0, 100.0, 250.0, 400.0].map(|x| DVec3::new(x, 2.0 * x, 5.0)).to_vec();
    let error = fit(&pairs(&line, |p| p), 0.5).unwrap_err();
    assert!(
        error.text(Millimetre).starts_with("A, B, C and D lie in one line"),
        "{}",
        error.text(Millimetre)
    );
    let (from, _, _) = known();
    assert!(fit(&pairs(&from, |_| DVec3::ONE), 0.5).is_err());
    assert!(fit(&pairs(&from[..2], |p| p), 0.5).is_err());
    // nearly in line: it can be worked out, but the turn about the line is weak
    let nearly = [DVec3::ZERO, DVec3::new(300.0, 9.0, 0.0), DVec3::new(600.0, 0.0, 0.0)];
    let got = fit(&pairs(&nearly, |p| p), 0.5).unwrap();
    assert!(got.trust.level() > Level::Good, "{}", got.trust.text(Millimetre));
}

#[test]
fn nothing_typed_by_mistake_panics() {
    let (from, _, _) = known();
    for nasty in NASTY {
        for count in 0..5 {
            for field in 0..5 {
                let mut sets = pairs(&from[..count], |p| p);
                let mut sigma = 0.5;
                match field {
                    0 => sets.iter_mut().take(1).for_each(|p| p.from_mm.x = nasty),
                    1 => sets.iter_mut().take(1).for_each(|p| p.to_mm = DVec3::splat(nasty)),
                    2 => {
                        for p in &mut sets {
                            p.from_mm *= nasty;
                        }
                    }
                    3 => {
                        for p in &mut sets {
                            p.name.clear();
                        }
                    }
                    _ => sigma = nasty,
                }
                match fit(&sets, sigma) {
                    Ok(got) => assert!(got.rotation.is_finite() && !got.trust.text(Millimetre).is_empty()),
                    Err(error) => assert!(error.text(Millimetre).ends_with('.'), "{error:?}"),
                }
            }
        }
    }
}
