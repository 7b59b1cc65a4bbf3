//! Hardpoints that sit on the pipes themselves: on another run, or where runs merge.

use super::id::{MergeId, RunId};
use serde::{Deserialize, Serialize};

/// Where along a run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Spot {
    /// On a leg.
    Leg {
        /// Which leg, 0 is the one at the start hardpoint.
        leg: usize,
        /// From where its straight begins, mm.
        station_mm: f64,
    },
    /// On the bend after a leg.
    Bend {
        /// Which leg it comes after.
        leg: usize,
        /// How far round it, degrees from where it begins.
        turn_deg: f64,
    },
}

/// What a hardpoint sits on. Its position, direction and 12 o'clock follow from that, and are brought up to date with
/// every change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Seat {
    /// On the skin of another run: a branch.
    Run {
        /// Which run.
        run: RunId,
        /// Where along it.
        spot: Spot,
        /// Clock angle of that run that the branch leaves towards, degrees.
        clock_deg: f64,
        /// Angle from that run's travel to the branch as it leaves, degrees; 90 is square.
        angle_deg: f64,
        /// How far the branch's axis passes the run's, mm; positive towards growing clock.
        offset_mm: f64,
    },
    /// Where an arm comes into a merge.
    Arm {
        /// Which merge.
        merge: MergeId,
        /// Which of its arms, from 0.
        arm: usize,
    },
    /// Where a merge lets out.
    Outlet {
        /// Which merge.
        merge: MergeId,
    },
}
