//! A station on a centreline: where, which way on, and which way is 12 o'clock.

use super::vector::{across, any_across, half_open_turn, turn, unit};
use glam::DVec3;

/// A point on a centreline with its direction of travel and its index line.
///
/// `travel` and `index` are unit vectors at right angles. The index line is carried by parallel transport:
/// a bend turns both about the bend axis and nothing else, so the line does not wind round the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Point on the centreline, mm.
    pub origin: DVec3,
    /// Unit direction of travel.
    pub travel: DVec3,
    /// Unit direction from the centreline to the index line (12 o'clock).
    pub index: DVec3,
}

impl Frame {
    /// A frame at `origin` along the unit vector `travel`, 12 o'clock as near as can be to `clock`.
    ///
    /// Where `clock` runs along `travel` it says nothing, and up (or forward) is taken instead.
    pub fn new(origin: DVec3, travel: DVec3, clock: DVec3) -> Self {
        let index = across(clock, travel).unwrap_or_else(|| any_across(travel));
        Self { origin, travel, index }
    }

    /// Unit direction from the centreline to clock angle `clock_rad`.
    pub fn at_clock(&self, clock_rad: f64) -> DVec3 {
        turn(self.index, self.travel, clock_rad)
    }

    /// Clock angle in (−π, π] of a direction; its part along the travel does not count.
    pub fn clock_of(&self, direction: DVec3) -> f64 {
        let three = self.travel.cross(self.index);
        half_open_turn(direction.dot(three).atan2(direction.dot(self.index)))
    }

    /// The frame `length_mm` further on along the travel.
    #[must_use]
    pub fn forward(&self, length_mm: f64) -> Self {
        Self { origin: self.origin + self.travel * length_mm, ..*self }
    }

    /// The frame turned on the spot by `angle_rad` towards clock `clock_rad`: a mitre.
    #[must_use]
    pub fn tilted(&self, clock_rad: f64, angle_rad: f64) -> Self {
        let axis = self.travel.cross(self.at_clock(clock_rad));
        Self {
            origin: self.origin,
            travel: turn(self.travel, axis, angle_rad),
            index: turn(self.index, axis, angle_rad),
        }
        .squared_up()
    }

    /// The same frame with both directions of length one and at right angles.
    ///
    /// A turn about an axis made of two directions that are not quite square makes them less so, and the next turn
    /// starts from that: without this the error grows four- to fivefold with every quarter bend.
    fn squared_up(self) -> Self {
        let travel = unit(self.travel).unwrap_or(self.travel);
        let index = across(self.index, travel).unwrap_or(self.index);
        Self { travel, index, ..self }
    }

    /// The frame at the end of an arc of radius `clr_mm` whose centre lies at clock `clock_rad`.
    #[must_use]
    pub fn around(&self, clock_rad: f64, clr_mm: f64, angle_rad: f64) -> Self {
        let toward = self.at_clock(clock_rad);
        let centre = self.origin + toward * clr_mm;
        let axis = self.travel.cross(toward);
        let turned = self.tilted(clock_rad, angle_rad);
        Self { origin: centre + turn(self.origin - centre, axis, angle_rad), ..turned }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn three_o_clock_is_to_the_right_of_who_looks_along_the_travel() {
        // Looking along +X with Z up, the right hand is −Y (Y is left in ISO 8855).
        let f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
        assert_relative_eq!(f.at_clock(FRAC_PI_2), -DVec3::Y, epsilon = 1e-15);
        assert_relative_eq!(f.clock_of(-DVec3::Y), FRAC_PI_2);
    }

    #[test]
    fn a_quarter_bend_ends_one_radius_on_and_one_radius_aside() {
        let f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
        let e = f.around(-FRAC_PI_2, 100.0, FRAC_PI_2);
        assert_relative_eq!(e.origin, DVec3::new(100.0, 100.0, 0.0), epsilon = 1e-12);
        assert_relative_eq!(e.travel, DVec3::Y, epsilon = 1e-15);
        assert_relative_eq!(e.index, DVec3::Z, epsilon = 1e-15);
    }

    #[test]
    fn a_thousand_bends_leave_the_directions_square() {
        let mut f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
        for i in 0..1000 {
            f = f.around(f64::from(i) * 2.39, 95.25, 1.2 + f64::from(i % 7) * 0.1).forward(10.0);
            f = f.tilted(f64::from(i) * 1.7, 0.4);
        }
        assert_relative_eq!(f.travel.length(), 1.0, epsilon = 1e-14);
        assert_relative_eq!(f.index.length(), 1.0, epsilon = 1e-14);
        assert_relative_eq!(f.travel.dot(f.index), 0.0, epsilon = 1e-14);
    }

    /// The turns of a chain as quaternions made unit by another library (glam), which do not drift.
    #[test]
    fn a_long_chain_of_bends_ends_where_quaternions_say() {
        use glam::DQuat;
        let (clr_mm, straight_mm) = (95.25, 40.0);
        let mut f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
        let (mut turned, mut at) = (DQuat::IDENTITY, DVec3::ZERO);
        for i in 0..200 {
            let (clock, angle) = (f64::from(i) * 2.39, 0.3 + f64::from(i % 9) * 0.15);
            f = f.around(clock, clr_mm, angle).forward(straight_mm);
            // in the frame's own axes: travel X, index Z, three o'clock −Y
            let toward = DVec3::new(0.0, -clock.sin(), clock.cos());
            let chord = DVec3::X * (clr_mm * angle.sin()) + toward * (clr_mm * (1.0 - angle.cos()));
            at += turned * chord;
            turned = (turned * DQuat::from_axis_angle(DVec3::X.cross(toward).normalize_or_zero(), angle))
                .normalize();
            at += turned * DVec3::X * straight_mm;
        }
        assert_relative_eq!(f.origin, at, epsilon = 1e-8);
        assert_relative_eq!(f.travel, turned * DVec3::X, epsilon = 1e-11);
        assert_relative_eq!(f.index, turned * DVec3::Z, epsilon = 1e-11);
    }
}
