//! How far a body moves against the chassis.

use crate::geom::vector::unit;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// How far a body can move against the chassis, to either side of where it is drawn.
///
/// It rolls first, about a line that stays where it is drawn, and is shifted then: any roll with any shift.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    /// Most shift along X, Y and Z to either side, mm.
    #[serde(default)]
    pub shift_mm: DVec3,
    /// The line it rolls about and how far, where it rolls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll: Option<Roll>,
}

/// A line a body rolls about, and how far it does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roll {
    /// A point of the line, mm.
    pub through_mm: DVec3,
    /// Direction of the line; need not be of length one.
    pub axis: DVec3,
    /// Most turn to either side, degrees.
    pub turn_deg: f64,
}

impl Movement {
    /// Whether it does not move at all: neither a shift nor a turn about a line with a direction.
    pub fn is_still(&self) -> bool {
        self.shift_mm == DVec3::ZERO
            && self.roll.is_none_or(|roll| roll.turn_deg == 0.0 || unit(roll.axis).is_none())
    }

    /// Whether all its numbers are finite.
    pub fn is_finite(&self) -> bool {
        let finite =
            |roll: Roll| roll.through_mm.is_finite() && roll.axis.is_finite() && roll.turn_deg.is_finite();
        self.shift_mm.is_finite() && self.roll.is_none_or(finite)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_stands_still_unless_it_is_said_to_move() {
        let roll = |axis, turn_deg| Some(Roll { through_mm: DVec3::ZERO, axis, turn_deg });
        assert!(Movement::default().is_still());
        assert!(Movement { roll: roll(DVec3::X, 0.0), ..Movement::default() }.is_still());
        assert!(Movement { roll: roll(DVec3::ZERO, 3.0), ..Movement::default() }.is_still());
        assert!(!Movement { roll: roll(DVec3::X, 3.0), ..Movement::default() }.is_still());
        assert!(!Movement { shift_mm: DVec3::Z, roll: None }.is_still());
        assert!(!Movement { shift_mm: DVec3::NAN, roll: None }.is_finite());
        assert!(!Movement { roll: roll(DVec3::X, f64::INFINITY), ..Movement::default() }.is_finite());
    }

    #[test]
    fn what_is_left_out_of_a_file_does_not_move() {
        let read = |text: &str| ron::from_str::<Movement>(text).unwrap();
        assert_eq!(read("()"), Movement::default());
        let rolls = read("(roll: Some((through_mm: (1, 2, 3), axis: (2, 0, 0), turn_deg: 3)))");
        assert_eq!(rolls.shift_mm, DVec3::ZERO);
        let roll = Roll { through_mm: DVec3::new(1.0, 2.0, 3.0), axis: DVec3::X * 2.0, turn_deg: 3.0 };
        assert_eq!(rolls.roll, Some(roll));
        let written = ron::to_string(&rolls).unwrap();
        assert_eq!(read(&written), rolls);
        assert!(ron::from_str::<Movement>("(shift: (1, 2, 3))").is_err());
    }
}
