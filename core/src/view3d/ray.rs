//! A ray, and where it meets plain shapes.

use glam::DVec3;

/// A ray whose angle to an axis has a smaller sine than this runs along it: over 50 m it strays less than the
/// rounding of its own coordinates.
const ALONG_SIN: f64 = 1e-12;

/// A half line. `dir` is a unit vector, so parameters along it are millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// Where it starts, mm.
    pub origin: DVec3,
    /// Unit direction.
    pub dir: DVec3,
}

/// How far beside a thin part a ray may pass and still count as a hit: a cone round the ray.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slack {
    /// Radius at the ray's origin, mm.
    pub at_origin_mm: f64,
    /// What is added to the radius for each mm along the ray.
    pub per_mm: f64,
}

impl Slack {
    /// Radius of the cone `t_mm` along the ray, mm.
    pub fn at(&self, t_mm: f64) -> f64 {
        self.at_origin_mm + self.per_mm * t_mm.max(0.0)
    }
}

/// The stretch of a ray inside a convex body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Span {
    pub(super) enter: f64,
    pub(super) leave: f64,
}

impl Span {
    /// The whole line, both ways.
    pub(super) const ALL: Self = Self { enter: f64::NEG_INFINITY, leave: f64::INFINITY };

    /// What both have in common.
    pub(super) fn and(self, other: Self) -> Option<Self> {
        let both = Self { enter: self.enter.max(other.enter), leave: self.leave.min(other.leave) };
        (both.enter <= both.leave).then_some(both)
    }

    /// First point of the surface in front of the origin: the far side where the origin lies inside.
    pub(super) fn first(self) -> Option<f64> {
        let t = if self.enter >= 0.0 { self.enter } else { self.leave };
        (t >= 0.0 && t.is_finite()).then_some(t)
    }
}

impl Ray {
    /// The point `t_mm` along the ray.
    pub fn at(&self, t_mm: f64) -> DVec3 {
        self.origin + self.dir * t_mm
    }

    /// Parameter of the point of the ray's line nearest to `point`, mm; below zero behind the origin.
    pub fn nearest(&self, point: DVec3) -> f64 {
        (point - self.origin).dot(self.dir)
    }

    /// Parameter where the ray's line meets a plane; `None` where it runs along it.
    pub fn plane(&self, point: DVec3, normal: DVec3) -> Option<f64> {
        let t = (point - self.origin).dot(normal) / self.dir.dot(normal);
        t.is_finite().then_some(t)
    }

    /// The stretch on the side of a plane that its normal points away from.
    pub(super) fn below(&self, point: DVec3, normal: DVec3) -> Option<Span> {
        let (height, slope) = ((self.origin - point).dot(normal), self.dir.dot(normal));
        let t = -height / slope;
        if !t.is_finite() {
            return (height <= 0.0).then_some(Span::ALL);
        }
        Some(if slope > 0.0 { Span { leave: t, ..Span::ALL } } else { Span { enter: t, ..Span::ALL } })
    }

    /// The stretch inside a ball.
    pub(super) fn ball(&self, centre: DVec3, radius: f64) -> Option<Span> {
        let middle = self.nearest(centre);
        let miss = self.at(middle).distance_squared(centre);
        let half = (radius * radius - miss).max(0.0).sqrt();
        (miss <= radius * radius).then_some(Span { enter: middle - half, leave: middle + half })
    }

    /// The stretch inside an endless cylinder about the line through `point` along the unit vector `axis`.
    pub(super) fn cylinder(&self, point: DVec3, axis: DVec3, radius: f64) -> Option<Span> {
        let across = self.dir - axis * self.dir.dot(axis);
        let away = self.origin - point;
        let away = away - axis * away.dot(axis);
        let a = across.length_squared();
        let middle = -away.dot(across) / a;
        if !middle.is_finite() || a < ALONG_SIN * ALONG_SIN {
            // along the axis: all of it or nothing
            return (away.length_squared() <= radius * radius).then_some(Span::ALL);
        }
        let miss = (away + across * middle).length_squared();
        let half = ((radius * radius - miss) / a).max(0.0).sqrt();
        (miss <= radius * radius).then_some(Span { enter: middle - half, leave: middle + half })
    }

    /// First point on a round bar with ball ends.
    pub(super) fn capsule(&self, from: DVec3, to: DVec3, radius: f64) -> Option<f64> {
        let balls = [self.ball(from, radius), self.ball(to, radius)];
        let bar = (to - from).try_normalize().and_then(|axis| {
            self.cylinder(from, axis, radius)?.and(self.below(to, axis)?)?.and(self.below(from, -axis)?)
        });
        let [mut all, rest @ ..] = [bar, balls[0], balls[1]];
        // the union is convex: one span that holds them all
        for span in rest.into_iter().flatten() {
            all =
                Some(all.map_or(span, |a| Span {
                    enter: a.enter.min(span.enter),
                    leave: a.leave.max(span.leave),
                }));
        }
        all.and_then(Span::first)
    }

    /// The stretch inside a block with unit edge directions `axes` and half edges `half`.
    pub(super) fn block(&self, centre: DVec3, axes: [DVec3; 3], half: DVec3) -> Option<Span> {
        let mut span = Span::ALL;
        for (axis, half) in axes.into_iter().zip(half.to_array()) {
            span = span.and(self.below(centre + axis * half, axis)?)?;
            span = span.and(self.below(centre - axis * half, -axis)?)?;
        }
        Some(span)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const RAY: Ray = Ray { origin: DVec3::new(-100.0, 0.0, 0.0), dir: DVec3::X };

    #[test]
    fn a_ray_meets_the_near_side_of_each_shape() {
        assert_relative_eq!(RAY.ball(DVec3::ZERO, 10.0).unwrap().first().unwrap(), 90.0);
        assert_relative_eq!(RAY.cylinder(DVec3::ZERO, DVec3::Z, 10.0).unwrap().first().unwrap(), 90.0);
        assert_relative_eq!(RAY.capsule(DVec3::ZERO, DVec3::X * 50.0, 10.0).unwrap(), 90.0);
        assert_relative_eq!(RAY.capsule(DVec3::ZERO, DVec3::ZERO, 10.0).unwrap(), 90.0);
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        assert_relative_eq!(RAY.block(DVec3::ZERO, axes, DVec3::splat(10.0)).unwrap().enter, 90.0);
        assert_eq!(RAY.block(DVec3::Y * 11.0, axes, DVec3::splat(10.0)), None);
        assert_eq!(RAY.ball(DVec3::ZERO, f64::NAN), None);
    }

    #[test]
    fn from_inside_the_far_side_is_met_and_from_beyond_nothing() {
        let inside = Ray { origin: DVec3::ZERO, ..RAY };
        assert_relative_eq!(inside.ball(DVec3::ZERO, 10.0).unwrap().first().unwrap(), 10.0);
        let beyond = Ray { origin: DVec3::X * 20.0, ..RAY };
        assert_eq!(beyond.ball(DVec3::ZERO, 10.0).unwrap().first(), None);
    }

    #[test]
    fn a_ray_along_the_axis_is_in_or_out_all_the_way() {
        assert_eq!(RAY.cylinder(DVec3::Y * 9.0, DVec3::X, 10.0), Some(Span::ALL));
        assert_eq!(RAY.cylinder(DVec3::Y * 11.0, DVec3::X, 10.0), None);
    }
}
