//! Gaps, the least margin first: those of a run, or of the whole project.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests, Selection};
use crate::theme::Tokens;
use eframe::egui::{Grid, Id, RichText, Ui};
use pipeloft_core::model::{Item, Run};
use pipeloft_core::report::ClearanceReport;
use pipeloft_core::units;

/// Rows shown at most.
const ROWS: usize = 40;

/// The table of a run.
pub(crate) fn gaps_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, requests: &mut Requests) {
    let gaps: Vec<_> = ctx.report.clearance.iter().filter(|c| c.run_id == run.id).collect();
    fold(ui, &format!("Gaps ({})", gaps.len()), "gaps", false, |ui| {
        if gaps.is_empty() {
            ui.label("Nothing is near it.");
        }
        Grid::new(Id::unique(("gaps", run.id))).num_columns(3).striped(true).spacing([10.0, 2.0]).show(
            ui,
            |ui| {
                head(ui, &["To", "Gap", "Should be"]);
                for gap in gaps.iter().take(ROWS) {
                    row(ui, ctx, gap, &gap.against, requests);
                }
            },
        );
        more(ui, gaps.len());
    });
}

/// The table of the whole project: each pair once.
pub(crate) fn all_gaps_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let mut gaps: Vec<_> = ctx.report.clearance.iter().filter(|c| !c.told_already).collect();
    gaps.sort_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()));
    fold(ui, &format!("Gaps, tightest first ({})", gaps.len()), "all gaps", false, |ui| {
        if gaps.is_empty() {
            ui.label("Nothing is near any run.");
        }
        Grid::new(Id::unique("all gaps")).num_columns(3).striped(true).spacing([10.0, 2.0]).show(ui, |ui| {
            head(ui, &["Between", "Gap", "Should be"]);
            for gap in gaps.iter().take(ROWS) {
                row(ui, ctx, gap, &format!("{} and {}", gap.run, gap.against), requests);
            }
        });
        more(ui, gaps.len());
    });
}

fn row(ui: &mut Ui, ctx: UiCtx<'_>, gap: &ClearanceReport, words: &str, requests: &mut Requests) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let words = RichText::new(words).color(if gap.ok { tokens.text } else { tokens.stop });
    let chosen =
        ctx.selection.item == Some(Item::Run(gap.run_id)) && ctx.selection.against == Some(gap.other);
    let mut hint = format!("{}. Click to show the place with its dimension.", gap.part);
    if gap.is_moved() {
        hint = format!(
            "{} With {}; as drawn it is {}.",
            hint,
            gap.pose,
            units::length(gap.as_drawn_mm, ctx.units())
        );
    }
    if ui.selectable_label(chosen, words).on_hover_text(hint).clicked() {
        let run = Selection::of(Item::Run(gap.run_id));
        requests.select(Selection { against: Some(gap.other), ..run });
        requests.push(Request::Show(gap.run_point_mm.midpoint(gap.other_point_mm)));
    }
    let moved = if gap.is_moved() { " at worst" } else { "" };
    ui.label(format!("{}{moved}", units::length(gap.gap_mm, ctx.units())));
    ui.label(units::length(gap.required_mm, ctx.units()));
    ui.end_row();
}

fn more(ui: &mut Ui, count: usize) {
    if count > ROWS {
        ui.label(format!("and {} more with greater margins.", count - ROWS));
    }
}
