//! The whole project: its name, its totals, the choices that hold for all of it.

use super::form;
use super::settings::settings_ui;
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::name_field;
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::units;

/// The fields and totals.
pub(crate) fn project_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    ui.heading("Project");
    let id = Id::unique("project");
    form(ui, "project", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &ctx.project.name) {
            requests.edit("rename project", Edit::SetName(name));
        }
        ui.end_row();
    });
    totals_ui(ui, ctx);
    settings_ui(ui, ctx, requests);
    ui.add_space(8.0);
}

fn totals_ui(ui: &mut Ui, ctx: UiCtx<'_>) {
    let (t, system) = (&ctx.report.totals, ctx.units());
    form(ui, "totals", |ui| {
        let mut line = |label: &str, value: String| {
            ui.label(label);
            ui.label(bold(value));
            ui.end_row();
        };
        line("Runs", format!("{} of {}", t.runs, ctx.project.runs.len()));
        line("Pieces", t.pieces.to_string());
        line("Welds", format!("{}, {}", t.welds, units::long_length(t.weld_length_mm, system)));
        line("Tube in the pieces", units::long_length(t.tube_length_mm, system));
        line("Mass", units::mass(t.mass_kg, system));
        if t.bars > 0 || !ctx.project.bars.is_empty() {
            line(
                "Bars",
                format!("{} of {}, {}", t.bars, ctx.project.bars.len(), units::mass(t.bar_mass_kg, system)),
            );
            line("Sticks for bars to buy", t.bar_sticks_to_buy.to_string());
        }
        line("Sticks to buy", t.sticks_to_buy.to_string());
        if let Some(price) = t.price.filter(|_| t.sticks_to_buy > 0) {
            line("They cost", units::plain_number(price, 2));
        }
    });
}
