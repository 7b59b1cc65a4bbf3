//! Lines that bodies roll about.

use crate::geom::vector::unit;
use crate::model::Movement;
use glam::{DMat3, DQuat, DVec3};
use std::f64::consts::{FRAC_PI_2, PI};

/// A line that a body rolls about, and how far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// A point of it.
    pub(super) through: DVec3,
    /// Its unit direction; zero where the body does not roll.
    pub(super) axis: DVec3,
    /// The most it is turned to either side, rad; 0 to π.
    pub(super) most_rad: f64,
}

impl Line {
    /// The line of a movement.
    pub(super) fn of(movement: &Movement) -> Self {
        let still = Self { through: DVec3::ZERO, axis: DVec3::ZERO, most_rad: 0.0 };
        let Some(roll) = movement.roll else { return still };
        let most_rad = roll.turn_deg.to_radians().abs().min(PI);
        match unit(roll.axis) {
            Some(axis) if most_rad > 0.0 => Self { through: roll.through_mm, axis, most_rad },
            _ => still,
        }
    }

    /// The turn by `roll_rad` about the line.
    pub(super) fn rotation(&self, roll_rad: f64) -> DQuat {
        if self.axis == DVec3::ZERO { DQuat::IDENTITY } else { DQuat::from_axis_angle(self.axis, roll_rad) }
    }

    /// The same for points.
    pub(super) fn turned(&self, roll_rad: f64) -> Turned {
        Turned { turn: DMat3::from_quat(self.rotation(roll_rad)), about: self.through }
    }

    /// How far from where it is drawn no point of a box gets by the roll, mm.
    pub(super) fn travel_mm(&self, (low, high): (DVec3, DVec3)) -> f64 {
        let from = low.midpoint(high) - self.through;
        let off_mm = (from - self.axis * from.dot(self.axis)).length() + low.distance(high) / 2.0;
        // the chord of the arc it goes along
        2.0 * off_mm * (self.most_rad / 2.0).min(FRAC_PI_2).sin()
    }
}

/// A turn about a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turned {
    turn: DMat3,
    /// A point that stays.
    pub(super) about: DVec3,
}

impl Turned {
    /// Where a point goes.
    pub(super) fn point(&self, point: DVec3) -> DVec3 {
        self.about + self.turn * (point - self.about)
    }

    /// The point that goes there.
    pub(super) fn point_back(&self, point: DVec3) -> DVec3 {
        self.about + self.turn.transpose() * (point - self.about)
    }

    /// Where a direction goes.
    pub(super) fn direction(&self, direction: DVec3) -> DVec3 {
        self.turn * direction
    }

    /// The direction that goes there.
    pub(super) fn direction_back(&self, direction: DVec3) -> DVec3 {
        self.turn.transpose() * direction
    }
}
