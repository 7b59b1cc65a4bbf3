//! Fields of a datum.

use super::{bodies, form, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::Datum;

/// The fields.
pub(super) fn datum_ui(ui: &mut Ui, ctx: UiCtx<'_>, datum: &Datum, requests: &mut Requests) {
    ui.heading("Datum");
    let id = Id::unique(("datum", datum.id));
    let mut new = datum.clone();
    let mut what = "change";
    form(ui, "datum", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &datum.name) {
            (new.name, what) = (name, "rename");
        }
        ui.end_row();
        if let Some(body) = choice(ui, id.with("body"), "Is on", &datum.body, &bodies(ctx)) {
            new.body = body;
        }
        ui.end_row();
        let labels = ["X, forward", "Y, left", "Z, up"];
        if let Some(at) = vector_rows(ui, id.with("at"), labels, datum.position_mm, Kind::Length(ctx.units()))
        {
            (new.position_mm, what) = (at, "move");
        }
    });
    ui.label("Tapes are held here to measure other points in.");
    if new != *datum {
        requests.edit(format!("{what} {}", datum.name), Edit::PutDatum(new));
    }
}
