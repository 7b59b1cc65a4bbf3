//! The reports of all runs, those that come out as before taken over.

use super::open_end::OpenEndReport;
use super::{RunReport, stock, support};
use crate::fab::bar::built::BuiltBar;
use crate::fab::done::Done;
use crate::fab::ends::misplaced;
use crate::fab::shelf::Shelf;
use crate::fab::{Built, clock_problem};
use crate::finding::{Finding, MergeFault, MergeProblem, Problem, RouteProblem};
use crate::model::{HardpointId, Item, Project, Run, RunEnd, RunId};
use std::sync::Arc;

/// What was said while runs were built.
pub(super) fn build_findings(project: &Project, built: &[Arc<Built>]) -> Vec<Finding> {
    let units = project.settings.units;
    let mut findings = Vec::new();
    for (run, built) in project.runs.iter().zip(built) {
        let of_run = |problem: Problem| {
            let finding = problem.finding(units);
            Finding { run: Some(run.name.clone()), item: Some(Item::Run(run.id)), ..finding }
        };
        for (problem, spot, vertex) in &built.problems {
            if let Some(merge) = stops_all(problem) {
                let said = |f: &&mut Finding| f.problem == *problem;
                if let Some(finding) = findings.iter_mut().find(said) {
                    // a run may come to it with both its ends
                    if !finding.others.contains(&Item::Run(run.id)) {
                        finding.runs.push(run.name.clone());
                        finding.others.push(Item::Run(run.id));
                    }
                } else {
                    let finding = problem.clone().finding(units);
                    let (runs, others) = (vec![run.name.clone()], vec![Item::Run(run.id)]);
                    findings.push(Finding { item: Some(merge), spot: *spot, runs, others, ..finding });
                }
            } else {
                findings.push(Finding { spot: *spot, vertex: *vertex, ..of_run(problem.clone()) });
            }
        }
        if let Some(bodies) = stock::rigid_between(project, run)
            && built.is_buildable()
        {
            findings.push(of_run(Problem::Route(RouteProblem::NoFlexible { bodies })));
        }
    }
    for (port, problem) in misplaced(project, built) {
        let spot = project.hardpoint(port).map(|h| h.position_mm);
        findings.push(Finding { item: Some(Item::Hardpoint(port)), spot, ..problem.finding(units) });
    }
    findings.extend(clock_findings(project));
    findings
}

/// The merge that a problem of a run is of, where it is one of all runs that come there.
fn stops_all(problem: &Problem) -> Option<Item> {
    match problem {
        Problem::Merge(MergeProblem { id, fault: MergeFault::NotMerged { .. }, .. }) => {
            Some(Item::Merge(*id))
        }
        _ => None,
    }
}

/// Hardpoints whose 12 o'clock says nothing, told with the run that starts there. Where runs only end, no clock counts
/// from it.
fn clock_findings(project: &Project) -> Vec<Finding> {
    let ends_at = |run: &Run, id: HardpointId| matches!(run.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == id);
    let told = project.hardpoints.iter().filter_map(|port| {
        let starts = project.runs.iter().find(|run| run.start == port.id);
        if starts.is_none() && project.runs.iter().any(|run| ends_at(run, port.id)) {
            return None;
        }
        let finding = Problem::Route(clock_problem(port)?).finding(project.settings.units);
        Some(Finding {
            run: starts.map(|run| run.name.clone()),
            item: Some(Item::Hardpoint(port.id)),
            also: starts.map(|run| Item::Run(run.id)),
            spot: Some(port.position_mm),
            ..finding
        })
    });
    told.collect()
}

/// The reports of all runs; `known` has those of runs that come out as before, but for what is ready on the shelf, what
/// holds them, and what their open ends blow at.
pub(super) fn run_reports<'a>(
    project: &Project,
    (built, open_ends): (Vec<Arc<Built>>, Vec<Option<OpenEndReport>>),
    (bars, done): (&[BuiltBar], &Done<'_>),
    known: &dyn Fn(RunId) -> Option<&'a Arc<RunReport>>,
) -> Vec<Arc<RunReport>> {
    let mut shelf = Shelf::new(project);
    let one = |((run, built), open_end): ((&Run, Arc<Built>), Option<OpenEndReport>)| {
        let ready = shelf.take(project, &built.pieces, &done.still_drawn(&built.pieces));
        let support = support::support(project, run, &built, bars);
        match known(run.id).filter(|old| old.ready == ready) {
            Some(old) if old.support == support && old.open_end == open_end => Arc::clone(old),
            Some(old) => Arc::new(RunReport { support, open_end, ..(**old).clone() }),
            None => {
                let new = RunReport::new(project, run, built, (&ready, done));
                Arc::new(RunReport { support, open_end, ..new })
            }
        }
    };
    project.runs.iter().zip(built).zip(open_ends).map(one).collect()
}
