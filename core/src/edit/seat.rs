//! Hardpoints that sit on pipes: where they are follows from what they sit on.

use crate::fab::ends::merged::{arm_frame, outlet_frame, outlet_station_mm};
use crate::fab::trace;
use crate::model::{Hardpoint, Project, Seat, Spot};

/// Brings every hardpoint that sits on a pipe to where it sits.
///
/// One that sits on what is not there, or on itself in a ring, stays where it was.
pub fn settle(project: &mut Project) {
    // one that sits on a run that begins at another such hardpoint needs that one first
    let most = project.hardpoints.iter().filter(|h| h.seat.is_some()).count();
    for _ in 0..most {
        let moved: Vec<Hardpoint> = project.hardpoints.iter().filter_map(|h| settled(project, h)).collect();
        if moved.is_empty() {
            return;
        }
        for port in moved {
            if let Some(old) = project.hardpoints.iter_mut().find(|h| h.id == port.id) {
                *old = port;
            }
        }
    }
}

/// The hardpoint where it sits now; `None` where it is there already, or cannot be found a place.
fn settled(project: &Project, port: &Hardpoint) -> Option<Hardpoint> {
    let (frame, body) = match port.seat? {
        Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } => {
            let header = project.run(run)?;
            let route = trace(project, header).ok()?;
            let body = project.hardpoint(header.start)?.body;
            let Spot::Leg { leg, station_mm } = spot else { return None };
            let axis = route.on_leg(leg, station_mm)?;
            let at = crate::fab::saddle::Placement {
                station_mm: 0.0,
                clock_rad: clock_deg.to_radians(),
                angle_rad: angle_deg.to_radians(),
                offset_mm,
            };
            let foot = at.frame(&axis);
            let sine = foot.travel.cross(axis.travel).length();
            let radius_mm = route.tube.od_mm / 2.0;
            let square = (radius_mm - offset_mm) * (radius_mm + offset_mm);
            let out_mm = if sine > 1e-6 { square.max(0.0).sqrt() / sine } else { radius_mm };
            (foot.forward(out_mm), body)
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
