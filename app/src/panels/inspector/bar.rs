//! Fields of a bar.

use super::{form, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::widgets::{Kind, name_field};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::Bar;

/// The fields.
pub(super) fn bar_ui(ui: &mut Ui, ctx: UiCtx<'_>, bar: &Bar, requests: &mut Requests) {
    ui.heading("Bar");
    let id = Id::unique(("bar", bar.id));
    let mut new = bar.clone();
    form(ui, "bar", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &bar.name) {
            new.name = name;
        }
        ui.end_row();
        let kind = Kind::Length(ctx.units());
        for (i, labels) in [["From X", "From Y", "From Z"], ["To X", "To Y", "To Z"]].into_iter().enumerate()
        {
            if let Some(at) = vector_rows(ui, id.with(i), labels, bar.ends[i].position_mm, kind) {
                new.ends[i].position_mm = at;
            }
        }
    });
    if new != *bar {
        requests.edit(format!("change {}", bar.name), Edit::PutBar(new));
    }
}
