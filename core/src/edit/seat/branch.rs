//! Where a branch sits on its header: the face, the body it moves with, and back from a point to a place.

use crate::fab::limb::Line;
use crate::fab::route::{Make, Route};
use crate::fab::saddle::{Header, HeaderPart, Placement};
use crate::fab::spot::{bend_after, bend_start, leg_room, spot_frame};
use crate::fab::{build, trace};
use crate::geom::{Barrel, Elbow, Frame, Solid};
use crate::model::{Attachment, BodyId, Hardpoint, JointId, Project, Run, RunEnd, Seat, Spot};
use glam::DVec3;
use std::f64::consts::FRAC_PI_2;

/// Face of a branch: where its axis leaves the header's skin, travelling away from it, 12 o'clock to the side that the
/// header's travel goes to.
///
/// On a leg the skin is that of straight tube without an end, on an elbow that of the bend and the straights beside it,
/// on a mitred bend that of its slices. An axis that passes the header by begins where it comes nearest.
pub fn face(project: &Project, header: &Run, route: &Route, spot: Spot, at: Placement) -> Option<Frame> {
    let axis = spot_frame(route, spot)?;
    let foot = at.frame(&axis);
    let radius_mm = radius_at(route, spot);
    let out_mm = match spot {
        Spot::Leg { .. } => {
            let sine = foot.travel.cross(axis.travel).length();
            let square = (radius_mm - at.offset_mm) * (radius_mm + at.offset_mm);
            if sine > ALONG { square.max(0.0).sqrt() / sine } else { radius_mm }
        }
        Spot::Bend { leg, .. } => {
            let tube = bent(project, header, route, bend_after(route, leg)?)?;
            let line = Line { origin: foot.origin, along: foot.travel };
            tube.left_at_mm(&line, 0.0).filter(|mm| *mm >= 0.0).unwrap_or(0.0)
        }
    };
    Some(foot.forward(out_mm))
}

/// Outside radius of the header at a place, mm.
fn radius_at(route: &Route, spot: Spot) -> f64 {
    let tube = match spot {
        Spot::Leg { leg, station_mm } => route.tube_on_leg(leg, station_mm),
        Spot::Bend { leg, .. } => bend_after(route, leg).map(|bend| route.tube_of_bend(bend)),
    };
    tube.unwrap_or(&route.tube).od_mm / 2.0
}

/// A branch whose angle to its header has less sine than this runs along it.
const ALONG: f64 = 1e-6;

/// The header round one of its bends.
fn bent(project: &Project, header: &Run, route: &Route, bend: usize) -> Option<Header> {
    let of = route.bends.get(bend)?;
    if matches!(of.make, Make::Mitred(_)) {
        let built = build(project, header, "");
        let solids: Vec<Solid> = built.solids.iter().filter(|s| !s.lobe).map(|s| s.solid).collect();
        if let Ok(slices) = Header::of_solids(&solids) {
            return Some(slices);
        }
    }
    let parts = [straight(route, bend), elbow(route, bend).map(HeaderPart::Elbow), straight(route, bend + 1)];
    Header::of_parts(parts.into_iter().flatten().collect()).ok()
}

/// The straight of a leg of the route, if it has one.
fn straight(route: &Route, leg: usize) -> Option<HeaderPart> {
    let number = leg;
    let leg = route.legs.get(leg)?;
    let start = route.at(number, leg.begin_mm)?;
    let tube = Barrel {
        start,
        length_mm: leg.straight_mm(),
        radius_mm: route.tube_at(number, leg.begin_mm).od_mm / 2.0,
        start_normal: start.travel,
        end_normal: start.travel,
    };
    (leg.straight_mm() > 0.0).then_some(HeaderPart::Barrel(tube))
}

/// A bend of the route as a smooth one.
fn elbow(route: &Route, bend: usize) -> Option<Elbow> {
    let (of, start) = (route.bends.get(bend)?, bend_start(route, bend)?);
    Some(Elbow {
        start,
        toward: start.at_clock(of.throat_clock_rad),
        clr_mm: of.clr_mm,
        angle_rad: of.angle_rad,
        radius_mm: route.tube_of_bend(bend).od_mm / 2.0,
    })
}

/// The body that a header moves with where a branch sits: the one it starts on, and after the last joint that gives
/// the one it ends on.
pub fn body(project: &Project, header: &Run, spot: Spot) -> Option<BodyId> {
    let start = project.hardpoint(header.start)?;
    let RunEnd::Hardpoint { hardpoint, .. } = header.end else { return Some(start.body) };
    let Some(end) = project.hardpoint(hardpoint).filter(|end| end.body != start.body) else {
        return Some(start.body);
    };
    let gives = |id: JointId| project.joint(id).is_some_and(|j| j.style.gives());
    let at_port = |port: &Hardpoint| match port.attachment {
        Attachment::Joint { joint, .. } => gives(joint),
        Attachment::Welded | Attachment::Loose => false,
    };
    let here = match spot {
        Spot::Leg { leg, station_mm } => (leg, station_mm),
        Spot::Bend { leg, .. } => (leg, f64::INFINITY),
    };
    let places = header.fittings.iter().filter(|f| gives(f.joint)).map(|f| (f.leg, f.station_mm));
    let after = |joint: (usize, f64)| joint.0 < here.0 || (joint.0 == here.0 && joint.1 < here.1);
    let (mut any, mut all_before) = (at_port(start), !at_port(end));
    for joint in places {
        any = true;
        all_before &= after(joint);
    }
    Some(if any && all_before { end.body } else { start.body })
}

/// The seat of a branch moved so that its axis leaves the header as near `target` as may be: place along the header and
/// clock follow, angle and offset stay. `None` where the header has no way.
pub fn slid(project: &Project, seat: Seat, target: DVec3) -> Option<Seat> {
    let Seat::Run { run, angle_deg, offset_mm, .. } = seat else { return None };
    let route = trace(project, project.run(run)?).ok()?;
    let (spot, axis) = nearest_spot(&route, target)?;
    let clock_deg = axis.clock_of(target - axis.origin).to_degrees();
    // the foot of a branch that leans lies back from where it leaves the skin
    let lean = angle_deg.to_radians();
    let back_mm = if lean.sin() > ALONG { radius_at(&route, spot) * lean.cos() / lean.sin() } else { 0.0 };
    let spot = match spot {
        Spot::Leg { leg, station_mm } => {
            let (least, most) = leg_room(&route, leg)?;
            Spot::Leg { leg, station_mm: (station_mm - back_mm).clamp(least, most.max(least)) }
        }
        Spot::Bend { .. } => spot,
    };
    Some(Seat::Run { run, spot, clock_deg, angle_deg, offset_mm })
}

/// The point of the skin of the run a seat is on that a ray meets first, on its ideal centre line; `None` where it
/// passes by.
pub fn under(project: &Project, seat: Seat, from: DVec3, along: DVec3) -> Option<DVec3> {
    let Seat::Run { run, .. } = seat else { return None };
    let route = trace(project, project.run(run)?).ok()?;
    let bends = (0..route.bends.len()).filter_map(|bend| elbow(&route, bend));
    let bends = bends.filter(|e| e.clr_mm >= e.radius_mm).map(HeaderPart::Elbow);
    let parts: Vec<HeaderPart> =
        (0..route.legs.len()).filter_map(|leg| straight(&route, leg)).chain(bends).collect();
    let line = Line { origin: from, along };
    let at_mm = Header::of_parts(parts).ok()?.entered_at_mm(&line)?;
    Some(line.point(at_mm))
}

/// The place of the header's ideal centre line next to a point, with its frame.
fn nearest_spot(route: &Route, target: DVec3) -> Option<(Spot, Frame)> {
    let mut best: Option<(f64, Spot, Frame)> = None;
    let mut offer = |spot: Spot, frame: Frame| {
        let off = frame.origin.distance(target);
        if best.is_none_or(|(least, ..)| off < least) {
            best = Some((off, spot, frame));
        }
    };
    for leg in 0..route.places.len() {
        let zero = route.on_leg(leg, 0.0)?;
        let (least, most) = leg_room(route, leg)?;
        let station_mm = (target - zero.origin).dot(zero.travel).clamp(least, most.max(least));
        offer(Spot::Leg { leg, station_mm }, zero.forward(station_mm));
        if let Some(bend) = bend_after(route, leg)
            && let (Some(of), Some(start)) = (route.bends.get(bend), bend_start(route, bend))
        {
            let toward = start.at_clock(of.throat_clock_rad);
            let from = target - (start.origin + toward * of.clr_mm);
            let turn = from.dot(start.travel).atan2(-from.dot(toward));
            if (0.0..=of.angle_rad).contains(&turn) {
                let spot = Spot::Bend { leg, turn_deg: turn.to_degrees() };
                offer(spot, start.around(of.throat_clock_rad, of.clr_mm, turn));
            }
        }
    }
    best.map(|(_, spot, frame)| (spot, frame))
}

/// The seat of a new branch: square, to 12 o'clock, in the middle of a leg's straight.
pub fn in_the_middle(project: &Project, run: &Run, leg: usize) -> Option<Seat> {
    let route = trace(project, run).ok()?;
    let (from, to) = leg_room(&route, leg)?;
    let spot = Spot::Leg { leg, station_mm: f64::midpoint(from, to) };
    let angle_deg = FRAC_PI_2.to_degrees();
    Some(Seat::Run { run: run.id, spot, clock_deg: 0.0, angle_deg, offset_mm: 0.0 })
}
