//! Ends of runs that sit on other pipes: branches and merges. They need those pipes built first.

mod branch;
pub mod merged;
mod near;
mod words;

use super::build::{Built, build};
use super::{hole, part};
use crate::finding::{Problem, Severity};
use crate::model::{HardpointId, Project, Run, RunEnd, Seat};

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
pub fn build_all(project: &Project) -> Vec<Built> {
    let mut all: Vec<Built> = project.runs.iter().map(|run| build(project, run)).collect();
    let ends: Vec<SeatedEnd> =
        project.runs.iter().enumerate().flat_map(|(i, run)| seated(project, i, run)).collect();
    let seats = branch::fit(project, &ends, &mut all);
    merged::fit(project, &ends, &mut all);
    for (run, built) in project.runs.iter().zip(&mut all) {
        part::place(project, run, built);
    }
    // only now is it known which runs can be built
    branch::cut_holes(project, seats, &mut all);
    for (run, built) in project.runs.iter().zip(&mut all) {
        if stopped(built) {
            built.clear();
        }
        hole::mark_in_order(&mut built.holes, &run.letters);
    }
    all
}

/// Hardpoints that no run comes to and that sit where there is nothing to sit on, with what is wrong; `all` are the runs
/// worked out. Those that a run comes to are told on it.
pub fn misplaced(project: &Project, all: &[Built]) -> Vec<(HardpointId, Problem)> {
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
mod on_wall_tests;
#[cfg(test)]
mod tests;
