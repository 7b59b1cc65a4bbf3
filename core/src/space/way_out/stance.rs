//! Where a moved section is.

use glam::{DQuat, DVec3};

/// A rigid motion of the section from where it rests: first turned about the pivot, then shifted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stance {
    /// Shift, mm.
    pub shift_mm: DVec3,
    /// Turn as a rotation vector, rad: its direction is the axis, its length the angle.
    pub turn_rad: DVec3,
}

impl Stance {
    /// Where the section rests.
    pub const REST: Self = Self { shift_mm: DVec3::ZERO, turn_rad: DVec3::ZERO };

    /// The stance at `share` (0 to 1) of the way to another. Both the shift and the rotation vector grow evenly.
    #[must_use]
    pub fn toward(&self, other: &Self, share: f64) -> Self {
        Self {
            shift_mm: self.shift_mm.lerp(other.shift_mm, share),
            turn_rad: self.turn_rad.lerp(other.turn_rad, share),
        }
    }

    /// Rotation about the origin and the translation after it that put the section here, for
    /// [`Solid::moved`](crate::geom::Solid::moved).
    pub fn motion(&self, pivot: DVec3) -> (DQuat, DVec3) {
        let rotation = DQuat::from_scaled_axis(self.turn_rad);
        (rotation, pivot + self.shift_mm - rotation * pivot)
    }

    pub(super) fn middle(&self, other: &Self) -> Self {
        self.toward(other, 0.5)
    }

    /// Length of the shift (mm) and most that is turned (rad) on the way from one stance to another. A rotation
    /// exp(w) turns no faster than w changes: the left Jacobian of the map has the singular values 1 and
    /// |2·sin(θ/2)/θ|, never above 1.
    pub(super) fn apart(&self, other: &Self) -> (f64, f64) {
        (self.shift_mm.distance(other.shift_mm), self.turn_rad.distance(other.turn_rad))
    }

    #[must_use]
    pub(super) fn shifted(&self, by_mm: DVec3) -> Self {
        Self { shift_mm: self.shift_mm + by_mm, ..*self }
    }
}
