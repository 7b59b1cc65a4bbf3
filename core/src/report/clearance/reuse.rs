//! What an earlier report knows already: while one thing is dragged, the gaps between all others stay.

use super::ClearanceReport;
use crate::fab::Built;
use crate::fab::bar::built::BuiltBar;
use crate::model::{Bar, BarId, Item, Obstacle, Project, Run, RunEnd, RunId};
use crate::report::{Report, RunReport};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

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
    /// What the earlier report tells of each run, in its order.
    told: BTreeMap<RunId, Vec<&'a ClearanceReport>>,
}

impl<'a> Known<'a> {
    /// Looks for what is as it was.
    pub(super) fn new(
        project: &Project,
        built: &[Arc<Built>],
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
            return Self {
                before: None,
                runs: BTreeSet::new(),
                bars: BTreeSet::new(),
                told: BTreeMap::new(),
            };
        };
        let ports = |p: &Project, run: &Run| {
            let end = match run.end {
                RunEnd::Hardpoint { hardpoint, .. } => p.hardpoint(hardpoint).cloned(),
                RunEnd::Open { .. } => None,
            };
            (p.hardpoint(run.start).cloned(), end)
        };
        let old_runs: BTreeMap<RunId, &Run> = before.project.runs.iter().map(|r| (r.id, r)).collect();
        let old_reports: BTreeMap<RunId, &Arc<RunReport>> =
            before.report.runs.iter().map(|r| (r.id, r)).collect();
        let same = |(run, now): &(&Run, &Arc<Built>)| {
            let (Some(old), Some(then)) = (old_runs.get(&run.id), old_reports.get(&run.id)) else {
                return false;
            };
            let named = (&old.name, old.service, old.gap_mm.to_bits());
            named == (&run.name, run.service, run.gap_mm.to_bits())
                // marks follow the letters of the run, and a joint of the same size may give where another does not
                && (Arc::ptr_eq(&then.built, now)
                    || then.built.pieces == now.pieces
                        && then.built.solids == now.solids
                        && then.built.parts == now.parts)
                && ports(before.project, old) == ports(project, run)
        };
        let runs = project.runs.iter().zip(built).filter(same).map(|(run, _)| run.id).collect();
        let same_bar = |(bar, now): &(&Bar, &BuiltBar)| {
            let then = before.report.bars.iter().find(|b| b.id == bar.id);
            before.project.bar(bar.id) == Some(bar) && then.is_some_and(|b| b.built.solids == now.solids)
        };
        let bars = project.bars.iter().zip(bars).filter(same_bar).map(|(bar, _)| bar.id).collect();
        let mut told: BTreeMap<RunId, Vec<&ClearanceReport>> = BTreeMap::new();
        for entry in &before.report.clearance {
            told.entry(entry.run_id).or_default().push(entry);
        }
        Self { before: Some(before), runs, bars, told }
    }

    /// Whether a run is as it was.
    pub(super) fn has(&self, run: RunId) -> bool {
        self.runs.contains(&run)
    }

    /// Gaps of a run that is as it was to itself and to all other runs that are.
    pub(super) fn of_run(&self, run: RunId) -> Vec<ClearanceReport> {
        let other = |e: &ClearanceReport| matches!(e.other, Item::Run(other) if self.runs.contains(&other));
        self.told.get(&run).into_iter().flatten().filter(|e| other(e)).map(|e| (*e).clone()).collect()
    }

    fn entries(&self, run: RunId, other: Item) -> Vec<ClearanceReport> {
        let all = self.told.get(&run).into_iter().flatten();
        all.filter(|e| e.other == other).map(|e| (*e).clone()).collect()
    }

    /// Gaps of a run to an obstacle, where neither has changed.
    pub(super) fn obstacle(&self, run: RunId, obstacle: &Obstacle) -> Option<Vec<ClearanceReport>> {
        let same = self.runs.contains(&run) && self.before?.project.obstacle(obstacle.id) == Some(obstacle);
        same.then(|| self.entries(run, Item::Obstacle(obstacle.id)))
    }

    /// Gaps of a run to a bar, where neither has changed.
    pub(super) fn bar(&self, run: RunId, bar: BarId) -> Option<Vec<ClearanceReport>> {
        let same = self.runs.contains(&run) && self.bars.contains(&bar);
        same.then(|| self.entries(run, Item::Bar(bar)))
    }
}
