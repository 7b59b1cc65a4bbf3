//! A copy of a run beside it.

use super::renew::renewed;
use super::{Again, AgainError};
use crate::edit::Edit;
use crate::edit::new_item::{free_name, round_mm};
use crate::edit::reshape::position;
use crate::model::{Hardpoint, HardpointId, Item, Project, Run, RunEnd, RunId};
use glam::DVec3;

/// Least way that a copy is set beside what it is a copy of, mm, so that both can be taken hold of.
const BESIDE_MM: f64 = 100.0;

/// How far a copy is set aside: along the axis in which the run is thinnest, two diameters clear of it, in a round number.
fn aside(project: &Project, run: &Run) -> DVec3 {
    let points: Vec<DVec3> = run.vertices().into_iter().filter_map(|v| position(project, run, v)).collect();
    let start = project.hardpoint(run.start).map(|h| h.position_mm);
    let all = || points.iter().copied().chain(start);
    let low = all().reduce(DVec3::min).unwrap_or_default();
    let high = all().reduce(DVec3::max).unwrap_or_default();
    let size = high - low;
    // left first: copies stand side by side in the view from above
    let (axis, thin_mm) = [(DVec3::Y, size.y), (DVec3::X, size.x), (DVec3::Z, size.z)]
        .into_iter()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((DVec3::Y, 0.0));
    let od_mm = project.tube(run.tube).map_or(0.0, |t| t.od_mm);
    let wanted_mm = (thin_mm + 2.0 * od_mm).max(BESIDE_MM);
    axis * round_mm(wanted_mm, project.settings.units)
}

/// A copy of `run` beside it, between copies of its hardpoints that stand free: of what it sits on there is only one.
///
/// # Errors
/// Where the run or one of its hardpoints is not there.
pub fn duplicate(project: &Project, run: RunId) -> Result<Again, AgainError> {
    let old = project.run(run).ok_or(AgainError::Gone)?;
    let mut scratch = project.clone();
    let aside = aside(project, old);
    let mut set_free = Vec::new();
    let mut edits = Vec::new();
    let mut copy_port = |scratch: &mut Project, id: HardpointId| -> Result<HardpointId, AgainError> {
        let port = project.hardpoint(id).ok_or(AgainError::Gone)?;
        let name = free_name(&port.name, &scratch.hardpoints.iter().map(|h| h.name.as_str()));
        if port.seat.is_some() {
            set_free.push(name.clone());
        }
        let copy = Hardpoint {
            id: HardpointId(scratch.fresh_id()),
            name,
            position_mm: port.position_mm + aside,
            seat: None,
            hidden: false,
            ..port.clone()
        };
        let new = copy.id;
        scratch.hardpoints.push(copy.clone());
        edits.push(Edit::PutHardpoint(copy));
        Ok(new)
    };
    let start = copy_port(&mut scratch, old.start)?;
    let end = match old.end {
        RunEnd::Hardpoint { hardpoint, corner } => {
            RunEnd::Hardpoint { hardpoint: copy_port(&mut scratch, hardpoint)?, corner }
        }
        RunEnd::Open { position_mm, slash, blast } => {
            RunEnd::Open { position_mm: position_mm + aside, slash, blast }
        }
    };
    let mut copy = Run { start, end, hidden: false, ..renewed(&mut scratch, old, &old.name) };
    for waypoint in &mut copy.waypoints {
        waypoint.position_mm += aside;
    }
    let items = vec![Item::Run(copy.id)];
    edits.push(Edit::PutRun(copy));
    Ok(Again { edit: Edit::All(edits), items, set_free })
}
