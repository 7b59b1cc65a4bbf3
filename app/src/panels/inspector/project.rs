//! Fields of the whole project: name, saw, habits of the shop.

use super::{form, number_row};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::SawScale;
use pipeloft_core::units;

/// The fields and totals.
pub(crate) fn project_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    ui.heading("Project");
    let id = Id::unique("project");
    let length = Kind::Length(ctx.units());
    form(ui, "project", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &ctx.project.name) {
            requests.edit("rename project", Edit::SetName(name));
        }
        ui.end_row();
    });
    totals_ui(ui, ctx);
    ui.add_space(6.0);
    ui.label(bold("The saw"));
    let old = &ctx.project.settings;
    let mut new = old.clone();
    form(ui, "saw", |ui| {
        if let Some(kerf) = number_row(ui, id.with("kerf"), "Kerf", old.saw.kerf_mm, length) {
            new.saw.kerf_mm = kerf;
        }
        if let Some(step) = number_row(ui, id.with("step"), "Angle steps", old.saw.step_deg, Kind::Angle) {
            new.saw.step_deg = step;
        }
        let scales = [
            (SawScale::FromSquare, "0° is square".to_owned()),
            (SawScale::FromBlade, "90° is square".to_owned()),
        ];
        if let Some(scale) = choice(ui, id.with("scale"), "Its scale", &old.saw.scale, &scales) {
            new.saw.scale = scale;
        }
        ui.end_row();
    });
    ui.add_space(6.0);
    ui.label(bold("Habits of the shop")).on_hover_text("Starting values are common practice, no source");
    form(ui, "habits", |ui| {
        if let Some(mm) = number_row(ui, id.with("throat"), "Shortest throat", old.shortest_throat_mm, length)
        {
            new.shortest_throat_mm = mm;
        }
        if let Some(mm) = number_row(ui, id.with("hot"), "Hot pipe gap", old.hot_gap_mm, length) {
            new.hot_gap_mm = mm;
        }
        if let Some(deg) = number_row(ui, id.with("snap"), "Bends snap to", old.angle_snap_deg, Kind::Angle) {
            new.angle_snap_deg = deg;
        }
    });
    if new != *old {
        requests.edit("change settings", Edit::SetSettings(new));
    }
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
        line("Sticks to buy", t.sticks_to_buy.to_string());
        if let Some(price) = t.price.filter(|_| t.sticks_to_buy > 0) {
            line("They cost", units::plain_number(price, 2));
        }
    });
}
