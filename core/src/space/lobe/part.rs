//! What turns with the clock of a joint: its lobe, and the room its tool needs.

use crate::geom::{Block, Frame, Solid};
use crate::model::JointKind;
use glam::DVec3;

/// Widest part of a sector that one block stands for, rad: its corners then stand out by less than 1 % of the
/// reach.
const WIDEST_RAD: f64 = 15.0 * std::f64::consts::PI / 180.0;

/// The form of a part, about the radial line at its clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outline {
    /// A box.
    Box {
        /// Width round the tube, mm.
        width_mm: f64,
    },
    /// A part of a ring about the joint's axis.
    Sector {
        /// Angle from its first side to its last, rad; 2π or more is the whole ring.
        spread_rad: f64,
    },
}

/// A part of a joint that turns with its clock, and the gap it has to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurningPart {
    /// Its form.
    pub outline: Outline,
    /// Where it begins, from the centreline, mm.
    pub inner_mm: f64,
    /// How far it reaches from the centreline, mm.
    pub reach_mm: f64,
    /// Length along the tube, mm.
    pub length_mm: f64,
    /// Its middle from the middle of the joint, along the travel, mm.
    pub along_mm: f64,
    /// Its clock from the lobe's, rad: a lever across from the nut has π.
    pub clock_rad: f64,
    /// Gap it has to keep, mm. Under [`LEAST_GAP_MM`](super::LEAST_GAP_MM) counts as that.
    pub gap_mm: f64,
}

impl TurningPart {
    /// The lobe of a joint of this kind; `None` where it has none.
    pub fn lobe(kind: &JointKind, gap_mm: f64) -> Option<Self> {
        let lobe = kind.lobe?;
        Some(Self {
            outline: Outline::Box { width_mm: lobe.width_mm },
            // as it is placed when the joint is built
            inner_mm: (kind.od_mm / 2.0).min(lobe.reach_mm),
            reach_mm: lobe.reach_mm,
            length_mm: lobe.length_mm,
            along_mm: 0.0,
            clock_rad: 0.0,
            gap_mm,
        })
    }

    /// Room for a tool put on this part: a box that reaches further by `reach_mm` and is wider by `width_mm`,
    /// half to either side, with a gap of its own. The width of a sector is that of its outer chord.
    #[must_use]
    pub fn tool_box(&self, reach_mm: f64, width_mm: f64, gap_mm: f64) -> Self {
        let own_mm = match self.outline {
            Outline::Box { width_mm } => width_mm,
            Outline::Sector { spread_rad } => 2.0 * self.reach_mm * (spread_rad / 2.0).min(QUARTER).sin(),
        };
        let outline = Outline::Box { width_mm: own_mm + width_mm };
        Self { outline, reach_mm: self.reach_mm + reach_mm, gap_mm, ..*self }
    }

    /// Room for a tool that swings through `spread_rad` about the joint's axis and reaches further than this part
    /// by `reach_mm`, with a gap of its own.
    #[must_use]
    pub fn tool_swing(&self, reach_mm: f64, spread_rad: f64, gap_mm: f64) -> Self {
        Self { outline: Outline::Sector { spread_rad }, reach_mm: self.reach_mm + reach_mm, gap_mm, ..*self }
    }

    /// Distance from the axis of its point furthest from it, mm.
    pub(super) fn furthest_mm(&self) -> f64 {
        match self.outline {
            Outline::Box { width_mm } => self.reach_mm.hypot(width_mm / 2.0),
            // the corners of the blocks it is covered by
            Outline::Sector { .. } => self.reach_mm.hypot(self.reach_mm * (WIDEST_RAD / 2.0).sin()),
        }
    }

    /// Whether its numbers are finite and its sizes not below zero.
    pub(super) fn is_sound(&self) -> bool {
        let size = match self.outline {
            Outline::Box { width_mm } => width_mm,
            Outline::Sector { spread_rad } => spread_rad,
        };
        let sizes = [size, self.inner_mm, self.length_mm, self.reach_mm - self.inner_mm];
        sizes.iter().all(|s| s.is_finite() && *s >= 0.0)
            && [self.along_mm, self.clock_rad, self.gap_mm].iter().all(|x| x.is_finite())
    }

    /// The blocks that hold it with the lobe at `clock_rad` of `middle`, the joint's frame. A sector's blocks stand
    /// out of it a little, never in.
    pub fn solids(&self, middle: &Frame, clock_rad: f64) -> Vec<Solid> {
        let clock_rad = clock_rad + self.clock_rad;
        match self.outline {
            Outline::Box { width_mm } => vec![self.block(middle, clock_rad, self.inner_mm, width_mm)],
            Outline::Sector { spread_rad } => {
                let spread_rad = spread_rad.clamp(0.0, 2.0 * HALF);
                let count = (spread_rad / WIDEST_RAD).ceil().max(1.0);
                let half_rad = spread_rad / count / 2.0;
                let first_rad = clock_rad - spread_rad / 2.0 + half_rad;
                let (inner_mm, width_mm) =
                    (self.inner_mm * half_rad.cos(), 2.0 * self.reach_mm * half_rad.sin());
                (0..count as usize)
                    .map(|i| self.block(middle, first_rad + 2.0 * half_rad * i as f64, inner_mm, width_mm))
                    .collect()
            }
        }
    }

    fn block(&self, middle: &Frame, clock_rad: f64, inner_mm: f64, width_mm: f64) -> Solid {
        let out = middle.at_clock(clock_rad);
        Solid::Block(Block {
            centre: middle.forward(self.along_mm).origin + out * f64::midpoint(inner_mm, self.reach_mm),
            axes: [middle.travel, out, middle.travel.cross(out)],
            half_mm: DVec3::new(self.length_mm, self.reach_mm - inner_mm, width_mm) / 2.0,
        })
    }
}

const HALF: f64 = std::f64::consts::PI;
const QUARTER: f64 = std::f64::consts::FRAC_PI_2;
