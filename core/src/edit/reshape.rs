//! Changing the shape of a run: moving, adding and taking away vertices and joints.

use crate::fab::route::{set_aside, trace};
use crate::geom::Frame;
use crate::geom::tolerance::LEAST_REACH_MM;
use crate::model::{BendMake, Fitting, Hardpoint, Project, Run, RunEnd, Vertex, Waypoint, WaypointId};
use glam::DVec3;

fn face(project: &Project, run: &Run, at_end: bool) -> Option<Frame> {
    let id = if at_end {
        match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => hardpoint,
            RunEnd::Open { .. } => return None,
        }
    } else {
        run.start
    };
    project.hardpoint(id).and_then(Hardpoint::outward)
}

/// The axis a vertex slides on: a point and a unit direction. `None` for vertices that move freely.
pub fn slide_axis(project: &Project, run: &Run, vertex: Vertex) -> Option<(DVec3, DVec3)> {
    let frame = match vertex {
        Vertex::Start => face(project, run, false),
        Vertex::End => face(project, run, true),
        Vertex::Way(_) | Vertex::Open => None,
    };
    frame.map(|f| (f.origin + aside(project, run, vertex == Vertex::End), f.travel))
}

/// How far an offset taper between a face and the corner next to it sets that corner off the face's axis, mm.
fn aside(project: &Project, run: &Run, at_end: bool) -> DVec3 {
    if run.tapers.iter().all(|t| t.offset_mm == 0.0) {
        return DVec3::ZERO;
    }
    let off = set_aside(project, run).unwrap_or_default();
    let at = |i: usize| off.get(i).map_or(DVec3::ZERO, |(_, off)| *off);
    match off.len().checked_sub(2) {
        Some(corner) if at_end => at(corner) - at(corner + 1),
        _ => at(1),
    }
}

/// Where a vertex is. `None` where there is no such vertex, or its hardpoint is missing.
pub fn position(project: &Project, run: &Run, vertex: Vertex) -> Option<DVec3> {
    match (vertex, &run.end) {
        (Vertex::Start, _) => {
            let on_axis = face(project, run, false)?.forward(run.start_corner.reach_mm).origin;
            Some(on_axis + aside(project, run, false))
        }
        (Vertex::End, RunEnd::Hardpoint { corner, .. }) => {
            let on_axis = face(project, run, true)?.forward(corner.reach_mm).origin;
            Some(on_axis + aside(project, run, true))
        }
        (Vertex::Way(id), _) => run.waypoints.iter().find(|w| w.id == id).map(|w| w.position_mm),
        (Vertex::Open, RunEnd::Open { position_mm, .. }) => Some(*position_mm),
        (Vertex::End, RunEnd::Open { .. }) | (Vertex::Open, RunEnd::Hardpoint { .. }) => None,
    }
}

/// The run with a vertex moved to `target`, or as near as its axis lets it.
#[must_use]
pub fn moved(project: &Project, run: &Run, vertex: Vertex, target: DVec3) -> Run {
    let mut run = run.clone();
    let along = slide_axis(project, &run, vertex)
        .map(|(origin, axis)| (target - origin).dot(axis).max(LEAST_REACH_MM));
    match (vertex, &mut run.end) {
        (Vertex::Start, _) => {
            if let Some(reach_mm) = along {
                run.start_corner.reach_mm = reach_mm;
            }
        }
        (Vertex::End, RunEnd::Hardpoint { corner, .. }) => {
            if let Some(reach_mm) = along {
                corner.reach_mm = reach_mm;
            }
        }
        (Vertex::Way(id), _) => {
            if let Some(w) = run.waypoints.iter_mut().find(|w| w.id == id) {
                w.position_mm = target;
            }
        }
        (Vertex::Open, RunEnd::Open { position_mm, .. }) => *position_mm = target,
        (Vertex::End, RunEnd::Open { .. }) | (Vertex::Open, RunEnd::Hardpoint { .. }) => {}
    }
    run
}

/// All points of the run as entered, faces included: P0, the start corner, waypoints, the end corner, the end.
pub fn entered_points(project: &Project, run: &Run) -> Option<Vec<DVec3>> {
    let mut points = vec![face(project, run, false)?.origin];
    for vertex in run.vertices() {
        points.push(position(project, run, vertex)?);
    }
    if let Some(end) = face(project, run, true) {
        points.push(end.origin);
    }
    Some(points)
}

/// Whether a waypoint can be put on leg `leg` (as entered, from 0): not on the legs that lie on a hardpoint's
/// axis.
pub fn can_insert(run: &Run, leg: usize) -> bool {
    // leg 0 lies on the start axis; with an end hardpoint so does the leg after the last corner
    leg >= 1 && leg <= run.waypoints.len() + 1
}

/// Where stations of each leg (as entered) count from, measured from the leg's start vertex, mm.
fn offsets(project: &Project, run: &Run) -> Vec<f64> {
    // lengths along legs are those of the plain line
    let points = set_aside(project, run).unwrap_or_default();
    let Ok(route) = trace(project, run) else { return Vec::new() };
    let offset = |(i, place): (usize, &crate::fab::route::LegPlace)| {
        let begins = route.plain.get(place.leg).copied().unwrap_or_default();
        // a leg that begins in the middle of a straight counts from its own vertex
        place.offset_mm - points.get(i).map_or(0.0, |(p, _)| p.distance(begins))
    };
    route.places.iter().enumerate().map(offset).collect()
}

/// Keeps every joint, taper and small part where it is in space along its leg while legs are joined or split: `to` says, for a leg and
/// the distance from its start vertex, which leg of the new run that is and how far along it.
fn carry_joints(project: &Project, old: &Run, new: &mut Run, to: impl Fn(usize, f64) -> (usize, f64)) {
    let before = offsets(project, old);
    let at = |list: &[f64], leg: usize| list.get(leg).copied().unwrap_or(0.0);
    let carry = |leg: usize, station_mm: f64| to(leg, station_mm + at(&before, leg));
    let joints: Vec<_> = old.fittings.iter().map(|f| carry(f.leg, f.station_mm)).collect();
    let tapers: Vec<_> = old.tapers.iter().map(|t| carry(t.leg, t.station_mm)).collect();
    // a bend lies beyond all that is on the leg before it
    let parts: Vec<_> = old
        .parts
        .iter()
        .map(|p| if p.turn_deg.is_some() { to(p.leg, f64::MAX) } else { carry(p.leg, p.station_mm) })
        .collect();
    // which legs they are on decides where stations count from
    new.tapers.iter_mut().zip(&tapers).for_each(|(t, (leg, _))| t.leg = *leg);
    let after = offsets(project, new);
    for (fitting, (leg, along)) in new.fittings.iter_mut().zip(joints) {
        (fitting.leg, fitting.station_mm) = (leg, along - at(&after, leg));
    }
    for (taper, (leg, along)) in new.tapers.iter_mut().zip(tapers) {
        taper.station_mm = along - at(&after, leg);
    }
    for (part, (leg, along)) in new.parts.iter_mut().zip(parts) {
        part.leg = leg;
        if part.turn_deg.is_none() {
            part.station_mm = along - at(&after, leg);
        }
    }
}

/// The run with a waypoint put on leg `leg`; joints stay as far from the vertices behind them as they were.
/// `None` where that leg cannot take one.
pub fn inserted(project: &Project, run: &Run, leg: usize, waypoint: Waypoint) -> Option<Run> {
    if !can_insert(run, leg) {
        return None;
    }
    let from = entered_points(project, run)?.get(leg).copied()?;
    let split = from.distance(waypoint.position_mm);
    let mut new = run.clone();
    new.waypoints.insert(leg - 1, waypoint);
    carry_joints(project, run, &mut new, |l, along| match l.cmp(&leg) {
        std::cmp::Ordering::Less => (l, along),
        std::cmp::Ordering::Equal if along <= split => (l, along),
        std::cmp::Ordering::Equal => (l + 1, along - split),
        std::cmp::Ordering::Greater => (l + 1, along),
    });
    Some(new)
}

/// The run without a waypoint; joints of the leg after it move to the leg before.
#[must_use]
pub fn without(project: &Project, run: &Run, waypoint: WaypointId) -> Run {
    let Some(index) = run.waypoints.iter().position(|w| w.id == waypoint) else { return run.clone() };
    let leg = index + 1;
    let length = entered_points(project, run)
        .and_then(|p| Some(p.get(leg)?.distance(*p.get(leg + 1)?)))
        .unwrap_or(0.0);
    let mut new = run.clone();
    new.waypoints.remove(index);
    carry_joints(project, run, &mut new, |l, along| match l.cmp(&(leg + 1)) {
        std::cmp::Ordering::Less => (l, along),
        std::cmp::Ordering::Equal => (leg, along + length),
        std::cmp::Ordering::Greater => (l - 1, along),
    });
    new
}

/// The run with a joint added or, by its id, replaced.
#[must_use]
pub fn with_fitting(run: &Run, fitting: Fitting) -> Run {
    let mut run = run.clone();
    match run.fittings.iter_mut().find(|f| f.id == fitting.id) {
        Some(old) => *old = fitting,
        None => run.fittings.push(fitting),
    }
    run
}

/// The run with every bend made like the one at `vertex`; `None` where there is no bend.
pub fn with_same_make(run: &Run, vertex: Vertex) -> Option<Run> {
    let make = run.make(vertex)?;
    let mut run = run.clone();
    for vertex in run.vertices() {
        run.set_make(vertex, make);
    }
    Some(run)
}

/// The run with one bend made another way.
#[must_use]
pub fn with_make(run: &Run, vertex: Vertex, make: BendMake) -> Run {
    let mut run = run.clone();
    run.set_make(vertex, make);
    run
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{FittingId, JointId};
    use crate::testing::run_through;

    fn sample() -> (Project, Run) {
        run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(300.0, 400.0, 0.0),
            DVec3::new(300.0, 400.0, 500.0),
            DVec3::new(700.0, 400.0, 500.0),
        ])
    }

    #[test]
    fn corners_slide_on_their_axes_and_stay_in_front_of_the_face() {
        let (project, run) = sample();
        let slid = moved(&project, &run, Vertex::Start, DVec3::new(250.0, 900.0, -40.0));
        assert_eq!(position(&project, &slid, Vertex::Start), Some(DVec3::X * 250.0));
        let behind = moved(&project, &run, Vertex::Start, DVec3::new(-250.0, 0.0, 0.0));
        assert!((behind.start_corner.reach_mm - LEAST_REACH_MM).abs() < 1e-12);
        let way = run.vertices()[1];
        let free = moved(&project, &run, way, DVec3::new(1.0, 2.0, 3.0));
        assert_eq!(position(&project, &free, way), Some(DVec3::new(1.0, 2.0, 3.0)));
    }

    #[test]
    fn putting_in_and_taking_out_a_waypoint_keeps_the_joints_where_they_are() {
        let (project, mut run) = sample();
        let on_leg = |leg, station_mm, id| Fitting {
            id: FittingId(id),
            joint: JointId(12),
            leg,
            station_mm,
            lobe_clock_deg: 0.0,
        };
        run.fittings = vec![on_leg(1, 50.0, 1), on_leg(1, 300.0, 2), on_leg(2, 100.0, 3)];
        let waypoint = Waypoint {
            id: WaypointId(777),
            position_mm: DVec3::new(300.0, 200.0, 0.0),
            make: run.start_corner.make,
        };
        let more = inserted(&project, &run, 1, waypoint).unwrap();
        // leg 1 runs 400 mm with a tangent length of 95.25 at its start; the waypoint at 200 turns nothing
        let legs: Vec<(usize, f64)> = more.fittings.iter().map(|f| (f.leg, f.station_mm)).collect();
        let wanted = [(1, 50.0), (2, 300.0 + 95.25 - 200.0), (3, 100.0)];
        for (got, want) in legs.iter().zip(wanted) {
            assert_eq!(got.0, want.0);
            assert!((got.1 - want.1).abs() < 1e-9, "{got:?} not {want:?}");
        }
        let back = without(&project, &more, WaypointId(777));
        assert_eq!(back.waypoints, run.waypoints);
        for (got, want) in back.fittings.iter().zip(&run.fittings) {
            assert_eq!(got.leg, want.leg);
            assert!((got.station_mm - want.station_mm).abs() < 1e-9);
        }
        assert!(inserted(&project, &run, 0, waypoint).is_none());
        assert!(inserted(&project, &run, 3, waypoint).is_none());
        assert_eq!(without(&project, &run, WaypointId(31337)), run);
    }

    #[test]
    fn an_open_end_moves_freely_and_its_last_leg_takes_a_waypoint() {
        let (project, mut run) = sample();
        run.end = RunEnd::open(DVec3::new(0.0, 800.0, 0.0));
        let to = DVec3::new(5.0, 6.0, 7.0);
        assert_eq!(position(&project, &moved(&project, &run, Vertex::Open, to), Vertex::Open), Some(to));
        assert_eq!(position(&project, &run, Vertex::End), None);
        assert!(can_insert(&run, run.waypoints.len() + 1));
    }
}
