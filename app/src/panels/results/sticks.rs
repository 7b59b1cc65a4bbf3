//! Sticks of tube for all runs together.

use super::fold;
use crate::ctx::UiCtx;
use crate::theme::bold;
use eframe::egui::Ui;
use pipeloft_core::units;

/// The list.
pub(crate) fn sticks_ui(ui: &mut Ui, ctx: UiCtx<'_>) {
    let count: usize = ctx.report.stock.iter().map(|s| s.sticks.len()).sum();
    fold(ui, &format!("Sticks of tube ({count})"), "sticks", true, |ui| {
        if count == 0 {
            ui.label("No run can be cut yet.");
        }
        for stock in &ctx.report.stock {
            ui.label(bold(&stock.tube));
            for stick in &stock.sticks {
                let marks: Vec<&str> = stick.cuts.iter().map(|c| c.mark.as_str()).collect();
                ui.label(format!(
                    "{} ({}): {}; {} left",
                    units::long_length(stick.length_mm, ctx.units()),
                    stick.source,
                    marks.join(" "),
                    units::long_length(stick.drop_mm, ctx.units())
                ));
            }
        }
    });
}
