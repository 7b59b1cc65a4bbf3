//! Arms that sit whole on the side of a larger one, as a branch does.

use super::super::saddle::LEAST_ANGLE_RAD;
use super::kept::{Merge, Other};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::angle_between;
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Clocks at which a foot is looked at.
const CLOCKS: u32 = 180;
/// A foot may reach over the edge of the wall it sits on by this much, mm: what a weld hides (common practice, no source).
const ON_EDGE_MM: f64 = 0.1;

impl Merge {
    /// Finds the arms that sit whole on the side of a larger one, as a branch does: that one gets a hole of its own, and is
    /// not cut for it at its end.
    pub(super) fn set_sides(&mut self) {
        self.sides = (0..self.arms.len()).map(|arm| self.on_side_of(arm)).collect();
        for (arm, on) in self.sides.iter().enumerate() {
            if let Some(on) = on {
                self.cuts[*on].retain(|(against, _)| *against != Other::Arm(arm));
            }
        }
    }

    /// The larger arm on whose side an arm sits whole, if there is one.
    fn on_side_of(&self, arm: usize) -> Option<usize> {
        let limb = &self.arms[arm];
        let clock = |i: u32| TAU * f64::from(i) / f64::from(CLOCKS);
        let foot: Vec<(Other, DVec3)> = (0..CLOCKS)
            .map(|i| {
                let kept = self.taken(arm, limb.radius_mm, clock(i)).0;
                (kept.other, limb.generator(limb.radius_mm, clock(i)).point(kept.from_mm))
            })
            .collect();
        let Some((Other::Arm(on), _)) = foot.first().copied() else { return None };
        let header = self.arms.get(on).filter(|h| h.radius_mm > limb.radius_mm + COINCIDENT_MM)?;
        // flatter than that no saddle is cut
        let angle_rad = angle_between(header.away(), limb.away());
        if angle_rad.min(PI - angle_rad) < LEAST_ANGLE_RAD {
            return None;
        }
        let on_wall = |(other, point): &(Other, DVec3)| {
            let from = *point - header.frame.origin;
            let up_mm = from.dot(header.away());
            let line = header.generator(header.radius_mm, header.frame.clock_of(from));
            // what else it is cut by there, its own bite left out
            let others = self.cuts[on].iter().filter(|(against, _)| *against != Other::Arm(arm));
            let lost =
                others.filter_map(|(_, cut)| Some((cut, cut.takes(&line, 0.0)?))).any(|(cut, taken)| {
                    let from_mm = if cut.bites() { taken.0 } else { f64::NEG_INFINITY };
                    up_mm > from_mm && up_mm < taken.1 - ON_EDGE_MM
                });
            *other == Other::Arm(on) && !lost
        };
        foot.iter().all(on_wall).then_some(on)
    }

    /// The larger arm on whose side an arm sits as a branch does; `None` for one that comes into its end.
    pub fn side(&self, arm: usize) -> Option<usize> {
        self.sides.get(arm).copied().flatten()
    }
}
