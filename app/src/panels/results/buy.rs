//! Everything to buy that is not tube.

use super::{fold, head};
use crate::ctx::UiCtx;
use eframe::egui::{Grid, Ui};

/// The buy list of the project.
pub(crate) fn buy_ui(ui: &mut Ui, ctx: UiCtx<'_>) {
    let rows = &ctx.report.buy;
    if rows.is_empty() {
        return;
    }
    fold(ui, &format!("Besides tube ({})", rows.len()), "buy", false, |ui| {
        Grid::new("buy").num_columns(3).striped(true).show(ui, |ui| {
            head(ui, &["What", "Size", "Number"]);
            for row in rows {
                ui.label(row.what.name());
                let words = if row.note.is_empty() {
                    row.size.clone()
                } else {
                    format!("{}; {}", row.size, row.note)
                };
                ui.label(words).on_hover_text(row.wanted_for.join(", "));
                ui.label(row.count.to_string());
                ui.end_row();
            }
        });
    });
}
