//! A round tube between two cut planes, ready for support points.

use crate::geom::tolerance::{MIN_FACE_COSINE, PARALLEL_RAD, TOUCH_MM};
use crate::geom::vector::any_across;
use glam::DVec3;

/// The convex hull of the two end faces of a tube. Bores count as filled.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tube {
    /// Where the axis meets the start face.
    pub(super) start: DVec3,
    /// Where the axis meets the end face.
    pub(super) end: DVec3,
    /// Unit direction from start to end.
    axis: DVec3,
    /// Outside radius, mm, ≥ 0.
    pub(super) radius_mm: f64,
    /// Lean of the start face: across the axis, as long as the tangent of its tilt.
    start_lean: DVec3,
    /// Lean of the end face.
    end_lean: DVec3,
}

impl Tube {
    /// A tube along the unit vector `axis` with faces across the unit vectors `normals`.
    ///
    /// A face that leans beyond what can be sawn (see [`MIN_FACE_COSINE`]) counts as square. A radius below
    /// zero, or none, counts as zero.
    pub(super) fn new(
        start: DVec3,
        axis: DVec3,
        length_mm: f64,
        radius_mm: f64,
        normals: [DVec3; 2],
    ) -> Self {
        let lean = |normal: DVec3| {
            let along = axis.dot(normal);
            if along > MIN_FACE_COSINE { normal / along - axis } else { DVec3::ZERO }
        };
        Self {
            start,
            end: start + axis * length_mm,
            axis,
            radius_mm: radius_mm.max(0.0),
            start_lean: lean(normals[0]),
            end_lean: lean(normals[1]),
        }
    }

    /// A tube with square ends.
    pub(super) fn square(start: DVec3, axis: DVec3, length_mm: f64, radius_mm: f64) -> Self {
        Self::new(start, axis, length_mm, radius_mm, [axis, axis])
    }

    /// The point of the tube furthest along `direction`.
    ///
    /// A point of a face's edge is centre + r·(e − axis·(e·lean)) for a unit vector e across the axis, so its
    /// height along d is largest where e points along d's part across the axis less (d·axis)·lean.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        let along = direction.dot(self.axis);
        let across = direction - self.axis * along;
        let level = PARALLEL_RAD * direction.length();
        let furthest = |face: DVec3, lean: DVec3| {
            let rise = across - lean * along;
            let steepness = rise.length();
            if steepness <= level {
                return face; // the whole face is furthest, and what is left of `rise` is rounding noise
            }
            let e = rise / steepness;
            face + (e - self.axis * e.dot(lean)) * self.radius_mm
        };
        let (first, second) = (furthest(self.start, self.start_lean), furthest(self.end, self.end_lean));
        if direction.dot(first) > direction.dot(second) { first } else { second }
    }

    /// The axis, made longer at a leaning face until no point of the tube is further from it than the radius.
    pub(super) fn reaching_axis(&self) -> [DVec3; 2] {
        let beyond = |lean: DVec3| self.axis * (self.radius_mm * lean.length());
        [self.start - beyond(self.start_lean), self.end + beyond(self.end_lean)]
    }

    /// The middle of the axis.
    pub(super) fn middle(&self) -> DVec3 {
        self.start.midpoint(self.end)
    }

    /// Lowest and highest coordinates, exact.
    pub(super) fn bounds(&self) -> (DVec3, DVec3) {
        // half the extent of a face along a coordinate: r·|part of the unit vector across the axis − axisᵢ·lean|
        let spread = |lean: DVec3| {
            let half =
                |i: usize| (DVec3::AXES[i] - (self.axis + lean) * self.axis[i]).length() * self.radius_mm;
            DVec3::new(half(0), half(1), half(2))
        };
        let (first, second) = (spread(self.start_lean), spread(self.end_lean));
        ((self.start - first).min(self.end - second), (self.start + first).max(self.end + second))
    }

    /// Signed distance from `point` to the surface and the surface point nearest it, for square ends.
    ///
    /// A point on the axis has no nearest side; any one is taken.
    pub(super) fn nearest_square(&self, point: DVec3) -> (f64, DVec3) {
        let middle = self.middle();
        let half_mm = self.start.distance(self.end) / 2.0;
        let from = point - middle;
        let along = from.dot(self.axis);
        let across = from - self.axis * along;
        let off_mm = across.length();
        let out = if off_mm > TOUCH_MM { across / off_mm } else { any_across(self.axis) };
        let (past_side, past_end) = (off_mm - self.radius_mm, along.abs() - half_mm);
        if past_side <= 0.0 && past_end <= 0.0 {
            return if past_side >= past_end {
                (past_side, middle + self.axis * along + out * self.radius_mm)
            } else {
                (past_end, middle + self.axis * half_mm.copysign(along) + across)
            };
        }
        let on = middle + self.axis * along.min(half_mm).max(-half_mm) + out * off_mm.min(self.radius_mm);
        (past_side.max(0.0).hypot(past_end.max(0.0)), on)
    }
}
