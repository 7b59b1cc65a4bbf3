//! What can be dragged in the 3D view, where it may go, and the edit a drag makes.

use super::apply::Edit;
use super::new_item::bend_make;
use super::reshape::{inserted, moved, position, slide_axis};
use super::seat::branch::slid;
use crate::fab::trace;
use crate::geom::vector::{angle_between, unit};
use crate::model::{
    FittingId, HardpointId, MergeId, ObstacleId, Project, Run, RunId, Seat, Vertex, Waypoint, WaypointId,
};
use glam::DVec3;

/// Something that can be dragged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Handle {
    /// A vertex of a run.
    Vertex(RunId, Vertex),
    /// The middle of a leg (as entered, from 0), or beside a joint that sits there: dragging it puts in a new waypoint.
    LegMiddle(RunId, usize),
    /// A joint along a leg.
    Fitting(RunId, FittingId),
    /// A hardpoint.
    Hardpoint(HardpointId),
    /// An obstacle.
    Obstacle(ObstacleId),
    /// A merge, with all that comes to it.
    Merge(MergeId),
}

/// Where a handle may go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Freedom {
    /// Along a line through a point, unit direction.
    Axis(DVec3, DVec3),
    /// Anywhere.
    Free,
}

/// Handles of a run: vertices, then joints, then the legs that take a waypoint; where they overlap, the first wins.
pub fn handles_of(run: &Run) -> Vec<Handle> {
    let vertices = run.vertices().into_iter().map(|v| Handle::Vertex(run.id, v));
    let legs = (1..=run.waypoints.len() + 1).map(|leg| Handle::LegMiddle(run.id, leg));
    let fittings = run.fittings.iter().map(|f| Handle::Fitting(run.id, f.id));
    vertices.chain(fittings).chain(legs).collect()
}

/// Where the handle is. `None` where what it belongs to is gone.
pub fn place(project: &Project, handle: Handle) -> Option<DVec3> {
    match handle {
        Handle::Vertex(run, vertex) => position(project, project.run(run)?, vertex),
        Handle::LegMiddle(run, leg) => {
            let run = project.run(run)?;
            let points = super::reshape::entered_points(project, run)?;
            let (from, to) = (*points.get(leg)?, *points.get(leg + 1)?);
            // in the middle, unless a joint sits there
            let joints: Vec<DVec3> = run
                .fittings
                .iter()
                .filter(|f| f.leg == leg)
                .filter_map(|f| place(project, Handle::Fitting(run.id, f.id)))
                .collect();
            let room = from.distance(to) * 0.15;
            let free = |share: &f64| joints.iter().all(|j| j.distance(from.lerp(to, *share)) > room);
            let share = [0.5, 0.25, 0.75].into_iter().find(free).unwrap_or(0.5);
            Some(from.lerp(to, share))
        }
        Handle::Fitting(run, id) => {
            let run = project.run(run)?;
            let fitting = run.fittings.iter().find(|f| f.id == id)?;
            Some(trace(project, run).ok()?.on_leg(fitting.leg, fitting.station_mm)?.origin)
        }
        Handle::Hardpoint(id) => project.hardpoint(id).map(|h| h.position_mm),
        Handle::Obstacle(id) => project.obstacle(id).map(|o| o.pose.position_mm),
        Handle::Merge(id) => project.merge(id).map(|m| m.position_mm),
    }
}

/// Where stations of a leg (as entered) count from, and the leg's direction.
fn fitting_line(project: &Project, run: &Run, leg: usize) -> Option<(DVec3, DVec3)> {
    let route = trace(project, run).ok()?;
    let frame = route.on_leg(leg, 0.0)?;
    Some((frame.origin, frame.travel))
}

/// Where the handle may go.
pub fn freedom(project: &Project, handle: Handle) -> Freedom {
    let axis = match handle {
        Handle::Vertex(run, vertex) => project.run(run).and_then(|r| slide_axis(project, r, vertex)),
        Handle::Fitting(run, id) => project.run(run).and_then(|r| {
            let fitting = r.fittings.iter().find(|f| f.id == id)?;
            fitting_line(project, r, fitting.leg)
        }),
        Handle::LegMiddle(..) | Handle::Hardpoint(_) | Handle::Obstacle(_) | Handle::Merge(_) => None,
    };
    axis.map_or(Freedom::Free, |(origin, axis)| Freedom::Axis(origin, axis))
}

/// The edit that takes the handle to `target` (or as near as it may go). `None` where it cannot move.
///
/// For a leg's middle, the waypoint put in gets the project's next id and a make that suits its first angle.
pub fn drag_edit(project: &Project, handle: Handle, target: DVec3) -> Option<Edit> {
    match handle {
        Handle::Vertex(run, vertex) => Some(Edit::PutRun(moved(project, project.run(run)?, vertex, target))),
        Handle::LegMiddle(run, leg) => {
            let run = project.run(run)?;
            let points = super::reshape::entered_points(project, run)?;
            let (before, after) = (*points.get(leg)?, *points.get(leg + 1)?);
            let angle = match (unit(target - before), unit(after - target)) {
                (Some(a), Some(b)) => angle_between(a, b),
                _ => 0.0,
            };
            let make = bend_make(project, project.tube(run.tube)?, angle);
            let waypoint = Waypoint { id: WaypointId(project.next_id), position_mm: target, make };
            inserted(project, run, leg, waypoint).map(Edit::PutRun)
        }
        Handle::Fitting(run, id) => {
            let mut run = project.run(run)?.clone();
            let leg = run.fittings.iter().find(|f| f.id == id)?.leg;
            let (origin, axis) = fitting_line(project, &run, leg)?;
            let fitting = run.fittings.iter_mut().find(|f| f.id == id)?;
            fitting.station_mm = (target - origin).dot(axis);
            Some(Edit::PutRun(run))
        }
        Handle::Hardpoint(id) => {
            let mut hardpoint = project.hardpoint(id)?.clone();
            match hardpoint.seat {
                // one on a run slides along it and round it
                Some(seat @ Seat::Run { .. }) => hardpoint.seat = Some(slid(project, seat, target)?),
                // those of a merge move all of it
                Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) => {
                    let merge = project.merge(merge)?;
                    let position_mm = merge.position_mm + target - hardpoint.position_mm;
                    return Some(Edit::PutMerge(crate::model::Merge { position_mm, ..merge.clone() }));
                }
                None => hardpoint.position_mm = target,
            }
            Some(Edit::PutHardpoint(hardpoint))
        }
        Handle::Merge(id) => {
            let merge = project.merge(id)?;
            Some(Edit::PutMerge(crate::model::Merge { position_mm: target, ..merge.clone() }))
        }
        Handle::Obstacle(id) => {
            let mut obstacle = project.obstacle(id)?.clone();
            obstacle.pose.position_mm = target;
            Some(Edit::PutObstacle(obstacle))
        }
    }
}

/// What a drag of this handle is called in the undo menu.
pub fn drag_label(project: &Project, handle: Handle) -> String {
    match handle {
        Handle::Vertex(run, vertex) => {
            let number = project
                .run(run)
                .and_then(|r| r.vertices().iter().position(|v| *v == vertex))
                .map_or(0, |i| i + 1);
            format!("move bend {number}")
        }
        Handle::LegMiddle(..) => "add waypoint".to_owned(),
        Handle::Fitting(..) => "slide joint".to_owned(),
        Handle::Hardpoint(id) => match project.hardpoint(id).and_then(|h| h.seat) {
            Some(Seat::Run { .. }) => "slide branch".to_owned(),
            Some(Seat::Arm { .. } | Seat::Outlet { .. }) => "move merge".to_owned(),
            None => "move hardpoint".to_owned(),
        },
        Handle::Obstacle(_) => "move obstacle".to_owned(),
        Handle::Merge(_) => "move merge".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::apply::apply;
    use super::*;
    use crate::testing::run_through;

    #[test]
    fn every_handle_goes_where_it_is_dragged_or_as_near_as_it_may() {
        let (mut project, run) = run_through(&[
            DVec3::ZERO,
            DVec3::X * 300.0,
            DVec3::new(520.0, 300.0, 0.0),
            DVec3::new(900.0, 300.0, 0.0),
            DVec3::new(1300.0, 300.0, 0.0),
        ]);
        project.runs[0].fittings.push(crate::model::Fitting {
            id: FittingId(800),
            joint: project.joints[0].id,
            leg: 0,
            station_mm: 100.0,
            lobe_clock_deg: 0.0,
        });
        let run = project.run(run.id).unwrap().clone();
        let mut all = handles_of(&run);
        assert_eq!(all.len(), 3 + 2 + 1);
        all.push(Handle::Hardpoint(project.hardpoints[1].id));
        for handle in all {
            let here = place(&project, handle).unwrap();
            let target = here + DVec3::new(12.0, 7.0, -5.0);
            let next = apply(&project, &drag_edit(&project, handle, target).unwrap()).unwrap();
            let handle = match handle {
                Handle::LegMiddle(run, _) => Handle::Vertex(run, Vertex::Way(WaypointId(project.next_id))),
                other => other,
            };
            let there = place(&next, handle).unwrap();
            match freedom(&project, handle) {
                Freedom::Free => assert!(there.distance(target) < 1e-9, "{handle:?}"),
                Freedom::Axis(_, axis) => {
                    let wanted = here + axis * (target - here).dot(axis);
                    assert!(there.distance(wanted) < 1e-9, "{handle:?}: {there} not {wanted}");
                }
            }
        }
    }

    #[test]
    fn handles_of_what_is_gone_do_nothing() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let gone = Handle::Vertex(RunId(9999), Vertex::Start);
        assert_eq!((place(&project, gone), drag_edit(&project, gone, DVec3::ZERO)), (None, None));
    }
}
