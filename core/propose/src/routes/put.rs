//! From a line to a run: its corners, waypoints and how its bends are made; what sits on its legs goes with them.

use super::line::Line;
use glam::DVec3;
use pipeloft_core::fab::trace;
use pipeloft_core::model::{BendMake, Corner, Project, Run, RunEnd, Waypoint, WaypointId};

/// Number of legs of a run as entered.
pub(super) fn entered_legs(run: &Run) -> usize {
    match run.end {
        RunEnd::Hardpoint { .. } => run.waypoints.len() + 3,
        RunEnd::Open { .. } => run.waypoints.len() + 2,
    }
}

/// The run laid along a line with a make for each of its bends; `None` where there are more or fewer makes.
pub(super) fn put(project: &Project, run: &Run, line: &Line, makes: &[BendMake]) -> Option<Run> {
    let bends = line.bends();
    if makes.len() != bends {
        return None;
    }
    let vertices = &line.points[1..=bends];
    let (from, to) = (line.points[0], line.points[bends + 1]);
    let spare = run.start_corner.make;
    let mut out = run.clone();
    let first = vertices.first().copied().unwrap_or_else(|| from.lerp(to, 1.0 / 3.0));
    out.start_corner =
        Corner { reach_mm: from.distance(first), make: makes.first().copied().unwrap_or(spare) };
    let between = match &mut out.end {
        RunEnd::Hardpoint { corner, .. } => {
            // with one bend or none the corner of the end lies on its straight and turns nothing
            let (last, make) = match bends {
                0 => (from.lerp(to, 2.0 / 3.0), spare),
                1 => (first.midpoint(to), makes[0]),
                _ => (vertices[bends - 1], makes[bends - 1]),
            };
            *corner = Corner { reach_mm: last.distance(to), make };
            1..bends.saturating_sub(1).max(1)
        }
        RunEnd::Open { .. } => 1..bends.max(1),
    };
    out.waypoints =
        waypoints(project, run, &vertices[between.start.min(bends)..between.end.min(bends)], makes);
    carry(project, run, &mut out, line);
    Some(out)
}

/// Waypoints at the given places; ids stay where there were some, and go on after all others.
fn waypoints(project: &Project, run: &Run, places: &[DVec3], makes: &[BendMake]) -> Vec<Waypoint> {
    let mut fresh = project.next_id;
    let mut id = |i: usize| {
        run.waypoints.get(i).map_or_else(
            || {
                fresh += 1;
                WaypointId(fresh - 1)
            },
            |w| w.id,
        )
    };
    let each = places.iter().enumerate();
    each.map(|(i, at)| Waypoint { id: id(i), position_mm: *at, make: makes[i + 1] }).collect()
}

/// Takes joints, tapers and small parts along: those on the first and on the last leg stay as far from their ends, others
/// go to the middle of the leg that lies about as far along.
fn carry(project: &Project, old: &Run, new: &mut Run, line: &Line) {
    let last = line.legs.len() - 1;
    let before = entered_legs(old) - 1;
    let old_last_mm = last_straight_mm(project, old);
    let place = |leg: usize, station_mm: f64| -> (usize, f64) {
        if leg == 0 {
            (0, station_mm)
        } else if leg >= before {
            (last, line.straight_mm(last) - old_last_mm.map_or(0.0, |mm| mm - station_mm))
        } else {
            let leg = ((leg as f64 / before as f64 * last as f64).round() as usize).min(last);
            (leg, line.straight_mm(leg).max(0.0) / 2.0)
        }
    };
    for f in &mut new.fittings {
        (f.leg, f.station_mm) = place(f.leg, f.station_mm);
    }
    for t in &mut new.tapers {
        (t.leg, t.station_mm) = place(t.leg, t.station_mm);
    }
    for p in &mut new.parts {
        (p.leg, p.station_mm) = place(p.leg, p.station_mm);
    }
}

/// Length from where stations on the last leg as entered count from to the end, mm; none where the run has no line.
fn last_straight_mm(project: &Project, run: &Run) -> Option<f64> {
    let route = trace(project, run).ok()?;
    let place = route.places.last()?;
    Some(route.legs.get(place.leg)?.length_mm - place.offset_mm)
}

/// A part reaches as far along the leg as this to either side of its middle, mm.
const PART_MM: f64 = 30.0;

/// How far from the start and from the end of a run the things on its first and on its last leg reach, mm.
pub(super) fn held_mm(project: &Project, run: &Run) -> (f64, f64) {
    let joint_mm = |id| project.joint(id).map_or(0.0, |j| j.make_up_mm.max(j.body_width_mm) / 2.0);
    let fittings = run.fittings.iter().map(|f| (f.leg, f.station_mm, joint_mm(f.joint)));
    let tapers = run.tapers.iter().map(|t| (t.leg, t.station_mm, t.length_mm / 2.0));
    let parts = run.parts.iter().map(|p| (p.leg, p.station_mm, PART_MM));
    let last = entered_legs(run) - 1;
    let last_mm = last_straight_mm(project, run);
    let mut out = (0.0_f64, 0.0_f64);
    for (leg, station_mm, half_mm) in fittings.chain(tapers).chain(parts) {
        if leg == 0 {
            out.0 = out.0.max(station_mm + half_mm);
        } else if leg >= last {
            out.1 = out.1.max(last_mm.map_or(0.0, |mm| mm - station_mm + half_mm));
        }
    }
    out
}
