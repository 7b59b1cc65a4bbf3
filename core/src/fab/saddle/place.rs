//! Where a branch sits on a straight header, in the words of the shop, and the frame that follows.

use crate::geom::Frame;
use crate::geom::vector::across;

/// Where a branch leaves a straight header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Place along the header of the foot, the point of its axis next to the branch's axis, mm from the header frame's
    /// origin.
    pub station_mm: f64,
    /// Clock of the header that the branch leaves towards, rad.
    pub clock_rad: f64,
    /// Angle from the header's travel to the branch as it leaves, rad; a quarter turn is square.
    pub angle_rad: f64,
    /// How far the branch's axis passes the header's, mm; positive towards growing header clock.
    pub offset_mm: f64,
}

impl Placement {
    /// Frame of the branch on a header along `header`: origin next to the header's axis, travel away from it.
    ///
    /// The index line is on the side that the header's travel goes to; for a branch that runs along its header, which
    /// no saddle takes, on any.
    pub fn frame(&self, header: &Frame) -> Frame {
        let out = header.at_clock(self.clock_rad);
        let side = header.travel.cross(out);
        let (sin, cos) = self.angle_rad.sin_cos();
        let travel = out * sin + header.travel * cos;
        let foot = header.origin + header.travel * self.station_mm + side * self.offset_mm;
        let index = across(header.travel, travel).unwrap_or(-out);
        Frame::new(foot, travel, index)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use glam::DVec3;

    #[test]
    fn a_square_branch_at_three_o_clock_leaves_to_the_right() {
        let header = Frame::new(DVec3::new(5.0, 0.0, 0.0), DVec3::X, DVec3::Z);
        let quarter = std::f64::consts::FRAC_PI_2;
        let at = Placement { station_mm: 100.0, clock_rad: quarter, angle_rad: quarter, offset_mm: 7.0 };
        let frame = at.frame(&header);
        // looking along +X the right hand is −Y; growing clock from there is down
        assert_relative_eq!(frame.travel, DVec3::NEG_Y, epsilon = 1e-12);
        assert_relative_eq!(frame.origin, DVec3::new(105.0, 0.0, -7.0), epsilon = 1e-12);
        assert_relative_eq!(frame.index, DVec3::X, epsilon = 1e-12);
    }
}
