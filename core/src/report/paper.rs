//! From a built run to the numbers on paper: allowances, rounding, the weld that is fitted last.

use super::RunReport;
use super::names::{PieceEnd, PieceSource};
use crate::fab::done::{Done, Sawn};
use crate::fab::paper::Paper;
use crate::fab::printed::{Printed, printed};
use crate::fab::taper::cone_of;
use crate::fab::weld_plan::{Consumables, WeldPlan, bore_l, consumables};
use crate::fab::{Built, Piece, PieceKind, WeldKind};
use crate::finding::{Finding, PieceProblem, Problem, StockProblem};
use crate::model::{Item, Project, Run};
use serde::Serialize;

/// The weld that is fitted last.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FitReport {
    /// Mark of the weld.
    pub weld: String,
    /// Mark of the piece that is cut longer.
    pub piece: String,
    /// At which of its ends.
    pub at: PieceEnd,
    /// How much longer, mm.
    pub trim_mm: f64,
    /// Whether the fabricator chose it.
    pub chosen: bool,
    /// Index of the piece.
    #[serde(skip)]
    pub piece_index: usize,
}

/// What is worked out for the paper.
pub(super) struct Prepared {
    pub(super) plan: WeldPlan,
    pub(super) paper: Paper,
    pub(super) sawn: Vec<Sawn>,
    pub(super) fit: Option<FitReport>,
    pub(super) consumables: Consumables,
}

/// Plans and rounds a run; `ready` says which pieces come from the shelf.
pub(super) fn prepare(
    project: &Project,
    run: &Run,
    built: &Built,
    ready: &[bool],
    done: &Done<'_>,
) -> Prepared {
    let settings = &project.settings;
    let Printed { plan, paper, sawn } = printed(project, run, built, ready, done);
    let Some(route) = built.route.as_ref().filter(|_| built.is_buildable()) else {
        return Prepared { plan, paper, sawn, fit: None, consumables: Consumables::default() };
    };
    let fit = plan.fit.map(|f| FitReport {
        weld: built.welds[f.weld].mark.clone(),
        piece: built.pieces[f.piece].mark.clone(),
        at: PieceEnd::of(f.at_end),
        trim_mm: paper.trim_mm[f.piece],
        chosen: f.chosen,
        piece_index: f.piece,
    });
    let bore = built.pieces.iter().map(|p| {
        let from = project.tube(p.tube).unwrap_or(&route.tube);
        let to = match p.kind {
            PieceKind::Taper(t) => {
                route.tapers.iter().find(|r| r.taper.id == t.taper).map_or(from, |r| &r.after)
            }
            PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Joint(_) => from,
        };
        bore_l(from, to, p.centre_mm)
    });
    let bore_l = bore.sum();
    let parts_mm: f64 = built.parts.iter().map(|p| p.weld_mm).sum();
    let seams_mm: f64 = built.pieces.iter().filter_map(rolled_seam_mm).sum();
    let weld_mm = built.welds.iter().map(|w| w.length_mm).sum::<f64>() + parts_mm + seams_mm;
    let consumables = consumables(bore_l, weld_mm, &settings.allowances);
    Prepared { plan, paper, sawn, fit, consumables }
}

/// Length of the seam of a taper that is rolled, mm.
fn rolled_seam_mm(piece: &Piece) -> Option<f64> {
    let rolled = matches!(piece.kind, PieceKind::Taper(t) if t.rolled.is_some());
    cone_of(piece).filter(|_| rolled)?.ok().map(|cone| cone.seam_mm())
}

/// Where each piece comes from, as the report says it; `pieces` are those on paper.
pub(super) fn sources(ready: &[bool], sawn: &[Sawn], pieces: &[Piece]) -> Vec<PieceSource> {
    let source = |(i, piece): (usize, &Piece)| {
        if matches!(piece.kind, PieceKind::Taper(t) if t.rolled.is_some()) {
            PieceSource::Rolled
        } else if !piece.is_sawn() {
            PieceSource::Bought
        } else if ready.get(i).copied().unwrap_or(false) {
            PieceSource::Ready
        } else {
            match sawn.get(i) {
                Some(Sawn::Yes) => PieceSource::Sawn,
                Some(Sawn::No | Sawn::Otherwise) | None => PieceSource::Stick,
            }
        }
    };
    pieces.iter().enumerate().map(source).collect()
}

/// What is to be said about the weld fitted last, and about pieces that were sawn to other sizes.
pub(super) fn findings(project: &Project, run: &RunReport, done: &Done<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    if !run.built.is_buildable() {
        return out;
    }
    let mut say = |problem: Problem, piece: Option<usize>| {
        let mut finding = problem.finding(project.settings.units);
        finding.run = Some(run.name.clone());
        finding.item = Some(Item::Run(run.id));
        let frames = piece.and_then(|i| run.built.frames.get(i));
        finding.spot = frames.map(|f| f.0.origin.midpoint(f.1.origin));
        out.push(finding);
    };
    let wanted = project.run(run.id).and_then(|r| r.fit_weld);
    if let Some(key) = wanted.filter(|_| run.fit.as_ref().is_none_or(|f| !f.chosen)) {
        let keys: Vec<_> = run.welds.iter().map(|w| w.key).collect();
        let weld = key.find(&keys).map(|i| run.welds[i].mark.clone());
        say(
            Problem::Piece(PieceProblem::FitGone { weld, instead: run.fit.as_ref().map(|f| f.weld.clone()) }),
            None,
        );
    }
    if let Some(fit) = &run.fit
        && let Some(printed) = run.printed.get(fit.piece_index)
        && fit.trim_mm > 0.0
        && printed.long_mm < project.settings.saw.grip_mm
        // a square end is trimmed by hand, held by the rest of its half
        && (if fit.at == PieceEnd::End { printed.end_cut_deg } else { printed.start_cut_deg }) > 0.0
    {
        let problem = Problem::Piece(PieceProblem::FitShort {
            weld: fit.weld.clone(),
            mark: fit.piece.clone(),
            long_mm: printed.long_mm,
            grip_mm: project.settings.saw.grip_mm,
        });
        say(problem, Some(fit.piece_index));
    }
    // a branch that is one piece is held where it sits and has nothing to be off
    // nor has a pipe that ends in the open
    if run.fit.is_none() && !run.ends_open && run.built.welds.iter().any(|w| w.kind != WeldKind::Saddle) {
        say(Problem::Piece(PieceProblem::NoFit), None);
    }
    for (i, (piece, sawn)) in run.paper.pieces.iter().zip(&run.sawn).enumerate() {
        if let (Sawn::Otherwise, Some(old), Some(key)) = (*sawn, done.get(piece), piece.key) {
            let mark = piece.mark.clone();
            let written = Some(old.mark.clone()).filter(|old| *old != mark);
            let (was_mm, now_mm) = (old.centre_mm, piece.blank().centre_mm);
            say(Problem::Stock(StockProblem::SawnOtherwise { key, mark, written, was_mm, now_mm }), Some(i));
        }
    }
    out
}

/// Sawn pieces of an older file of which it is not known which they are.
pub(super) fn unknown(project: &Project) -> Option<Finding> {
    let unknown = project.done.iter().filter(|d| d.key.is_none());
    let marks: Vec<String> = unknown.map(|d| d.mark.clone()).collect();
    (!marks.is_empty())
        .then(|| Problem::Stock(StockProblem::SawnUnknown { marks }).finding(project.settings.units))
}
