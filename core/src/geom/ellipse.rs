//! Perimeter of an ellipse, as needed for the weld round a mitred joint.

use std::f64::consts::PI;

/// Perimeter of an ellipse with the given semi-axes, `4·a·E(m)` with `m = 1 − (b/a)²`.
///
/// The complete elliptic integral of the second kind by the arithmetic-geometric mean; *NIST Digital Library
/// of Mathematical Functions*, 19.8(i), equation 19.8.6 with 19.8.5. Converges quadratically; the result is
/// good to a few units in the last place. The order of the axes does not matter; a flat ellipse has twice
/// its long axis times two.
pub fn perimeter(semi_axis_a: f64, semi_axis_b: f64) -> f64 {
    let (long, short) =
        if semi_axis_a >= semi_axis_b { (semi_axis_a, semi_axis_b) } else { (semi_axis_b, semi_axis_a) };
    if short <= 0.0 {
        return 4.0 * long.max(0.0);
    }
    let (mut a, mut g) = (1.0, short / long);
    let mut sum = 1.0 - 0.5 * (1.0 - g * g);
    let mut weight = 1.0;
    // 19.8.6: E/K = 1 − Σ 2^(n−1) c_n², with c_0² = m; the n = 0 term stands in `sum` already.
    for _ in 0..40 {
        let c = 0.5 * (a - g);
        (a, g) = (0.5 * (a + g), (a * g).sqrt());
        sum -= weight * c * c;
        weight *= 2.0;
        if c < 1e-17 {
            break;
        }
    }
    4.0 * long * (PI / (2.0 * a)) * sum
}

/// Perimeter of the face of a round tube of radius `radius_mm` cut at `tilt_rad` from square, mm.
pub fn cut_face_perimeter(radius_mm: f64, tilt_rad: f64) -> f64 {
    perimeter(radius_mm / tilt_rad.cos(), radius_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn limits_are_the_circle_and_the_flat_ellipse() {
        assert_relative_eq!(perimeter(3.0, 3.0), 6.0 * PI, max_relative = 1e-15);
        assert_relative_eq!(perimeter(5.0, 0.0), 20.0);
        assert_relative_eq!(perimeter(1.0, 2.0), perimeter(2.0, 1.0));
    }

    #[test]
    fn agrees_with_the_length_of_a_fine_polygon() {
        let (a, b, n) = (40.0_f64, 25.0_f64, 200_000);
        let point = |i: usize| {
            let t = std::f64::consts::TAU * i as f64 / n as f64;
            (a * t.cos(), b * t.sin())
        };
        let polygon: f64 = (0..n)
            .map(|i| {
                let (p, q) = (point(i), point(i + 1));
                (p.0 - q.0).hypot(p.1 - q.1)
            })
            .sum();
        assert_relative_eq!(perimeter(a, b), polygon, max_relative = 1e-9);
    }
}
