//! The perimeter of the mitred face, by three roads.

use approx::assert_relative_eq;
use pipeloft_core::geom::ellipse::{cut_face_perimeter, perimeter};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Parameter m and complete elliptic integral E(m).
///
/// Source: computed with mpmath (30 digits) and SciPy `ellipe`, which agree to the last digit. The fourth, fifth
/// and seventh m are sin² of 11.25°, 15° and 22.5°.
const E_OF_M: [(f64, f64); 14] = [
    (0.0, FRAC_PI_2),
    (1e-6, 1.570_795_934_095_741_2),
    (0.01, 1.566_861_942_021_668_3),
    (0.038_060_233_744_356_63, 1.555_741_719_801_637),
    (0.066_987_298_107_780_66, 1.544_150_496_914_673_4),
    (0.1, 1.530_757_636_897_763_2),
    (0.146_446_609_406_726_24, 1.511_602_873_351_561_8),
    (0.25, 1.467_462_209_339_427_2),
    (0.5, 1.350_643_881_047_675_5),
    (0.75, 1.211_056_027_568_459_5),
    (0.9, 1.104_774_732_704_073_1),
    (0.99, 1.015_993_545_025_224),
    (0.999_999, 1.000_003_897_026_172_2),
    (1.0, 1.0),
];

/// Simpson's rule with `n` (even) steps.
fn simpson(f: impl Fn(f64) -> f64, from: f64, to: f64, n: u32) -> f64 {
    let h = (to - from) / f64::from(n);
    let inner: f64 = (1..n).map(|i| f(from + h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    (f(from) + inner + f(to)) * h / 3.0
}

#[test]
fn the_perimeter_is_four_long_half_axes_times_the_tabled_integral() {
    for (m, e) in E_OF_M {
        let long = 41.3;
        let got = perimeter(long, long * f64::sqrt(1.0 - m));
        assert_relative_eq!(got, 4.0 * long * e, max_relative = 1e-14);
    }
}

#[test]
fn an_ellipse_twice_as_long_as_wide_has_the_known_perimeter() {
    // Source: computed with mpmath, 8 E(3/4)
    assert_relative_eq!(perimeter(2.0, 1.0), 9.688_448_220_547_676, max_relative = 1e-15);
}

/// Definition of E as an integral, NIST Digital Library of Mathematical Functions, chapter 19.2 (from memory),
/// by a quadrature that knows no mean.
#[test]
fn the_perimeter_agrees_with_the_integral_that_defines_it() {
    for tenth in 0..=9 {
        let m = f64::from(tenth) / 10.0;
        let e = simpson(|t| (1.0 - m * t.sin().powi(2)).sqrt(), 0.0, FRAC_PI_2, 2000);
        assert_relative_eq!(perimeter(1.0, (1.0 - m).sqrt()), 4.0 * e, max_relative = 1e-11);
    }
}

/// The edge of a cut, unrolled flat, is one wave of a cosine: `y = r tan α cos(x/r)`.
#[test]
fn the_edge_of_a_cut_is_as_long_as_the_wave_on_its_wrap() {
    for (od, deg) in [(76.2, 11.25), (50.8, 7.5), (63.5, 22.5), (100.838, 6.216_666_67), (38.1, 45.0)] {
        let (r, slope) = (od / 2.0, f64::to_radians(deg).tan());
        let wave = simpson(|x| (slope * (x / r).sin()).hypot(1.0), 0.0, TAU * r, 4000);
        assert_relative_eq!(cut_face_perimeter(r, f64::to_radians(deg)), wave, max_relative = 1e-11);
    }
}

#[test]
fn a_square_cut_has_the_circumference_of_the_tube() {
    assert_relative_eq!(cut_face_perimeter(31.75, 0.0), PI * 63.5, max_relative = 1e-15);
}
