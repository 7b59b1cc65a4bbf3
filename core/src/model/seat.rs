//! Hardpoints that sit on the pipes themselves: on another run, or where runs merge.

use super::hardpoint::Hardpoint;
use super::id::{HardpointId, MergeId, RunId};
use super::project::Project;
use super::run::RunEnd;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

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

/// Hardpoints that sit on pipes, each after those it depends on; those that sit on themselves in a ring are left out.
///
/// One that sits on a run depends on the hardpoints the run begins and ends at.
pub fn settle_order(project: &Project) -> Vec<HardpointId> {
    let mut order: Vec<HardpointId> = Vec::new();
    let mut left: Vec<&Hardpoint> = project.hardpoints.iter().filter(|h| h.seat.is_some()).collect();
    // as long as some of those that are left wait for none of the others
    while !left.is_empty() {
        let waiting: BTreeSet<HardpointId> = left.iter().map(|h| h.id).collect();
        let (later, now): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|h| needs(project, h).iter().any(|id| waiting.contains(id)));
        if now.is_empty() {
            return order;
        }
        order.extend(now.iter().map(|h| h.id));
        left = later;
    }
    order
}

/// The hardpoints that one depends on.
fn needs(project: &Project, port: &Hardpoint) -> Vec<HardpointId> {
    let Some(Seat::Run { run, .. }) = port.seat else { return Vec::new() };
    let Some(run) = project.run(run) else { return Vec::new() };
    match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => vec![run.start, hardpoint],
        RunEnd::Open { .. } => vec![run.start],
    }
}

/// Hardpoints that sit on themselves in a ring, each on a run that the one after it begins or ends; the first follows
/// the last again. Empty where there is no such ring.
pub fn ring(project: &Project) -> Vec<&Hardpoint> {
    let placed: BTreeSet<HardpointId> = settle_order(project).into_iter().collect();
    let stuck = |id: &HardpointId| {
        project.hardpoint(*id).is_some_and(|h| h.seat.is_some() && !placed.contains(&h.id))
    };
    let first = project.hardpoints.iter().find(|h| stuck(&h.id));
    let mut way: Vec<&Hardpoint> = first.into_iter().collect();
    while let Some(last) = way.last() {
        // one that is stuck waits for another that is
        let Some(next) = needs(project, last).into_iter().find(stuck).and_then(|id| project.hardpoint(id))
        else {
            return Vec::new();
        };
        if let Some(from) = way.iter().position(|h| h.id == next.id) {
            return way.split_off(from);
        }
        way.push(next);
    }
    way
}
