//! A taper as the convex hull of two discs, ready for support points.

use crate::geom::Frustum;
use crate::geom::tolerance::PARALLEL_RAD;
use glam::DVec3;

/// Two discs across one axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taper {
    /// Centres.
    pub(super) ends: [DVec3; 2],
    /// Unit vector across both discs.
    axis: DVec3,
    /// Radii, mm, ≥ 0.
    radii_mm: [f64; 2],
}

impl Taper {
    /// The point of the hull furthest along `direction`.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        let across = direction - self.axis * direction.dot(self.axis);
        let steepness = across.length();
        // along the axis the whole disc is furthest, and what is left of `across` is rounding noise
        let out =
            if steepness > PARALLEL_RAD * direction.length() { across / steepness } else { DVec3::ZERO };
        let [first, second] = [0, 1].map(|i| self.ends[i] + out * self.radii_mm[i]);
        if direction.dot(first) > direction.dot(second) { first } else { second }
    }

    /// Radius of its wider end, mm.
    pub(super) fn widest_mm(&self) -> f64 {
        self.radii_mm[0].max(self.radii_mm[1])
    }

    /// A point about its middle.
    pub(super) fn middle(&self) -> DVec3 {
        self.ends[0].midpoint(self.ends[1])
    }
}

impl From<&Frustum> for Taper {
    fn from(f: &Frustum) -> Self {
        Self {
            ends: [f.start.origin, f.frame_at(f.length_mm).origin],
            axis: f.start.travel,
            radii_mm: [f.start_radius_mm.max(0.0), f.end_radius_mm.max(0.0)],
        }
    }
}
