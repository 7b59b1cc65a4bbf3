//! Where a dragged point goes: along an axis or in a plane, under the pointer.

use super::ray::Ray;
use glam::DVec3;

/// Below this angle (rad, 5°) between the view and an axis, or a plane, a drag is refused: one point on the
/// screen would be worth more than ten times its own length.
pub const EDGE_ON_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// How far along the unit `axis` from `origin` the axis comes nearest to the ray, mm.
///
/// `None` where the ray looks along the axis, or where the nearest point lies behind the viewer.
pub fn along_axis(ray: &Ray, origin: DVec3, axis: DVec3) -> Option<f64> {
    let cos = ray.dir.dot(axis);
    let sin_squared = ray.dir.cross(axis).length_squared();
    let away = origin - ray.origin;
    let along = (cos * away.dot(ray.dir) - away.dot(axis)) / sin_squared;
    let in_front = away.dot(ray.dir) + along * cos > 0.0;
    (sin_squared >= EDGE_ON_RAD.sin().powi(2) && in_front && along.is_finite()).then_some(along)
}

/// Where the ray meets the plane through `point` with the unit `normal`.
///
/// `None` where the plane is seen edge-on or lies behind the viewer.
pub fn in_plane(ray: &Ray, point: DVec3, normal: DVec3) -> Option<DVec3> {
    let t = ray.plane(point, normal)?;
    let at = ray.at(t);
    (ray.dir.dot(normal).abs() >= EDGE_ON_RAD.sin() && t > 0.0 && at.is_finite()).then_some(at)
}

/// Normal of the principal plane that best faces the view: X, Y or Z, whichever `view_dir` runs along most.
///
/// It is seen under 35° or more. With no usable direction it is Z, the ground.
pub fn best_plane_normal(view_dir: DVec3) -> DVec3 {
    let d = view_dir.abs();
    if !d.is_finite() || (d.z >= d.x && d.z >= d.y) {
        DVec3::Z
    } else if d.x >= d.y {
        DVec3::X
    } else {
        DVec3::Y
    }
}

/// Normal of the plane square to the view, toward the viewer; up with no usable direction.
pub fn view_plane_normal(view_dir: DVec3) -> DVec3 {
    (-view_dir).try_normalize().unwrap_or(DVec3::Z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn toward(origin: DVec3, point: DVec3) -> Ray {
        Ray { origin, dir: (point - origin).try_normalize().unwrap() }
    }

    #[test]
    fn a_point_on_the_axis_is_found_under_the_pointer() {
        let (origin, axis) = (DVec3::new(10.0, 20.0, 30.0), DVec3::new(0.6, 0.0, 0.8));
        let ray = toward(DVec3::new(900.0, -500.0, 400.0), origin + axis * 123.0);
        assert_relative_eq!(along_axis(&ray, origin, axis).unwrap(), 123.0, epsilon = 1e-9);
    }

    #[test]
    fn looking_along_the_axis_or_away_from_it_moves_nothing() {
        let nearly = Ray { origin: DVec3::ZERO, dir: DVec3::new(1.0, 0.08, 0.0).try_normalize().unwrap() };
        assert_eq!(along_axis(&nearly, DVec3::Z * 5.0, DVec3::X), None);
        let away = Ray { origin: DVec3::X * 100.0, dir: DVec3::X };
        assert_eq!(along_axis(&away, DVec3::ZERO, DVec3::Z), None);
        let nan = Ray { origin: DVec3::NAN, dir: DVec3::X };
        assert_eq!(along_axis(&nan, DVec3::ZERO, DVec3::Z), None);
    }

    #[test]
    fn a_plane_is_met_in_front_and_not_edge_on_or_behind() {
        let ray = toward(DVec3::new(0.0, 0.0, 100.0), DVec3::new(40.0, 30.0, 0.0));
        assert_relative_eq!(
            in_plane(&ray, DVec3::ZERO, DVec3::Z).unwrap(),
            DVec3::new(40.0, 30.0, 0.0),
            epsilon = 1e-9
        );
        assert_eq!(in_plane(&ray, DVec3::Z * 200.0, DVec3::Z), None);
        let flat = toward(DVec3::new(0.0, 0.0, 8.0), DVec3::new(100.0, 0.0, 0.0));
        assert_eq!(in_plane(&flat, DVec3::ZERO, DVec3::Z), None);
        assert_eq!(in_plane(&ray, DVec3::NAN, DVec3::Z), None);
    }

    #[test]
    fn the_principal_plane_facing_the_view_is_taken() {
        assert_eq!(best_plane_normal(DVec3::new(0.1, -0.9, 0.3)), DVec3::Y);
        assert_eq!(best_plane_normal(DVec3::new(-0.8, 0.1, 0.3)), DVec3::X);
        assert_eq!(best_plane_normal(DVec3::NEG_Z), DVec3::Z);
        assert_eq!(best_plane_normal(DVec3::NAN), DVec3::Z);
        assert_eq!(view_plane_normal(DVec3::ZERO), DVec3::Z);
    }
}
