//! Points, rims and fits against published cases and second programs.

use approx::assert_relative_eq;
use glam::{DMat3, DVec3};
use pipeloft_core::measure::MeasureError;
use pipeloft_core::measure::fit::{Pair, fit};
use pipeloft_core::measure::gauge::{Guide, from_incline, from_lines};
use pipeloft_core::measure::rim::rim;
use pipeloft_core::measure::tapes::{Located, Mirror, Tape, locate};

fn tapes(datums: [[f64; 3]; 3], lengths: [f64; 3]) -> Result<Located, MeasureError> {
    let tapes: Vec<Tape> = datums
        .iter()
        .zip(lengths)
        .zip(["P1", "P2", "P3"])
        .map(|((at, length_mm), name)| Tape {
            datum: name.to_owned(),
            at_mm: DVec3::from_array(*at),
            length_mm,
        })
        .collect();
    // far finer than any tape, so that nothing is smoothed over
    locate(&tapes, 1e-3)
}

/// Both answers, the upper first.
fn both(datums: [[f64; 3]; 3], lengths: [f64; 3]) -> [DVec3; 2] {
    let got = tapes(datums, lengths).expect("three tapes that meet");
    assert_eq!(got.mirror, Mirror::Choose);
    [got.best.position_mm, got.other.expect("a mirror image").position_mm]
}

/// Source: Stack Overflow, answer 16176781 ("Trilateration and locating the point (x,y,z)"), works out (0, 0) in the
/// plane for circles of radius 2 about these three centres and leaves out z. The height, ±√2, was computed with mpmath
/// and SciPy `least_squares`.
#[test]
fn three_circles_of_radius_two_meet_over_the_origin() {
    let datums = [[-1.0, 1.0, 0.0], [1.0, 1.0, 0.0], [-1.0, -1.0, 0.0]];
    // in units of 100 mm: datums 2 mm apart would be nearly one point
    let got = both(datums.map(|d| d.map(|x| 100.0 * x)), [200.0; 3]);
    assert_relative_eq!(got[0], DVec3::new(0.0, 0.0, 141.421356), epsilon = 5e-7);
    assert_relative_eq!(got[1], DVec3::new(0.0, 0.0, -141.421356), epsilon = 5e-7);
}

/// Source: test of the public repository hexamite/hx19-java, `TrilateratorTest.groovy`: the point comes out at
/// (1734, 1967, 2979) there, in whole numbers that are partly rounded and partly cut off; so to one unit.
#[test]
fn a_published_point_over_a_right_angle_of_datums_is_found() {
    let datums = [[1000.0, 1000.0, 0.0], [2140.0, 1000.0, 0.0], [1000.0, 2140.0, 0.0]];
    let got = both(datums, [3217.0, 3158.0, 3073.0]);
    assert!((got[0] - DVec3::new(1734.0, 1967.0, 2979.0)).abs().max_element() < 1.0, "{}", got[0]);
}

/// Source: computed with mpmath at 30 digits and again with SciPy `least_squares`.
#[test]
fn two_crooked_sets_of_datums_give_both_answers_to_nine_digits() {
    let got = both([[0.0, 0.0, 0.0], [812.5, 0.0, 0.0], [130.2, 644.8, 37.9]], [702.3, 655.1, 611.7]);
    let want = [
        DVec3::new(445.677_249_230_769_2, 312.913_371_980_112_9, 443.488_783_571_952_75),
        DVec3::new(445.677_249_230_769_2, 362.713_878_266_351_2, -403.776_822_057_776_2),
    ];
    for (got, want) in got.iter().zip(want) {
        assert_relative_eq!(*got, want, epsilon = 1e-9);
    }
    // the true point is (188.4, 120.9, 231.7), the tapes are rounded to 0.5
    let datums = [[12.7, -33.1, 5.5], [455.0, 81.3, -20.4], [-91.2, 300.7, 144.4]];
    let got = both(datums, [325.0, 369.0, 343.5]);
    let want = [
        DVec3::new(188.269_010_617_300_8, 120.959_407_809_083_64, 231.478_364_841_363_88),
        DVec3::new(136.194_617_555_717_9, 245.638_836_631_652_17, -107.099_912_912_932_96),
    ];
    for (got, want) in got.iter().zip(want) {
        assert_relative_eq!(*got, want, epsilon = 1e-9);
    }
}

/// Source: computed with mpmath: the square of the height is -919.601 mm².
#[test]
fn tapes_that_cannot_meet_are_refused_with_what_each_would_need() {
    let datums = [[12.7, -33.1, 5.5], [455.0, 81.3, -20.4], [-91.2, 300.7, 144.4]];
    let Err(MeasureError::TapesDoNotMeet { miss_mm, mends }) = tapes(datums, [388.8, 299.9, 341.3]) else {
        panic!("these tapes do not meet");
    };
    assert!(miss_mm > 0.5 && miss_mm < 10.0, "{miss_mm}");
    // the two spheres of the others and the mended one have exactly one point in common: Pythagoras gives no height
    for mend in &mends {
        let mut lengths = [388.8, 299.9, 341.3];
        lengths[mend.tape] += mend.add_mm;
        assert!(height_squared(datums, lengths).abs() < 1e-6, "{mend:?}");
    }
    assert_relative_eq!(height_squared(datums, [388.8, 299.9, 341.3]), -919.601_088, epsilon = 1e-5);
}

/// Square of the height over the plane of the datums from the six edges of the tetrahedron alone: its Gram determinant
/// is 36·V², and h = 3·V/A.
fn height_squared(datums: [[f64; 3]; 3], lengths: [f64; 3]) -> f64 {
    let [a, b, c] = datums.map(DVec3::from_array);
    let [p, q, r] = lengths.map(|l| l * l);
    let (u, v, w) = ((b - c).length_squared(), (a - c).length_squared(), (a - b).length_squared());
    // products of the three edges from the point, by the law of cosines
    let (pq, pr, qr) = ((p + q - w) / 2.0, (p + r - v) / 2.0, (q + r - u) / 2.0);
    let gram = p * (q * r - qr * qr) - pq * (pq * r - qr * pr) + pr * (pq * qr - q * pr);
    let twice_area_squared = (b - a).cross(c - a).length_squared();
    gram / twice_area_squared
}

/// Source: computed with mpmath; the first by hand: half of a square of side 10.
#[test]
fn circles_through_three_points_have_the_tabled_centres() {
    let p = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]].map(DVec3::from_array);
    let got = rim(&p, Some(DVec3::Z), None, 0.1).expect("a circle");
    assert_relative_eq!(got.centre_mm, DVec3::new(5.0, 5.0, 0.0), epsilon = 1e-12);
    assert_relative_eq!(got.diameter_mm / 2.0, 7.07106781, epsilon = 5e-9);
    let p = [[3.1, -4.7, 12.2], [88.8, 31.4, -7.3], [140.05, 111.9, 26.6]].map(DVec3::from_array);
    let got = rim(&p, Some(DVec3::Z), None, 0.1).expect("a circle");
    assert_relative_eq!(got.centre_mm, DVec3::new(27.483704933, 98.121213648, 78.228426947), epsilon = 5e-9);
    assert_relative_eq!(got.diameter_mm / 2.0, 124.605458, epsilon = 5e-7);
    // a chord of 200 with a rise of 14.3
    let p = [DVec3::new(-100.0, 0.0, 0.0), DVec3::new(0.0, 14.3, 0.0), DVec3::new(100.0, 0.0, 0.0)];
    let got = rim(&p, Some(DVec3::Z), None, 0.1).expect("a circle");
    assert_relative_eq!(got.diameter_mm / 2.0, 356.80035, epsilon = 5e-6);
}

/// Source: W. Gander, G. H. Golub, R. Strebel, "Least-squares fitting of circles and ellipses", *BIT* 34, 558, 1994:
/// six points and the circle of least distances, centre (4.7398, 2.9835), radius 4.7142. Points and circle from memory;
/// SciPy `least_squares` gives the same circle. Here the six lie in a tilted plane, ten times as large.
#[test]
fn the_circle_nearest_to_six_points_is_the_published_one() {
    let plane = DMat3::from_axis_angle(DVec3::new(0.6, -0.8, 0.0), 0.9);
    let base = DVec3::new(310.0, -40.0, 205.0);
    let at = |x: f64, y: f64| base + plane * DVec3::new(10.0 * x, 10.0 * y, 0.0);
    let points =
        [(1.0, 7.0), (2.0, 6.0), (5.0, 8.0), (7.0, 7.0), (9.0, 5.0), (3.0, 7.0)].map(|(x, y)| at(x, y));
    let got = rim(&points, Some(plane * DVec3::Z), None, 5.0).expect("a circle");
    assert_relative_eq!(got.centre_mm, at(4.739_782, 2.983_533), epsilon = 2e-4);
    assert_relative_eq!(got.diameter_mm / 20.0, 4.7142, epsilon = 5e-5);
    assert_relative_eq!(got.axis, plane * DVec3::Z, epsilon = 1e-6);
}

/// Source: `Tests/test_SVDSuperimposer.py` of Biopython: four atoms fitted by singular value decomposition (rotation
/// there multiplies rows from the right, so it is transposed here), and the rms that is left.
#[test]
fn four_atoms_are_laid_over_four_others_as_published() {
    let to = [[51.65, -1.90, 50.07], [50.40, -1.23, 50.65], [50.68, -0.04, 51.54], [50.22, -0.02, 52.85]];
    let from = [[51.30, -2.99, 46.54], [51.09, -1.88, 47.58], [52.36, -1.20, 48.03], [52.71, -1.18, 49.38]];
    let pairs: Vec<Pair> = from
        .iter()
        .zip(to)
        .map(|(from, to)| Pair {
            name: String::new(),
            from_mm: DVec3::from_array(*from),
            to_mm: DVec3::from_array(to),
        })
        .collect();
    let got = fit(&pairs, 0.01).expect("a fit");
    let rows = DMat3::from_cols_array_2d(&[
        [0.683_049_83, 0.536_643_71, 0.495_435_63],
        [-0.522_772_95, 0.832_932_29, -0.181_472_42],
        [-0.510_050_37, -0.135_045_64, 0.849_477_07],
    ]);
    // rows of the published matrix stand as columns here: the transposition
    assert!(got.rotation.abs_diff_eq(rows, 2e-6), "{} {rows}", got.rotation);
    assert_relative_eq!(
        got.shift_mm,
        DVec3::new(38.786_081_57, -20.654_513_34, -15.422_273_66),
        epsilon = 2e-4
    );
    assert_relative_eq!(got.rms_mm, 0.003_042_665, epsilon = 1e-6);
}

/// A tube along the diagonal of a cube makes acos(1/√3) = 54.7356° with every edge and rises atan(1/√2) = 35.2644°:
/// plain trigonometry.
#[test]
fn the_diagonal_of_a_cube_is_found_by_slope_and_by_its_edges() {
    let diagonal = DVec3::splat(1.0 / 3.0_f64.sqrt());
    let slope = from_incline(35.264_389_682_754_654_f64.to_radians(), 45_f64.to_radians(), 0.01)
        .expect("a direction");
    assert_relative_eq!(slope.direction, diagonal, epsilon = 1e-14);
    let edge = |name: &str, direction: DVec3| Guide {
        name: name.to_owned(),
        direction,
        angle_rad: 54.735_610_317_245_346_f64.to_radians(),
    };
    let got =
        from_lines(&edge("sill", DVec3::X), &edge("cross member", DVec3::Y), 0.01).expect("two directions");
    assert_relative_eq!(got.first.direction, diagonal, epsilon = 1e-14);
    assert_relative_eq!(
        got.second.expect("its mirror image").direction,
        diagonal * DVec3::new(1.0, 1.0, -1.0),
        epsilon = 1e-14
    );
}
