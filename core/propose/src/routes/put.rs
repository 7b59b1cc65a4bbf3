//! From a line to a run: its corners, waypoints and how its bends are made; what sits on its legs goes with them.

use super::line::Line;
use glam::DVec3;
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
    carry(run, &mut out, line);
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
fn carry(old: &Run, new: &mut Run, line: &Line) {
    let (before, after) = (entered_legs(old), entered_legs(new));
    let straight_mm = |leg: usize| {
        let leg = leg.min(line.legs.len() - 1);
        line.straight_mm(leg)
    };
    let place = |leg: usize, station_mm: f64| -> (usize, f64) {
        if leg == 0 || before == after {
            (leg, station_mm)
        } else {
            let share = leg as f64 / (before - 1) as f64;
            let leg = ((share * (after - 1) as f64).round() as usize).clamp(1, after - 1);
            (leg, straight_mm(leg).max(0.0) / 2.0)
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
