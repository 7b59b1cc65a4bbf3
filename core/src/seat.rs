//! Hardpoints that sit on pipes: where they are follows from what they sit on. Knows no edit and no file; both settle the
//! project with it.

pub mod branch;

use crate::fab::ends::merged::{arm_frame, outlet_frame, outlet_station_mm};
use crate::fab::trace;
use crate::model::limits::{self, Fault};
use crate::model::{Hardpoint, Project, Seat, settle_order};

/// Brings every hardpoint that sits on a pipe to where it sits, with the numbers in the project looked at before and
/// after. Returns what is wrong with them: with the project, or with where things come to sit; empty where all is well.
///
/// The first look is needed too: geometry is made from numbers in their range only.
pub fn settle_checked(project: &mut Project) -> Vec<Fault> {
    let faults = limits::check(project);
    if faults.is_empty() && settle(project) { limits::check(project) } else { faults }
}

/// Brings every hardpoint that sits on a pipe to where it sits, those that others depend on first.
///
/// One that sits on what is not there, or on itself in a ring, stays where it was. True where one was moved. For a
/// project whose numbers have been looked at; [`settle_checked`] looks.
pub(crate) fn settle(project: &mut Project) -> bool {
    let mut any = false;
    for id in settle_order(project) {
        let moved = project.hardpoint(id).and_then(|port| settled(project, port));
        if let Some(moved) = moved
            && let Some(old) = project.hardpoints.iter_mut().find(|h| h.id == id)
        {
            *old = moved;
            any = true;
        }
    }
    any
}

/// The hardpoint where it sits now; `None` where it is there already, or cannot be found a place.
fn settled(project: &Project, port: &Hardpoint) -> Option<Hardpoint> {
    let (frame, body) = match port.seat? {
        Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } => {
            let header = project.run(run)?;
            let route = trace(project, header).ok()?;
            let at = branch::placement(clock_deg, angle_deg, offset_mm);
            (branch::face(project, header, &route, spot, at)?, branch::body(project, header, spot)?)
        }
        Seat::Arm { merge, arm } => {
            let merge = project.merge(merge)?;
            let frame = outlet_frame(merge)?;
            (arm_frame(&frame, merge.arms.get(arm)?), merge.body)
        }
        Seat::Outlet { merge } => {
            let merge = project.merge(merge)?;
            (outlet_frame(merge)?.forward(outlet_station_mm(project, merge)), merge.body)
        }
    };
    let now = Hardpoint {
        position_mm: frame.origin,
        direction: frame.travel,
        clock: frame.index,
        body,
        ..port.clone()
    };
    (now != *port).then_some(now)
}

#[cfg(test)]
mod tests;
