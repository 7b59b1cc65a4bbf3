//! Small vector helpers that say what happens at the limits.

use super::tolerance::SAME_TURN_RAD;
use glam::DVec3;

/// The unit vector along `v`, or `None` where `v` has no usable direction (zero, NaN, infinite).
pub fn unit(v: DVec3) -> Option<DVec3> {
    v.try_normalize()
}

/// Angle between two unit vectors in [0, π].
///
/// Kahan's form `2·atan2(|a−b|, |a+b|)`: full precision near 0 and π, where `acos` loses half the digits.
pub fn angle_between(a: DVec3, b: DVec3) -> f64 {
    2.0 * (a - b).length().atan2((a + b).length())
}

/// `v` turned about the unit `axis` by `angle_rad`, right-handed (Rodrigues' formula).
pub fn turn(v: DVec3, axis: DVec3, angle_rad: f64) -> DVec3 {
    let (sin, cos) = angle_rad.sin_cos();
    v * cos + axis.cross(v) * sin + axis * (axis.dot(v) * (1.0 - cos))
}

/// Any unit vector across the unit vector `travel`: the one nearest to up (+Z), or to forward (+X) where
/// `travel` itself points up or down.
pub fn any_across(travel: DVec3) -> DVec3 {
    across(DVec3::Z, travel).unwrap_or(DVec3::X)
}

/// The part of `v` across the unit vector `travel`, as a unit vector; `None` where `v` runs along it.
pub fn across(v: DVec3, travel: DVec3) -> Option<DVec3> {
    let flat = v - travel * v.dot(travel);
    if flat.length() <= 1e-6 * v.length() { None } else { unit(flat) }
}

/// `angle_rad` brought into (−π, π].
pub fn half_open_turn(angle_rad: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    let a = angle_rad.rem_euclid(turn);
    // noise just past half a turn is half a turn, or a flat S would read −180° as often as 180°
    if a > std::f64::consts::PI + SAME_TURN_RAD { a - turn } else { a.min(std::f64::consts::PI) }
}

/// `angle_rad` brought into [0, 2π).
pub fn full_turn(angle_rad: f64) -> f64 {
    let a = angle_rad.rem_euclid(std::f64::consts::TAU);
    if a >= std::f64::consts::TAU { 0.0 } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn small_and_straight_angles_keep_their_digits() {
        let tiny = 1e-7;
        let b = DVec3::new(f64::cos(tiny), f64::sin(tiny), 0.0);
        assert_relative_eq!(angle_between(DVec3::X, b), tiny, max_relative = 1e-9);
        assert_relative_eq!(angle_between(DVec3::X, -DVec3::X), PI);
        assert_relative_eq!(angle_between(DVec3::X, DVec3::Y), FRAC_PI_2);
    }

    #[test]
    fn a_right_handed_turn_about_z_takes_x_to_y() {
        assert_relative_eq!(turn(DVec3::X, DVec3::Z, FRAC_PI_2), DVec3::Y, epsilon = 1e-15);
    }

    #[test]
    fn turns_are_brought_into_their_range() {
        assert_relative_eq!(half_open_turn(-PI), PI);
        assert_relative_eq!(half_open_turn(3.0 * FRAC_PI_2), -FRAC_PI_2);
        assert_relative_eq!(full_turn(-FRAC_PI_2), 3.0 * FRAC_PI_2);
        assert!(full_turn(-1e-30) < std::f64::consts::TAU);
    }

    #[test]
    fn a_vertical_axis_still_has_a_direction_across() {
        assert_eq!(any_across(DVec3::Z), DVec3::X);
        assert_eq!(any_across(DVec3::X), DVec3::Z);
        assert_eq!(across(DVec3::X * 5.0, DVec3::X), None);
        assert_eq!(unit(DVec3::ZERO), None);
    }
}
