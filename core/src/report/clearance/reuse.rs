//! What an earlier report knows already: while one thing is dragged, the gaps between all others stay.

use super::ClearanceReport;
use crate::fab::Built;
use crate::fab::bar::built::BuiltBar;
use crate::model::{Bar, BarId, Item, Obstacle, Project, RunEnd, RunId};
use crate::report::Report;
use std::collections::BTreeSet;

/// An earlier report and the project it is of. The scans have to be the same.
#[derive(Debug, Clone, Copy)]
pub(in crate::report) struct Before<'a> {
    /// The project.
    pub(in crate::report) project: &'a Project,
    /// Its report.
    pub(in crate::report) report: &'a Report,
}

/// Gaps that hold on.
pub(super) struct Known<'a> {
    before: Option<Before<'a>>,
    /// Runs that are as they were.
    runs: BTreeSet<RunId>,
    /// Bars that are as they were.
    bars: BTreeSet<BarId>,
}

impl<'a> Known<'a> {
    /// Looks for what is as it was.
    pub(super) fn new(
        project: &Project,
        built: &[Built],
        bars: &[BuiltBar],
        before: Option<Before<'a>>,
    ) -> Self {
        let same_stock = |b: &Before<'_>| {
            b.project.bodies == project.bodies
                && b.project.joints == project.joints
                && b.project.settings.hot_gap_mm.to_bits() == project.settings.hot_gap_mm.to_bits()
                && b.project.settings.units == project.settings.units
        };
        let Some(before) = before.filter(same_stock) else {
            return Self { before: None, runs: BTreeSet::new(), bars: BTreeSet::new() };
        };
        let ports = |p: &Project, run: &crate::model::Run| {
            let end = match run.end {
                RunEnd::Hardpoint { hardpoint, .. } => p.hardpoint(hardpoint).cloned(),
                RunEnd::Open { .. } => None,
            };
            (p.hardpoint(run.start).cloned(), end)
        };
        let same = |(run, now): &(&crate::model::Run, &Built)| {
            let (Some(old), Some(then)) = (before.project.run(run.id), before.report.run(run.id)) else {
                return false;
            };
            let named = (&old.name, old.service, old.gap_mm.to_bits());
            named == (&run.name, run.service, run.gap_mm.to_bits())
                // marks follow the letters of the run, and a joint of the same size may give where another does not
                && then.built.pieces == now.pieces
                && then.built.solids == now.solids
                && then.built.parts == now.parts
                && ports(before.project, old) == ports(project, run)
        };
        let runs = project.runs.iter().zip(built).filter(same).map(|(run, _)| run.id).collect();
        let same_bar = |(bar, now): &(&Bar, &BuiltBar)| {
            let then = before.report.bars.iter().find(|b| b.id == bar.id);
            before.project.bar(bar.id) == Some(bar) && then.is_some_and(|b| b.built.solids == now.solids)
        };
        let bars = project.bars.iter().zip(bars).filter(same_bar).map(|(bar, _)| bar.id).collect();
        Self { before: Some(before), runs, bars }
    }

    fn entries(&self, run: RunId, other: Item) -> Option<Vec<ClearanceReport>> {
        let all = &self.before?.report.clearance;
        Some(all.iter().filter(|c| c.run_id == run && c.other == other).cloned().collect())
    }

    /// Gaps of a run to an obstacle, where neither has changed.
    pub(super) fn obstacle(&self, run: RunId, obstacle: &Obstacle) -> Option<Vec<ClearanceReport>> {
        let same = self.runs.contains(&run) && self.before?.project.obstacle(obstacle.id) == Some(obstacle);
        if same { self.entries(run, Item::Obstacle(obstacle.id)) } else { None }
    }

    /// Gaps of a run to another, or to itself, where neither has changed.
    pub(super) fn pair(&self, run: RunId, other: RunId) -> Option<Vec<ClearanceReport>> {
        let same = self.runs.contains(&run) && self.runs.contains(&other);
        if same { self.entries(run, Item::Run(other)) } else { None }
    }

    /// Gaps of a run to a bar, where neither has changed.
    pub(super) fn bar(&self, run: RunId, bar: BarId) -> Option<Vec<ClearanceReport>> {
        let same = self.runs.contains(&run) && self.bars.contains(&bar);
        if same { self.entries(run, Item::Bar(bar)) } else { None }
    }
}
