//! From a built run to the numbers on paper: allowances, rounding, the weld that is fitted last.

use super::RunReport;
use crate::fab::paper::{Exact, Paper, Steps, paper};
use crate::fab::shelf::{Sawn, sawn};
use crate::fab::taper::cone_of;
use crate::fab::weld_plan::{Consumables, WeldPlan, Wish, added, bore_l, consumables, plan};
use crate::fab::{Built, Cut, Piece, PieceKind, WeldKind};
use crate::finding::{Finding, Problem};
use crate::model::{Item, Project, Run, RunEnd, Settings};
use crate::units::paper_step_mm;
use serde::Serialize;

/// The weld that is fitted last.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FitReport {
    /// Mark of the weld.
    pub weld: String,
    /// Mark of the piece that is cut longer.
    pub piece: String,
    /// At which of its ends: `start` or `end`.
    pub at: &'static str,
    /// How much longer, mm.
    pub trim_mm: f64,
    /// Whether the fabricator chose it.
    pub chosen: bool,
}

/// What is worked out for the paper.
pub(super) struct Prepared {
    pub(super) plan: WeldPlan,
    pub(super) paper: Paper,
    pub(super) fit: Option<FitReport>,
    pub(super) consumables: Consumables,
}

/// Steps of the numbers on paper for these settings.
pub fn steps(settings: &Settings) -> Steps {
    Steps { length_mm: paper_step_mm(settings.units), saw_rad: settings.saw.step_deg.to_radians() }
}

/// Plans and rounds a run; `ready` says which pieces come from the shelf.
pub(super) fn prepare(project: &Project, run: &Run, built: &Built, ready: &[bool]) -> Prepared {
    let settings = &project.settings;
    let wish = Wish { weld: run.fit_weld, fixed: ready, grip_mm: settings.saw.grip_mm };
    let plan = plan(&built.pieces, &built.frames, &built.welds, wish);
    let (Some(route), Some(end)) = (built.route.as_ref(), built.end()) else {
        let (paper, fit, consumables) = (Paper::default(), None, Consumables::default());
        return Prepared { plan, paper, fit, consumables };
    };
    let added = added(&built.pieces, &built.welds, ready, plan.fit, &settings.allowances);
    let mut apart_mm = vec![0.0; built.pieces.len() + 1];
    for weld in &built.welds {
        apart_mm[weld.before] = settings.allowances.weld_gap_mm - settings.allowances.shrink_mm;
    }
    let pieces = with_slash_on_step(run, &built.pieces, steps(settings).saw_rad);
    let exact = Exact { route, pieces: &pieces, added: &added, fixed: ready, apart_mm: &apart_mm, end };
    let paper = paper(&exact, steps(settings));
    let fit = plan.fit.map(|f| FitReport {
        weld: built.welds[f.weld].mark.clone(),
        piece: built.pieces[f.piece].mark.clone(),
        at: if f.at_end { "end" } else { "start" },
        trim_mm: paper.trim_mm[f.piece],
        chosen: f.chosen,
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
    Prepared { plan, paper, fit, consumables }
}

/// The pieces with the cut of an open end at the nearest angle that the saw can be set to: it has to meet nothing.
fn with_slash_on_step(run: &Run, pieces: &[Piece], saw_rad: f64) -> Vec<Piece> {
    let mut out = pieces.to_vec();
    if let RunEnd::Open { slash: Some(_), .. } = run.end
        && let Some(last) = out.last_mut().filter(|p| p.kind == PieceKind::Straight)
        && let Some(clock) = last.end.heel_clock_rad
    {
        last.end = Cut::tilted((last.end.tilt_rad / saw_rad).round() * saw_rad, clock);
    }
    out
}

/// Length of the seam of a taper that is rolled, mm.
fn rolled_seam_mm(piece: &Piece) -> Option<f64> {
    let rolled = matches!(piece.kind, PieceKind::Taper(t) if t.rolled.is_some());
    cone_of(piece).filter(|_| rolled)?.ok().map(|cone| cone.seam_mm())
}

/// Where each piece comes from, as the report says it; `pieces` are those on paper.
pub(super) fn sources(project: &Project, ready: &[bool], pieces: &[Piece]) -> Vec<&'static str> {
    let source = |(i, piece): (usize, &Piece)| {
        if matches!(piece.kind, PieceKind::Taper(t) if t.rolled.is_some()) {
            "rolled"
        } else if !piece.is_sawn() {
            "bought"
        } else if ready.get(i).copied().unwrap_or(false) {
            "ready"
        } else {
            match sawn(&project.done, piece) {
                Sawn::Yes => "sawn",
                Sawn::No | Sawn::Otherwise => "stick",
            }
        }
    };
    pieces.iter().enumerate().map(source).collect()
}

/// What is to be said about the weld fitted last, and about pieces that were sawn to other sizes.
pub(super) fn findings(project: &Project, run: &RunReport) -> Vec<Finding> {
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
    if let Some(weld) = wanted.filter(|_| run.fit.as_ref().is_none_or(|f| !f.chosen)) {
        say(Problem::FitGone { weld, instead: run.fit.as_ref().map(|f| f.weld.clone()) }, None);
    }
    if let Some(fit) = &run.fit
        && let Some(at) = run.printed.iter().position(|p| p.mark == fit.piece)
        && fit.trim_mm > 0.0
        && run.printed[at].long_mm < project.settings.saw.grip_mm
    {
        let problem = Problem::FitShort {
            weld: fit.weld.clone(),
            mark: fit.piece.clone(),
            long_mm: run.printed[at].long_mm,
            grip_mm: project.settings.saw.grip_mm,
        };
        say(problem, Some(at));
    }
    // a branch that is one piece is held where it sits and has nothing to be off
    if run.fit.is_none() && run.built.welds.iter().any(|w| w.kind != WeldKind::Saddle) {
        say(Problem::NoFit, None);
    }
    for (i, piece) in run.paper.pieces.iter().enumerate() {
        if sawn(&project.done, piece) == Sawn::Otherwise {
            let old = project.done.iter().find(|d| d.mark == piece.mark);
            let was_mm = old.map_or(0.0, |d| d.centre_mm);
            say(
                Problem::SawnOtherwise { mark: piece.mark.clone(), was_mm, now_mm: piece.centre_mm },
                Some(i),
            );
        }
    }
    out
}
