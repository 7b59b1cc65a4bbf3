//! What the report says of a run that could be taken: the last word on every route and every cure.

use super::line::Line;
use super::task::Weights;
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::finding::{Finding, Problem, Severity};
use pipeloft_core::model::{Item, Project, Run};
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::Scans;
use serde::Serialize;

/// The project as it is, with its report.
#[derive(Debug, Clone, Copy)]
pub struct Before<'a> {
    /// The project.
    pub project: &'a Project,
    /// Its scans that have been read.
    pub scans: &'a Scans,
    /// Its report, made with them.
    pub report: &'a Report,
}

/// One bend of a route.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProposedBend {
    /// What it turns, degrees.
    pub angle_deg: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// How it is made: from an elbow or of slices.
    pub make: &'static str,
}

/// A route that can be taken. All its numbers are the report's.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The run as it would be.
    pub run: Run,
    /// What it costs, mm of tube.
    pub cost: f64,
    /// Welds.
    pub welds: usize,
    /// Length of the pipe along its middle, mm.
    pub tube_mm: f64,
    /// The gap that leaves least beyond what is asked, mm; none where nothing is near.
    pub tightest_gap_mm: Option<f64>,
    /// What it leaves beyond that, mm.
    pub spare_mm: Option<f64>,
    /// What the tightest gap is to.
    pub tightest_to: Option<String>,
    /// From the start over its vertices to the end, mm.
    pub vertices_mm: Vec<glam::DVec3>,
    /// Points all along its middle line, mm: for drawing.
    pub middle_mm: Vec<glam::DVec3>,
    /// Its bends.
    pub bends: Vec<ProposedBend>,
    /// What the report warns of, in sentences: nothing that stops it, and no gap.
    pub warnings: Vec<String>,
}

impl Proposal {
    /// What it costs by other weights, mm of tube.
    pub fn cost_by(&self, weights: &Weights) -> f64 {
        let turned_deg: f64 = self.bends.iter().map(|b| b.angle_deg).sum();
        let tight_mm = self.spare_mm.map_or(0.0, |mm| (weights.wide_mm - mm).max(0.0));
        self.tube_mm
            + weights.weld_mm * (self.welds as f64 + WARNING_WELDS * self.warnings.len() as f64)
            + weights.bend_mm * self.bends.len() as f64
            + weights.degree_mm * turned_deg
            + weights.tight_mm * tight_mm
    }

    /// The change that takes it.
    pub fn edit(&self) -> Edit {
        Edit::PutRun(self.run.clone())
    }
}

/// A gap that is too small, and by how much, mm.
pub(super) type Lack = (Item, f64);

/// What the report says.
#[derive(Debug, Clone)]
pub(super) enum Judged {
    /// It can be taken.
    Sound(Box<Proposal>),
    /// Gaps are too small.
    Tight(Vec<Lack>, String),
    /// It cannot be built, or cannot be had at all.
    Unsound(String),
}

/// A warning costs as much as so many welds.
const WARNING_WELDS: f64 = 2.0;

/// Points that a route is drawn with are no further apart than this, mm.
const DRAWN_MM: f64 = 12.0;

/// What the report says of `run` in place of the one of its id.
pub(super) fn judge(before: Before<'_>, run: &Run, weights: &Weights) -> Judged {
    let next = match apply(before.project, &Edit::PutRun(run.clone())) {
        Ok(next) => next,
        Err(error) => return Judged::Unsound(error.to_string()),
    };
    let report = before.report.after(before.project, &next, before.scans, Effort::Quick);
    let own: Vec<&Finding> = report.findings_of(run.id).collect();
    let about = |run_id| own.iter().find(|f| f.severity == run_id);
    let mut lacks: Vec<Lack> = Vec::new();
    for gap in report.clearance.iter().filter(|c| !c.ok) {
        let lack_mm = -gap.sure_margin_mm();
        if gap.run_id == run.id {
            lacks.push((gap.other, lack_mm));
        } else if gap.other == Item::Run(run.id) {
            lacks.push((Item::Run(gap.run_id), lack_mm));
        }
    }
    let gap_words = || {
        let gap = own.iter().find(|f| matches!(f.problem, Problem::Gap(_)));
        gap.map_or_else(String::new, |f| f.text.clone())
    };
    if !lacks.is_empty() {
        return Judged::Tight(lacks, gap_words());
    }
    if let Some(stop) = about(Severity::Stop) {
        return Judged::Unsound(stop.text.clone());
    }
    let Some(done) = report.run(run.id) else { return Judged::Unsound(String::new()) };
    if done.pieces.is_empty() {
        return Judged::Unsound("its pieces cannot be worked out.".to_owned());
    }
    let known = |text: &str| before.report.findings_of(run.id).any(|f| f.text == text);
    let warns = own.iter().filter(|f| f.severity == Severity::Warn && !known(&f.text));
    let mut warnings: Vec<String> = warns.map(|f| f.text.clone()).collect();
    // what gaps were not checked to is said with every route
    let unchecked = report.findings.iter().filter(|f| matches!(f.problem, Problem::Scan(_)));
    let unchecked = unchecked.filter(|f| f.severity == Severity::Warn);
    warnings.extend(unchecked.map(|f| f.text.clone()));
    let tightest = report.tightest(run.id);
    let spare_mm = tightest.map(pipeloft_core::report::ClearanceReport::sure_margin_mm);
    let bends: Vec<ProposedBend> = done
        .bends
        .iter()
        .map(|b| ProposedBend {
            angle_deg: b.angle_deg,
            clr_mm: b.clr_mm,
            make: if b.welds.is_some() { "mitred" } else { "elbow" },
        })
        .collect();
    let radii_mm = bends.iter().map(|b| b.clr_mm).collect();
    let line = Line::new(done.vertices_mm.clone(), radii_mm);
    let mut proposal = Proposal {
        run: run.clone(),
        cost: 0.0,
        welds: done.welds.len(),
        tube_mm: done.centreline_mm,
        tightest_gap_mm: tightest.map(|t| t.gap_mm),
        spare_mm,
        tightest_to: tightest.map(|t| t.against.clone()),
        vertices_mm: done.vertices_mm.clone(),
        middle_mm: line.map(|l| l.points_along(DRAWN_MM)).unwrap_or_default(),
        bends,
        warnings,
    };
    proposal.cost = proposal.cost_by(weights);
    Judged::Sound(Box::new(proposal))
}

/// The least change of what is asked that would have kept a line clear, by the index of what is asked.
pub(super) fn raise(
    lacks: &[Lack],
    asked: &[pipeloft_core::report::AskedGap],
    own: Item,
    (more_mm, own_mm): (&mut [f64], &mut f64),
) {
    for (other, lack_mm) in lacks {
        if *other == own {
            *own_mm += lack_mm + 0.05;
        }
        for (index, gap) in asked.iter().enumerate() {
            if gap.other == *other {
                more_mm[index] += lack_mm + 0.05;
            }
        }
    }
}
