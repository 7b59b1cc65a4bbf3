//! Where a branch sits on its header: the face, the body it moves with, and back from a point to a place.

use crate::fab::limb::Line;
use crate::fab::route::taper::RouteTaper;
use crate::fab::route::{Make, Route};
use crate::fab::saddle::{Header, HeaderPart, Placement};
use crate::fab::spot::{
    bend_after, bend_start, choices, leg_room, longest_straight, spot_cone, spot_frame, spot_tube,
};
use crate::fab::{build, trace};
use crate::geom::{Barrel, Elbow, Frame, Solid};
use crate::model::{Attachment, BodyId, Hardpoint, JointId, Project, Run, RunEnd, Seat, Spot};
use glam::DVec3;
use std::f64::consts::FRAC_PI_2;

/// How a seat stands to the header's centre line at its place.
pub(super) fn placement(clock_deg: f64, angle_deg: f64, offset_mm: f64) -> Placement {
    let (clock_rad, angle_rad) = (clock_deg.to_radians(), angle_deg.to_radians());
    Placement { station_mm: 0.0, clock_rad, angle_rad, offset_mm }
}

/// Face of a branch: where its axis leaves the header's skin, travelling away from it, 12 o'clock to the side that the
/// header's travel goes to.
///
/// On a leg the skin is that of straight tube without an end, on a taper that of the taper and the tube beside it, on an elbow that of the bend and the straights beside it,
/// on a mitred bend that of its slices. An axis that passes the header by begins where it comes nearest.
pub fn face(project: &Project, header: &Run, route: &Route, spot: Spot, at: Placement) -> Option<Frame> {
    let axis = spot_frame(route, spot)?;
    let foot = at.frame(&axis);
    let radius_mm = spot_tube(route, spot).od_mm / 2.0;
    let out_mm = match spot {
        Spot::Leg { leg, station_mm } => {
            let sine = foot.travel.cross(axis.travel).length();
            let square = (radius_mm - at.offset_mm) * (radius_mm + at.offset_mm);
            let straight_mm = if sine > ALONG { square.max(0.0).sqrt() / sine } else { radius_mm };
            let out = foot.forward(straight_mm).origin - axis.origin;
            let there = Spot::Leg { leg, station_mm: station_mm + out.dot(axis.travel) };
            // on a taper, or leaning over one
            let on_taper = [spot, there].iter().any(|spot| spot_cone(route, *spot).is_some());
            let line = Line { origin: foot.origin, along: foot.travel };
            let left = || {
                let parts = with_tapers(route, route.places.get(leg)?.leg);
                Header::of_parts(parts).ok()?.left_at_mm(&line, 0.0).filter(|mm| *mm >= 0.0)
            };
            Some(on_taper).filter(|on| *on).and_then(|_| left()).unwrap_or(straight_mm)
        }
        Spot::Bend { leg, .. } => {
            let tube = bent(project, header, route, bend_after(route, leg)?)?;
            let line = Line { origin: foot.origin, along: foot.travel };
            tube.left_at_mm(&line, 0.0).filter(|mm| *mm >= 0.0).unwrap_or(0.0)
        }
    };
    Some(foot.forward(out_mm))
}

/// A branch whose angle to its header has less sine than this runs along it.
const ALONG: f64 = 1e-6;

/// The header round one of its bends.
fn bent(project: &Project, header: &Run, route: &Route, bend: usize) -> Option<Header> {
    let of = route.bends.get(bend)?;
    if matches!(of.make, Make::Mitred(_)) {
        let built = build(project, header);
        let solids: Vec<Solid> = built.solids.iter().filter(|s| !s.lobe).map(|s| s.solid).collect();
        if let Ok(slices) = Header::of_solids(&solids) {
            return Some(slices);
        }
    }
    let mut parts = straights(route, bend);
    parts.extend(elbow(route, bend).map(HeaderPart::Elbow));
    parts.extend(straights(route, bend + 1));
    Header::of_parts(parts).ok()
}

/// The straights of a leg of the route in order: one between each two tapers on it.
fn straights(route: &Route, number: usize) -> Vec<HeaderPart> {
    let Some(leg) = route.legs.get(number) else { return Vec::new() };
    let on_it = || route.tapers.iter().filter(|t| t.leg == number);
    let begins = std::iter::once(leg.begin_mm).chain(on_it().map(RouteTaper::to_mm));
    let ends = on_it().map(|t| t.from_mm).chain([leg.finish_mm]);
    let one = |(from_mm, to_mm): (f64, f64)| {
        let start = route.at(number, from_mm).filter(|_| to_mm > from_mm)?;
        Some(HeaderPart::Barrel(Barrel {
            start,
            length_mm: to_mm - from_mm,
            radius_mm: route.tube_at(number, from_mm).od_mm / 2.0,
            start_normal: start.travel,
            end_normal: start.travel,
        }))
    };
    begins.zip(ends).filter_map(one).collect()
}

/// The straights of a leg of the route with the tapers between them, in order.
fn with_tapers(route: &Route, number: usize) -> Vec<HeaderPart> {
    let on_it = route.tapers.iter().filter(|t| t.leg == number);
    let mut parts: Vec<HeaderPart> = straights(route, number);
    parts.extend(on_it.filter_map(|t| route.cone(t)).map(HeaderPart::Cone));
    let begins = |part: &HeaderPart| match part {
        HeaderPart::Barrel(b) => b.start.origin.dot(b.start.travel),
        HeaderPart::Cone(c) => c.start.origin.dot(c.start.travel),
        HeaderPart::Straight { .. } | HeaderPart::Elbow(_) => 0.0,
    };
    parts.sort_by(|a, b| begins(a).total_cmp(&begins(b)));
    parts
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
    let is_flexible = |id: JointId| project.joint(id).is_some_and(|j| j.style.is_flexible());
    let at_port = |port: &Hardpoint| match port.attachment {
        Attachment::Joint { joint, .. } => is_flexible(joint),
        Attachment::Welded | Attachment::Loose => false,
    };
    let here = match spot {
        Spot::Leg { leg, station_mm } => (leg, station_mm),
        Spot::Bend { leg, .. } => (leg, f64::INFINITY),
    };
    let places = header.fittings.iter().filter(|f| is_flexible(f.joint)).map(|f| (f.leg, f.station_mm));
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
///
/// A branch that leans or is set off leaves the skin beside the place that is nearest to its foot: what it misses the
/// target by is aimed the other way until it stops getting nearer.
pub fn slid(project: &Project, seat: Seat, target: DVec3) -> Option<Seat> {
    let Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } = seat else { return None };
    let header = project.run(run)?;
    let route = trace(project, header).ok()?;
    let missed = |spot: Spot, clock_deg: f64| {
        let face = face(project, header, &route, spot, placement(clock_deg, angle_deg, offset_mm))?;
        Some(target - face.origin).filter(|miss| miss.is_finite())
    };
    // where it is counts too: next to a joint of two shapes of skin no other place need be as near
    let mut best = (missed(spot, clock_deg).map_or(f64::INFINITY, DVec3::length), seat);
    let (mut aim, mut before) = (target, f64::INFINITY);
    for _ in 0..MOST_AIMS {
        let (spot, axis) = nearest_spot(&route, aim)?;
        let clock_deg = axis.clock_of(aim - axis.origin).to_degrees();
        let Some(miss) = missed(spot, clock_deg) else { break };
        if miss.length() < best.0 {
            best = (miss.length(), Seat::Run { run, spot, clock_deg, angle_deg, offset_mm });
        }
        if miss.length() >= before {
            break;
        }
        before = miss.length();
        aim += miss;
    }
    Some(best.1)
}

/// How often a branch is aimed anew at the most.
const MOST_AIMS: u32 = 12;

/// The point of the skin of the run a seat is on that a ray meets first, on its ideal centre line; `None` where it
/// passes by.
pub fn under(project: &Project, seat: Seat, from: DVec3, along: DVec3) -> Option<DVec3> {
    let Seat::Run { run, .. } = seat else { return None };
    let route = trace(project, project.run(run)?).ok()?;
    let bends = (0..route.bends.len()).filter_map(|bend| elbow(&route, bend));
    let bends = bends.filter(|e| e.clr_mm >= e.radius_mm).map(HeaderPart::Elbow);
    let parts: Vec<HeaderPart> =
        (0..route.legs.len()).flat_map(|leg| with_tapers(&route, leg)).chain(bends).collect();
    let line = Line { origin: from, along };
    let at_mm = Header::of_parts(parts).ok()?.entered_at_mm(&line)?;
    Some(line.point(at_mm))
}

/// The point of a run's ideal centre line that is nearest to a point.
pub fn nearest_on_middle(route: &Route, target: DVec3) -> Option<DVec3> {
    nearest_spot(route, target).map(|(_, frame)| frame.origin)
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

/// The seat a hardpoint gets first on a run: in the middle of its longest straight, else of its first bend, square and to
/// 12 o'clock. `None` where the run has no way or neither.
pub fn first(project: &Project, run: &Run) -> Option<Seat> {
    let route = trace(project, run).ok()?;
    let spot = match longest_straight(&route) {
        Some((leg, (from, to))) => Spot::Leg { leg, station_mm: f64::midpoint(from, to) },
        None => choices(&route).into_iter().next()?,
    };
    Some(square(run, spot))
}

fn square(run: &Run, spot: Spot) -> Seat {
    let angle_deg = FRAC_PI_2.to_degrees();
    Seat::Run { run: run.id, spot, clock_deg: 0.0, angle_deg, offset_mm: 0.0 }
}

/// The seat of a new branch: square, to 12 o'clock, in the middle of a leg's straight.
pub fn in_the_middle(project: &Project, run: &Run, leg: usize) -> Option<Seat> {
    let route = trace(project, run).ok()?;
    let (from, to) = leg_room(&route, leg)?;
    let spot = Spot::Leg { leg, station_mm: f64::midpoint(from, to) };
    Some(square(run, spot))
}
