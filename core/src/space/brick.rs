//! A rectangular box, turned anyhow.

use crate::geom::Block;
use glam::DVec3;

/// A box by its centre, edge directions and half edges.
#[derive(Debug, Clone, Copy)]
pub(super) struct Brick {
    /// Centre, mm.
    pub(super) centre: DVec3,
    /// Unit edge directions at right angles.
    pub(super) axes: [DVec3; 3],
    /// Half edge lengths, mm, ≥ 0.
    half_mm: DVec3,
}

impl Brick {
    /// A box; half edges below zero, or none, count as zero.
    pub(super) fn new(centre: DVec3, axes: [DVec3; 3], half_mm: DVec3) -> Self {
        let half_mm = DVec3::new(half_mm.x.max(0.0), half_mm.y.max(0.0), half_mm.z.max(0.0));
        Self { centre, axes, half_mm }
    }

    /// The corner furthest along `direction`.
    pub(super) fn support(&self, direction: DVec3) -> DVec3 {
        let corner = |i: usize| self.axes[i] * self.half_mm[i].copysign(direction.dot(self.axes[i]));
        self.centre + corner(0) + corner(1) + corner(2)
    }

    /// Lowest and highest coordinates, exact.
    pub(super) fn bounds(&self) -> (DVec3, DVec3) {
        let spread = self.axes[0].abs() * self.half_mm.x
            + self.axes[1].abs() * self.half_mm.y
            + self.axes[2].abs() * self.half_mm.z;
        (self.centre - spread, self.centre + spread)
    }

    /// Signed distance from `point` to the surface and the surface point nearest it.
    pub(super) fn nearest(&self, point: DVec3) -> (f64, DVec3) {
        let from = point - self.centre;
        let own = DVec3::new(from.dot(self.axes[0]), from.dot(self.axes[1]), from.dot(self.axes[2]));
        let past = own.abs() - self.half_mm;
        let mut on = own.clamp(-self.half_mm, self.half_mm);
        let mut signed_mm = past.max(DVec3::ZERO).length();
        if past.max_element() <= 0.0 {
            let side = past.max_position();
            signed_mm = past[side];
            on[side] = self.half_mm[side].copysign(own[side]);
        }
        (signed_mm, self.centre + self.axes[0] * on.x + self.axes[1] * on.y + self.axes[2] * on.z)
    }
}

impl From<&Block> for Brick {
    fn from(block: &Block) -> Self {
        Self::new(block.centre, block.axes, block.half_mm)
    }
}
