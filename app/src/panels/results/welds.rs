//! The welds of a run in order.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::theme::bold;
use eframe::egui::{Grid, Id, Ui};
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// The table.
pub(crate) fn welds_ui(ui: &mut Ui, ctx: UiCtx<'_>, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Welds ({})", report.welds.len()), "welds", false, |ui| {
        Grid::new(Id::unique(("welds", report.id))).num_columns(4).striped(true).spacing([10.0, 2.0]).show(
            ui,
            |ui| {
                head(ui, &["Mark", "Joins", "Length", "Heel at clock, round the tube"]);
                for weld in &report.welds {
                    if ui.selectable_label(false, bold(&weld.mark)).on_hover_text("Show it").clicked() {
                        requests.push(Request::Show(weld.spot));
                    }
                    ui.label(format!("{} – {}", weld.between[0], weld.between[1])).on_hover_text(weld.kind);
                    ui.label(units::length(weld.length_mm, ctx.units()));
                    ui.label(weld.heel_clock_deg.map_or_else(
                        || "free".to_owned(),
                        |clock| units::clock_and_arc(clock, report.tube.od_mm, ctx.units()),
                    ));
                    ui.end_row();
                }
            },
        );
        ui.label("Clocks count from the index line, clockwise seen along the travel.");
    });
}
