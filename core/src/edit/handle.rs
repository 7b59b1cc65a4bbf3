//! What can be dragged in the 3D view, where it may go, and the edit a drag makes.

use super::apply::Edit;
use super::new_item::bend_make;
use super::reshape::{inserted, moved, position, slide_axis};
use crate::fab::spot::{spot_frame, turn_at};
use crate::fab::trace;
use crate::geom::vector::{angle_between, unit};
use crate::model::{
    Bar, BarId, FittingId, HardpointId, MergeId, ObstacleId, Onto, PartId, Project, Run, RunId, Seat, Spot,
    Vertex, Waypoint, WaypointId,
};
use crate::seat::branch::{nearest_on_middle, slid};
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
    /// A small part on a leg.
    Part(RunId, PartId),
    /// A point of a bar: an end, or a corner between, in order from its first end.
    BarPoint(BarId, usize),
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
    let parts = run.parts.iter().map(|p| Handle::Part(run.id, p.id));
    vertices.chain(fittings).chain(parts).chain(legs).collect()
}

/// Handles of a bar: its ends and corners, in order.
pub fn handles_of_bar(bar: &Bar) -> Vec<Handle> {
    (0..bar.points_mm().len()).map(|i| Handle::BarPoint(bar.id, i)).collect()
}

/// Where the handle is. `None` where what it belongs to is gone.
pub fn place(project: &Project, handle: Handle) -> Option<DVec3> {
    match handle {
        Handle::Vertex(run, vertex) => position(project, project.run(run)?, vertex),
        Handle::LegMiddle(run, leg) => {
            let run = project.run(run)?;
            let points = super::reshape::entered_points(project, run)?;
            let (from, to) = (*points.get(leg)?, *points.get(leg + 1)?);
            // in the middle, unless a joint or a part sits there
            let joints = run.fittings.iter().filter(|f| f.leg == leg).map(|f| Handle::Fitting(run.id, f.id));
            let parts = run.parts.iter().filter(|p| p.leg == leg).map(|p| Handle::Part(run.id, p.id));
            let joints: Vec<DVec3> = joints.chain(parts).filter_map(|h| place(project, h)).collect();
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
        Handle::Part(run, id) => {
            let run = project.run(run)?;
            let part = run.parts.iter().find(|p| p.id == id)?;
            let route = trace(project, run).ok()?;
            let spot = match part.turn_deg {
                Some(turn_deg) => Spot::Bend { leg: part.leg, turn_deg },
                None => Spot::Leg { leg: part.leg, station_mm: part.station_mm },
            };
            Some(spot_frame(&route, spot)?.origin)
        }
        Handle::BarPoint(id, point) => project.bar(id)?.points_mm().get(point).copied(),
    }
}

/// Which end of a bar a point is, counted from its first end; `None` for a corner.
fn bar_end(bar: &Bar, point: usize) -> Option<usize> {
    match point {
        0 => Some(0),
        last if last == bar.corners.len() + 1 => Some(1),
        _ => None,
    }
}

/// The line that an end of a bar slides along: the axis of the tube it is coped onto.
fn tube_line(project: &Project, bar: &Bar, point: usize) -> Option<(DVec3, DVec3)> {
    let end = &bar.ends[bar_end(bar, point)?];
    match end.make.onto()? {
        Onto::Tube { through_mm, along, .. } => Some((through_mm, unit(along)?)),
        Onto::Bar(other) => {
            let other = project.bar(other).filter(|other| other.corners.is_empty())?;
            let [from, to] = other.ends.map(|e| e.position_mm);
            Some((from, unit(to - from)?))
        }
        Onto::Run(_) => None,
    }
}

/// `target`, or for an end that is coped onto a run the place on the run's middle that is nearest to it.
fn on_run(project: &Project, bar: &Bar, point: usize, target: DVec3) -> DVec3 {
    let onto = bar_end(bar, point).and_then(|end| bar.ends[end].make.onto());
    let Some(Onto::Run(run)) = onto else { return target };
    let route = project.run(run).and_then(|run| trace(project, run).ok());
    route.and_then(|route| nearest_on_middle(&route, target)).unwrap_or(target)
}

/// Where stations of a leg (as entered) count from, and the leg's direction.
fn leg_line(project: &Project, run: &Run, leg: usize) -> Option<(DVec3, DVec3)> {
    let route = trace(project, run).ok()?;
    let frame = route.on_leg(leg, 0.0)?;
    Some((frame.origin, frame.travel))
}

/// Station of a leg (as entered) that is nearest to a point, mm.
fn station_at(project: &Project, run: &Run, leg: usize, target: DVec3) -> Option<f64> {
    let (origin, axis) = leg_line(project, run, leg)?;
    Some((target - origin).dot(axis))
}

/// Where the handle may go.
pub fn freedom(project: &Project, handle: Handle) -> Freedom {
    let axis = match handle {
        Handle::Vertex(run, vertex) => project.run(run).and_then(|r| slide_axis(project, r, vertex)),
        Handle::Fitting(run, id) => project.run(run).and_then(|r| {
            let fitting = r.fittings.iter().find(|f| f.id == id)?;
            leg_line(project, r, fitting.leg)
        }),
        Handle::Part(run, id) => project.run(run).and_then(|r| {
            let part = r.parts.iter().find(|p| p.id == id)?;
            if part.turn_deg.is_some() { None } else { leg_line(project, r, part.leg) }
        }),
        Handle::BarPoint(id, point) => project.bar(id).and_then(|bar| tube_line(project, bar, point)),
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
            let station_mm = station_at(project, &run, leg, target)?;
            run.fittings.iter_mut().find(|f| f.id == id)?.station_mm = station_mm;
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
        Handle::Part(run, id) => {
            let mut run = project.run(run)?.clone();
            let (leg, turn_deg) = run.parts.iter().find(|p| p.id == id).map(|p| (p.leg, p.turn_deg))?;
            if turn_deg.is_some() {
                let turn_deg = turn_at(&trace(project, &run).ok()?, leg, target)?;
                run.parts.iter_mut().find(|p| p.id == id)?.turn_deg = Some(turn_deg);
                return Some(Edit::PutRun(run));
            }
            let station_mm = station_at(project, &run, leg, target)?;
            run.parts.iter_mut().find(|p| p.id == id)?.station_mm = station_mm;
            Some(Edit::PutRun(run))
        }
        Handle::BarPoint(id, point) => {
            let mut bar = project.bar(id)?.clone();
            let target = match tube_line(project, &bar, point) {
                Some((origin, axis)) => origin + axis * (target - origin).dot(axis),
                None => on_run(project, &bar, point, target),
            };
            match bar_end(&bar, point) {
                Some(end) => bar.ends[end].position_mm = target,
                None => bar.corners.get_mut(point.checked_sub(1)?)?.position_mm = target,
            }
            Some(Edit::PutBar(Box::new(bar)))
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
        Handle::Part(..) => "slide part".to_owned(),
        Handle::BarPoint(id, point) => {
            let is_end = project.bar(id).is_some_and(|bar| bar_end(bar, point).is_some());
            if is_end { "move end of bar".to_owned() } else { format!("move corner {point} of bar") }
        }
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
        let kind = crate::edit::new_item::part_kinds().swap_remove(0);
        let part = crate::edit::new_item::part(&mut project, &run, kind);
        project.runs[0].parts.push(part);
        let run = project.run(run.id).unwrap().clone();
        let mut all = handles_of(&run);
        assert_eq!(all.len(), 3 + 2 + 1 + 1);
        all.push(Handle::Hardpoint(project.hardpoints[1].id));
        let mut bar = crate::edit::new_item::bar(&mut project, DVec3::Z * 500.0);
        let position_mm = DVec3::new(100.0, 50.0, 500.0);
        bar.corners.push(crate::model::BarCorner { position_mm, clr_mm: 40.0 });
        let (through_mm, along) = (bar.ends[1].position_mm, DVec3::new(0.0, 3.0, 4.0));
        let onto = Onto::Tube { through_mm, along, od_mm: 40.0 };
        bar.ends[1].make = crate::model::BarEndMake::Cope { onto, pad: None };
        let of_bar = handles_of_bar(&bar);
        assert_eq!(of_bar.len(), 3);
        all.extend(of_bar);
        project.bars.push(bar);
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
    fn an_end_that_sits_on_a_run_stays_on_its_middle() {
        let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
        let mut bar = crate::edit::new_item::bar(&mut project, DVec3::X * 200.0);
        bar.ends[1].position_mm = DVec3::new(200.0, 0.0, 300.0);
        bar.ends[0].make = crate::model::BarEndMake::Cope { onto: Onto::Run(run.id), pad: None };
        let id = bar.id;
        project.bars.push(bar);
        let end = |target: DVec3| {
            let edit = drag_edit(&project, Handle::BarPoint(id, 0), target).unwrap();
            apply(&project, &edit).unwrap().bar(id).unwrap().ends[0].position_mm
        };
        assert!(end(DVec3::new(310.0, 20.0, 40.0)).distance(DVec3::X * 310.0) < 1e-9);
        // round the bend of 95.25 it is on the arc
        let middle = DVec3::new(600.0 - 95.25, 95.25, 0.0);
        let on = end(middle + DVec3::new(80.0, -80.0, 10.0));
        assert!((on.distance(middle) - 95.25).abs() < 1e-9, "{on}");
    }

    #[test]
    fn handles_of_what_is_gone_do_nothing() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let gone = Handle::Vertex(RunId(9999), Vertex::Start);
        assert_eq!((place(&project, gone), drag_edit(&project, gone, DVec3::ZERO)), (None, None));
    }
}
