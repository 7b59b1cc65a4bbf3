//! Ranges of clock angles, over the wrap too.

use crate::geom::vector::{full_turn, half_open_turn};
use std::f64::consts::TAU;

/// The clocks from one angle clockwise to another, both included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockRange {
    /// Where it begins, rad, in (−π, π].
    pub from_rad: f64,
    /// How far it goes on clockwise, rad, in [0, 2π]; 2π is the whole circle.
    pub sweep_rad: f64,
}

impl ClockRange {
    /// The range of `sweep_rad` clockwise from `from_rad`, brought into its limits.
    pub fn new(from_rad: f64, sweep_rad: f64) -> Self {
        Self { from_rad: half_open_turn(from_rad), sweep_rad: sweep_rad.clamp(0.0, TAU) }
    }

    /// Where it ends, rad, in (−π, π]; less than the beginning where the range goes over the wrap.
    pub fn to_rad(self) -> f64 {
        half_open_turn(self.from_rad + self.sweep_rad)
    }

    /// The clock half way along, rad, in (−π, π].
    pub fn middle_rad(self) -> f64 {
        half_open_turn(self.from_rad + self.sweep_rad / 2.0)
    }

    /// Whether `clock_rad` lies in it.
    pub fn contains(self, clock_rad: f64) -> bool {
        full_turn(clock_rad - self.from_rad) <= self.sweep_rad
    }

    /// What two ranges have in common: nothing, one range, or two where they meet at both ends.
    pub fn common(self, other: Self) -> Vec<Self> {
        if other.sweep_rad >= TAU {
            return vec![self];
        }
        if self.sweep_rad >= TAU {
            return vec![other];
        }
        // the other one laid out along this one, from before its beginning and once more from after it
        let ahead = full_turn(other.from_rad - self.from_rad);
        [ahead - TAU, ahead]
            .into_iter()
            .filter_map(|from| {
                let (first, last) = (from.max(0.0), (from + other.sweep_rad).min(self.sweep_rad));
                (last > first).then(|| Self::new(self.from_rad + first, last - first))
            })
            .collect()
    }
}
