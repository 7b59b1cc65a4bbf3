//! Gaps of a run, the least margin first.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::theme::Tokens;
use eframe::egui::{Grid, Id, RichText, Ui};
use pipeloft_core::model::Run;
use pipeloft_core::units;

/// The table.
pub(crate) fn gaps_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, requests: &mut Requests) {
    let gaps: Vec<_> = ctx.report.clearance.iter().filter(|c| c.run_id == run.id).collect();
    fold(ui, &format!("Gaps ({})", gaps.len()), "gaps", false, |ui| {
        if gaps.is_empty() {
            ui.label("Nothing is near it.");
        }
        let tokens = Tokens::of(ui.visuals().dark_mode);
        Grid::new(Id::unique(("gaps", run.id))).num_columns(3).striped(true).spacing([10.0, 2.0]).show(
            ui,
            |ui| {
                head(ui, &["To", "Gap", "Should be"]);
                for gap in gaps.iter().take(40) {
                    let words =
                        RichText::new(&gap.against).color(if gap.ok { tokens.text } else { tokens.stop });
                    if ui.selectable_label(false, words).on_hover_text("Show the place").clicked() {
                        requests.push(Request::Show(gap.run_point_mm.midpoint(gap.other_point_mm)));
                    }
                    ui.label(units::length(gap.gap_mm, ctx.units()));
                    ui.label(units::length(gap.required_mm, ctx.units()));
                    ui.end_row();
                }
            },
        );
    });
}
