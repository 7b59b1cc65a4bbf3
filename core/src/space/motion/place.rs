//! Where bodies that move are.

use super::Motion;
use crate::geom::tolerance::{COINCIDENT_MM, SAME_TURN_RAD};
use glam::{DQuat, DVec3};

/// Where two bodies are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// The first body.
    pub own: Moved,
    /// The second body.
    pub other: Moved,
}

/// Where a body is against where it is drawn: first rolled, then shifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// Shift, mm.
    pub shift_mm: DVec3,
    /// Roll, rad, right-handed about the axis.
    pub roll_rad: f64,
    /// A point of the line it rolls about, mm.
    pub through_mm: DVec3,
    /// Unit direction of that line; zero where the body does not roll.
    pub axis: DVec3,
    /// Whether it is at an end of what it can: shifts along X, Y and Z, then the roll.
    pub ends: [End; 4],
}

/// How a movement stands within what is possible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// It does not move this way.
    Still,
    /// As far as it goes against the axis.
    Least,
    /// Between.
    Between,
    /// As far as it goes along the axis.
    Most,
}

impl End {
    fn of(value: f64, most: f64, noise: f64) -> Self {
        if most == 0.0 {
            Self::Still
        } else if value >= most - noise {
            Self::Most
        } else if value <= noise - most {
            Self::Least
        } else {
            Self::Between
        }
    }
}

impl Moved {
    /// Rotation about the origin and the translation after it that put the body there, for
    /// [`Solid::moved`](crate::geom::Solid::moved).
    pub fn motion(&self) -> (DQuat, DVec3) {
        let rotation = if self.axis == DVec3::ZERO {
            DQuat::IDENTITY
        } else {
            DQuat::from_axis_angle(self.axis, self.roll_rad)
        };
        (rotation, self.through_mm - rotation * self.through_mm + self.shift_mm)
    }

    /// Whether it is where it is drawn.
    pub fn is_as_drawn(&self) -> bool {
        self.shift_mm == DVec3::ZERO && self.roll_rad == 0.0
    }
}

/// The rolls of both bodies and the shift of the first against the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stand {
    /// Rolls, rad.
    pub(super) rolls_rad: [f64; 2],
    /// Shift, mm.
    pub(super) shift_mm: DVec3,
}

impl Stand {
    /// Where both are drawn.
    pub(super) const DRAWN: Self = Self { rolls_rad: [0.0; 2], shift_mm: DVec3::ZERO };

    /// Rotation about the origin and the translation after it that put the first body where it is as seen from the
    /// second, which is left where it is drawn.
    pub(super) fn seen_from_second(&self, motion: &Motion) -> (DQuat, DVec3) {
        let [first, second] = motion.lines;
        let [forth, back] = [first.rotation(self.rolls_rad[0]), second.rotation(self.rolls_rad[1]).inverse()];
        let origin = first.through - forth * first.through + self.shift_mm;
        (back * forth, second.through + back * (origin - second.through))
    }

    /// Where each of the bodies is: of the shift between them each has its part, as it has of the most.
    pub(super) fn position(&self, motion: &Motion) -> Position {
        let [first_mm, second_mm] = motion.shifts_mm;
        let share = |i: usize| {
            let both_mm = first_mm[i] + second_mm[i];
            if both_mm > 0.0 { self.shift_mm[i] / both_mm } else { 0.0 }
        };
        let shares = DVec3::new(share(0), share(1), share(2));
        let moved = |side: usize, shift_mm: DVec3| {
            let (line, most_mm, roll_rad) =
                (motion.lines[side], motion.shifts_mm[side], self.rolls_rad[side]);
            let end = |i: usize| End::of(shift_mm[i], most_mm[i], COINCIDENT_MM);
            let roll_end = End::of(roll_rad, line.most_rad, SAME_TURN_RAD);
            let ends = [end(0), end(1), end(2), roll_end];
            Moved { shift_mm, roll_rad, through_mm: line.through, axis: line.axis, ends }
        };
        Position { own: moved(0, shares * first_mm), other: moved(1, DVec3::ZERO - shares * second_mm) }
    }
}
