//! Everything that is shown or printed, derived from a project by one pure function. Knows no file, no page and no view.
//!
//! The serialised form is the report file: field names are fixed, lengths mm, angles degrees. What screens need
//! beyond that (solids, ids) rides along unserialised.

mod bars;
mod branch;
mod buy;
mod caution;
mod clearance;
mod elbows;
mod forecast;
mod laid;
pub mod lobes;
mod margins;
mod marked;
mod merges;
mod names;
mod open_end;
mod paper;
mod parts;
mod piece;
mod run;
mod runs;
mod sawn;
mod stock;
mod support;
pub mod take_off;

pub use crate::fab::printed::steps;
pub use bars::{
    BarBendReport, BarEndReport, BarGapReport, BarReport, BarStickReport, SleeveReport, bar_can_be_made,
    bar_mark, bar_saw_words, bar_stock_name,
};
pub use branch::{HoleReport, SeatReport};
pub use buy::{BuyForm, BuyRow};
pub use caution::{Caution, cautions};
use clearance::Before;
pub use clearance::ClearanceReport;
pub use clearance::asked::{AskedGap, asked_gaps, own_near_mm};
pub use elbows::{ElbowPartReport, ElbowStockReport, ElbowUse};
pub use forecast::{ErrorReport, ForecastReport};
pub use laid::{CopeReport, FrameReport, LaidReport, ShapedEndReport};
pub use margins::{MOST_MARGIN_MM, Margin, margins};
pub use merges::{MergeArmReport, MergeReport, MergeSeamReport};
pub use names::{
    BarEndForm, BendForm, ElbowSource, ErrorForm, HoleForm, MergeForm, PartForm, PieceEnd, PieceForm,
    PieceSource, SeatForm, ends_name,
};
pub use open_end::{BlownReport, OpenEndReport, jet_of};
pub use paper::FitReport;
pub use parts::{PartHoleReport, PartReport, StubReport};
pub use piece::{ElbowReport, PieceReport, TaperReport, loose_piece};
pub use run::{
    BendReport, EndReport, LegReport, LraReport, MissReport, RunReport, StartReport, TubeReport, WeldReport,
};
pub use sawn::{records, stick_sawn};
pub use stock::{CutReport, StickReport, StockReport};
pub use support::{HeldReport, SupportReport};

pub use crate::fab::nest::Effort;

use crate::fab::done::Done;
use crate::fab::ends::build_changed;
use crate::fab::ends::kept::{Kept, kept};
use crate::finding::{Finding, Problem, ScanProblem, Severity};
use crate::model::{BarId, Item, PieceKey, Project, RunId};
use crate::space::scan::{ScanState, Scans, scans_of};
use crate::watch::{Stage, Unwatched, Watch};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Version of the report's form.
pub const REPORT_FORMAT: u32 = 1;

/// Sums over the whole project.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Totals {
    /// Runs that can be built.
    pub runs: usize,
    /// Pieces to cut, elbows included.
    pub pieces: usize,
    /// Welds.
    pub welds: usize,
    /// Weld length, mm.
    pub weld_length_mm: f64,
    /// Length of the welds of small parts, mm; not in `weld_length_mm`.
    pub parts_weld_mm: f64,
    /// Tube in the pieces cut from sticks, mm.
    pub tube_length_mm: f64,
    /// Mass of tube, elbows and tapers, kg.
    pub mass_kg: f64,
    /// Sticks to buy.
    pub sticks_to_buy: usize,
    /// Bars that can be made.
    pub bars: usize,
    /// Their mass without their ends, kg.
    pub bar_mass_kg: f64,
    /// Sticks of bar to buy.
    pub bar_sticks_to_buy: usize,
    /// What the sticks of tube to buy cost, where every price is known.
    pub price: Option<f64>,
}

/// The whole result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Version of the report's form.
    pub format: u32,
    /// Name of the project.
    pub project: String,
    /// Runs in order.
    pub runs: Vec<Arc<RunReport>>,
    /// Sticks, one entry for each size of tube that is cut.
    pub stock: Vec<StockReport>,
    /// Elbows, one entry for each kind that is used.
    pub elbows: Vec<ElbowStockReport>,
    /// Merges.
    pub merges: Vec<MergeReport>,
    /// Everything to buy that is not tube.
    pub buy: Vec<BuyRow>,
    /// Gaps, of each run the one first that leaves least in every position.
    pub clearance: Vec<ClearanceReport>,
    /// Bars in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bars: Vec<BarReport>,
    /// Sticks that bars are sawn from.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bar_stock: Vec<BarStickReport>,
    /// Gaps of bars to obstacles of bodies that they are not fixed to, and to each other, each pair once.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bar_gaps: Vec<BarGapReport>,
    /// What is wrong or worth knowing, worst first.
    pub findings: Vec<Finding>,
    /// Sums.
    pub totals: Totals,
}

impl Report {
    /// Works everything out. Scans count as not read.
    pub fn new(project: &Project) -> Self {
        Self::of(project, &Scans::default(), Effort::Thorough)
    }

    /// Works everything out, but looks only a few milliseconds for the best layout on sticks: for every frame of a
    /// drag. [`StockReport::proved_optimal`] says where looking longer could help.
    pub fn quick(project: &Project) -> Self {
        Self::of(project, &Scans::default(), Effort::Quick)
    }

    /// Whether looking longer could find a better layout on sticks.
    pub fn could_be_better(&self) -> bool {
        self.stock.iter().any(|s| !s.proved_optimal || !s.proved_left)
            || self.bar_stock.iter().any(|s| !s.proved_optimal || !s.proved_left)
    }

    /// Works everything out, with gaps to the scans that have been read.
    pub fn of(project: &Project, scans: &Scans, effort: Effort) -> Self {
        Self::of_watched(project, scans, effort, &Unwatched)
    }

    /// As [`Report::of`], for somebody who is told how far the layout on sticks is. Stopped, it has the best layouts found
    /// so far.
    pub fn of_watched(project: &Project, scans: &Scans, effort: Effort, watch: &dyn Watch) -> Self {
        Self::work_out(project, scans, (effort, watch), None)
    }

    /// The same after a change: gaps between things that are as they were in `old`, whose report this is, are taken
    /// over from it. The scans have to be the ones it was made with.
    #[must_use]
    pub fn after(&self, old: &Project, project: &Project, scans: &Scans, effort: Effort) -> Self {
        let before = Before { project: old, report: self };
        Self::work_out(project, scans, (effort, &Unwatched), Some(before))
    }

    fn work_out(
        project: &Project,
        scans: &Scans,
        (effort, watch): (Effort, &dyn Watch),
        before: Option<Before<'_>>,
    ) -> Self {
        let units = project.settings.units;
        let kept = before.map_or_else(Kept::default, |b| kept(b.project, project));
        let old_runs: BTreeMap<RunId, &Arc<RunReport>> =
            before.map_or_else(BTreeMap::new, |b| b.report.runs.iter().map(|r| (r.id, r)).collect());
        let old_run = |id: RunId| kept.runs.contains(&id).then(|| old_runs.get(&id).copied()).flatten();
        let built = build_changed(project, &|id| old_run(id).map(|run| Arc::clone(&run.built)));
        let mut findings = runs::build_findings(project, &built);
        let made_bars = bars::built(project, &built, before);
        let clearance = clearance::clearance(project, scans, &built, &made_bars, before);
        findings.extend(scan_findings(project, scans));
        findings.extend(left_out(project, scans));
        findings.extend(clearance.iter().filter(|c| !c.ok && !c.mirrored).map(|c| c.finding(units)));
        let open_ends: Vec<_> = project
            .runs
            .iter()
            .zip(&built)
            .map(|(run, own)| open_end::open_end(project, scans, run, own, &built, &made_bars))
            .collect();
        for (run, end) in project.runs.iter().zip(&open_ends) {
            findings.extend(end.iter().flat_map(|end| open_end::findings(project, run, end)));
        }
        let done = Done::of(&project.done);
        let same_done = before.is_some_and(|b| b.project.done == project.done);
        let known = |id: RunId| old_run(id).filter(|_| same_done);
        let runs = runs::run_reports(project, (built, open_ends), (&made_bars, &done), &known);
        for run in &runs {
            findings.extend(paper::findings(project, run, &done));
        }
        findings.extend(paper::unknown(project));
        let stock = stock::stock(project, &runs, (effort, &Stage { watch, from: 0.0, to: 0.9 }), before);
        let elbows = elbows::elbows(project, &runs);
        findings.extend(stock::findings(project, &runs, &stock, &elbows));
        let known = before.map(|b| (&kept, b.report.merges.as_slice()));
        let merges = merges::merges(project, &runs, known);
        findings.extend(merges::findings(project, &merges));
        let bars =
            bars::bars(project, scans, made_bars, (effort, &Stage { watch, from: 0.9, to: 1.0 }), before);
        findings.extend(bars.findings);
        let made: Vec<&BarReport> =
            bars.reports.iter().filter(|bar| bar_can_be_made(&findings, bar)).collect();
        let buy = buy::buy(project, &runs, &elbows, &made);
        let totals = Totals {
            bars: made.len(),
            bar_mass_kg: made.iter().map(|b| b.mass_kg).sum(),
            bar_sticks_to_buy: bars.sticks.iter().map(|s| s.sticks_to_buy).sum(),
            ..totals(project, &runs, &stock)
        };
        findings.sort_by_key(|f| f.severity);
        Self {
            format: REPORT_FORMAT,
            project: project.name.clone(),
            runs,
            stock,
            elbows,
            merges,
            buy,
            clearance,
            bars: bars.reports,
            bar_stock: bars.sticks,
            bar_gaps: bars.gaps,
            findings,
            totals,
        }
    }

    /// The result of one run.
    pub fn run(&self, id: RunId) -> Option<&RunReport> {
        self.runs.iter().find(|r| r.id == id).map(|r| &**r)
    }

    /// A piece with the numbers on paper.
    pub fn printed(&self, key: PieceKey) -> Option<&PieceReport> {
        let run = self.run(key.run)?;
        run.printed.get(run.piece_index(key)?)
    }

    /// The gap of a run that leaves least beyond what is asked for, in every position of the bodies.
    pub fn tightest(&self, id: RunId) -> Option<&ClearanceReport> {
        self.clearance.iter().find(|c| c.run_id == id)
    }

    /// The gap of a bar with the least margin.
    pub fn tightest_of_bar(&self, id: BarId) -> Option<&BarGapReport> {
        let own = self.bar_gaps.iter().filter(|g| g.bar_id == id || g.other == Item::Bar(id));
        own.min_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()))
    }

    /// Findings that concern a run.
    pub fn findings_of(&self, run: RunId) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |f| f.concerns(Item::Run(run)))
    }

    /// The worst severity among the findings.
    pub fn worst(&self) -> Option<Severity> {
        self.findings.iter().map(|f| f.severity).min()
    }

    /// The report as text.
    ///
    /// # Errors
    /// Never in practice: all numbers are finite and all keys are strings; the writer's own error otherwise.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string_pretty(self).map(|text| text + "\n")
    }
}

/// Scans that gaps cannot be checked to, or not be trusted.
fn scan_findings(project: &Project, scans: &Scans) -> Vec<Finding> {
    let told = scans_of(project).filter_map(|(obstacle, scan)| {
        let problem = match scans.state(scan) {
            Some(ScanState::Ready(_) | ScanState::Reading) => return None,
            Some(ScanState::Changed(_, why)) => {
                Problem::Scan(ScanProblem::Changed { scan: obstacle.name.clone(), why: why.clone() })
            }
            Some(ScanState::Missing(why)) => {
                Problem::Scan(ScanProblem::Missing { scan: obstacle.name.clone(), why: Some(why.clone()) })
            }
            None => Problem::Scan(ScanProblem::Missing { scan: obstacle.name.clone(), why: None }),
        };
        let item = Some(Item::Obstacle(obstacle.id));
        Some(Finding { item, ..problem.finding(project.settings.units) })
    });
    told.collect()
}

/// Triangles that were left out of scans while they were read.
fn left_out(project: &Project, scans: &Scans) -> Vec<Finding> {
    let told = scans_of(project).filter_map(|(obstacle, scan)| {
        let dropped = scans.tree(scan)?.scan().dropped();
        if dropped.total() == 0 {
            return None;
        }
        let problem = Problem::Scan(ScanProblem::LeftOut {
            scan: obstacle.name.clone(),
            without_area: dropped.flat,
            no_number: dropped.not_finite,
            not_in_file: dropped.lost,
        });
        let item = Some(Item::Obstacle(obstacle.id));
        Some(Finding { item, ..problem.finding(project.settings.units) })
    });
    told.collect()
}

fn totals(project: &Project, runs: &[Arc<RunReport>], stock: &[StockReport]) -> Totals {
    let buildable = runs.iter().filter(|r| r.built.is_buildable());
    let mut totals = Totals::default();
    for run in buildable {
        totals.runs += 1;
        totals.pieces += run.pieces.iter().filter(|p| p.kind != PieceForm::Joint).count();
        totals.welds += run.welds.len();
        totals.weld_length_mm += run.weld_length_mm;
        totals.parts_weld_mm += run.parts_weld_mm;
        totals.tube_length_mm += run.tube_length_mm;
        totals.mass_kg += run.mass_kg;
    }
    totals.sticks_to_buy = stock.iter().map(|s| s.sticks_to_buy).sum();
    let prices = stock.iter().filter(|s| s.sticks_to_buy > 0);
    let prices = prices.map(|s| Some(project.tube(s.tube_id)?.stick_price? * s.sticks_to_buy as f64));
    totals.price = if totals.sticks_to_buy > 0 { prices.sum() } else { Some(0.0) };
    totals
}

#[cfg(test)]
mod tests;
