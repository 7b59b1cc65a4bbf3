//! How far bodies move against each other: an engine on its mounts, a cab on its rubbers.

use crate::geom::vector::unit;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// How far a body can move against the chassis, to either side of where it is drawn.
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

/// A turn to either side about a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roll {
    /// A point of the line, mm.
    pub through_mm: DVec3,
    /// Its direction; need not be of length one.
    pub axis: DVec3,
    /// Most turn to either side, degrees.
    pub turn_deg: f64,
}

impl Movement {
    /// Whether it does not move at all.
    pub fn is_still(&self) -> bool {
        let rolls = self.roll.is_some_and(|r| r.turn_deg != 0.0 && unit(r.axis).is_some());
        self.shift_mm == DVec3::ZERO && !rolls
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_moves_if_it_shifts_or_rolls() {
        assert!(Movement::default().is_still());
        assert!(!Movement { shift_mm: DVec3::Y, roll: None }.is_still());
        let roll = |axis, turn_deg| Movement {
            shift_mm: DVec3::ZERO,
            roll: Some(Roll { through_mm: DVec3::ZERO, axis, turn_deg }),
        };
        assert!(!roll(DVec3::X, 2.0).is_still());
        assert!(roll(DVec3::X, 0.0).is_still() && roll(DVec3::ZERO, 2.0).is_still());
    }
}
