//! Ends of runs that sit on other pipes: branches and merges. They need those pipes built first.

mod branch;
pub mod kept;
pub mod merged;
pub(super) mod near;

use super::build::{Built, build};
use super::foot::Foot;
use super::{hole, part};
use crate::finding::{Problem, Severity};
use crate::model::{HardpointId, Project, Run, RunEnd, RunId, Seat};
use std::sync::Arc;

/// An end of a run that sits on another pipe.
#[derive(Debug, Clone, Copy)]
struct SeatedEnd {
    /// Index of the run.
    run: usize,
    /// Whether it is the start of the run.
    at_start: bool,
    /// The hardpoint there.
    port: HardpointId,
    /// What it sits on.
    seat: Seat,
}

/// Works out all runs, in order.
///
/// First each by itself with square ends, then the ends that sit on other pipes are shaped to them.
pub fn build_all(project: &Project) -> Vec<Arc<Built>> {
    build_changed(project, &|_| None)
}

/// The same where `known` has runs that come out as before, with all that they are joined to: see [`kept::kept`].
pub fn build_changed(project: &Project, known: &dyn Fn(RunId) -> Option<Arc<Built>>) -> Vec<Arc<Built>> {
    let before: Vec<Option<Arc<Built>>> = project.runs.iter().map(|run| known(run.id)).collect();
    let changed = || project.runs.iter().zip(&before).enumerate().filter(|(_, (_, b))| b.is_none());
    let mut all: Vec<Built> = project.runs.iter().map(|_| Built::default()).collect();
    for (i, (run, _)) in changed() {
        all[i] = build(project, run);
    }
    let ends: Vec<SeatedEnd> = changed().flat_map(|(i, (run, _))| seated(project, i, run)).collect();
    let seats = branch::fit(project, &ends, &mut all);
    let sides = merged::fit(project, &ends, &mut all);
    for (i, (run, _)) in changed() {
        part::place(project, run, &mut all[i]);
    }
    for (i, (run, _)) in changed() {
        let feet =
            branch::feet_on(project, &seats, i, &all).map(|(name, foot)| (name.to_owned(), foot.clone()));
        let sides = merged::feet_on(&sides, i, &all).into_iter().map(|(name, foot)| (name.to_owned(), foot));
        let feet: Vec<(String, Foot)> = feet.chain(sides).collect();
        part::keep_apart(project, run, &mut all[i], &feet);
    }
    // only now is it known which runs can be built
    branch::cut_holes(project, seats, &mut all);
    merged::cut_holes(sides, &mut all);
    for (i, (run, _)) in changed() {
        if stopped(&all[i]) {
            all[i].clear();
        }
        hole::mark_in_order(&mut all[i].holes, &run.letters);
    }
    before.into_iter().zip(all).map(|(before, now)| before.unwrap_or_else(|| Arc::new(now))).collect()
}

/// Hardpoints that no run comes to and that sit where there is nothing to sit on, with what is wrong; `all` are the runs
/// worked out. Those that a run comes to are told on it.
pub fn misplaced(project: &Project, all: &[Arc<Built>]) -> Vec<(HardpointId, Problem)> {
    let comes = |run: &Run, id: HardpointId| {
        run.start == id || matches!(run.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == id)
    };
    let free = project.hardpoints.iter().filter(|h| !project.runs.iter().any(|run| comes(run, h.id)));
    free.filter_map(|port| Some((port.id, branch::misplaced(project, port, all)?))).collect()
}

fn stopped(built: &Built) -> bool {
    built.problems.iter().any(|(p, ..)| p.severity() == Severity::Stop)
}

/// The ends of a run that sit on other pipes.
fn seated(project: &Project, run: usize, of: &Run) -> Vec<SeatedEnd> {
    let end = match of.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    };
    let ends = [(true, Some(of.start)), (false, end)];
    let found = ends.into_iter().filter_map(|(at_start, port)| {
        let port = project.hardpoint(port?)?;
        Some(SeatedEnd { run, at_start, port: port.id, seat: port.seat? })
    });
    found.collect()
}

#[cfg(test)]
mod tests;
