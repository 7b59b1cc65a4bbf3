//! Fields of a merge.

use super::{form, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::widgets::{Kind, name_field};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::Merge;

/// The fields.
pub(super) fn merge_ui(ui: &mut Ui, ctx: UiCtx<'_>, merge: &Merge, requests: &mut Requests) {
    ui.heading("Merge");
    let id = Id::unique(("merge", merge.id));
    let mut new = merge.clone();
    form(ui, "merge", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &merge.name) {
            new.name = name;
        }
        ui.end_row();
        let kind = Kind::Length(ctx.units());
        let labels = ["Axes meet at X", "Axes meet at Y", "Axes meet at Z"];
        if let Some(at) = vector_rows(ui, id.with("at"), labels, merge.position_mm, kind) {
            new.position_mm = at;
        }
    });
    if new != *merge {
        requests.edit(format!("change {}", merge.name), Edit::PutMerge(new));
    }
}
