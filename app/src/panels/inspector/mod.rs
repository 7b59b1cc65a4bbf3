//! Fields of whatever is selected, one file a kind.

mod bar;
mod body;
mod datum;
mod hardpoint;
mod joint;
mod merge;
mod obstacle;
mod project;
mod run;
mod run_end;
mod scan;
mod seat;
mod settings;
mod stock;
mod tube;

pub(super) use hardpoint::{hardpoint_ui, turn_lobe};
pub(super) use obstacle::obstacle_ui;
pub(super) use project::project_ui;
pub(super) use run::run_ui;
pub(super) use stock::stock_ui;

use crate::actions::{Action, text, tooltip};
use crate::ctx::UiCtx;
use crate::job_kind::{JobKind, MeasureTarget};
use crate::request::{Request, Requests};
use crate::widgets::{Kind, number, number_hinted, number_optional};
use eframe::egui::{Grid, Id, Ui};
use glam::DVec3;
use pipeloft_core::model::{BodyId, Item};

/// Two columns: label and field.
fn form(ui: &mut Ui, salt: &str, add: impl FnOnce(&mut Ui)) {
    Grid::new(Id::unique(("form", salt))).num_columns(2).min_col_width(118.0).show(ui, add);
}

/// One number on a row of its own.
fn number_row(ui: &mut Ui, id: Id, label: &str, value: f64, kind: Kind) -> Option<f64> {
    let new = number(ui, id, label, value, kind);
    ui.end_row();
    new
}

/// Sets `value` when the field on a row of its own gives a new number.
fn set(ui: &mut Ui, id: Id, label: &str, value: &mut f64, kind: Kind) {
    if let Some(new) = number_row(ui, id.with(label), label, *value, kind) {
        *value = new;
    }
}

/// The same with words that say what it is.
fn set_hinted(ui: &mut Ui, id: Id, (label, hint): (&str, &str), value: &mut f64, kind: Kind) {
    if let Some(new) = number_hinted(ui, id.with(label), label, hint, *value, kind) {
        *value = new;
    }
    ui.end_row();
}

/// Sets `value` when a field that may be empty gives a new number or is emptied.
fn set_optional(ui: &mut Ui, id: Id, (label, hint): (&str, &str), value: &mut Option<f64>, kind: Kind) {
    number_optional(ui, id.with(label), (label, hint), value, kind);
    ui.end_row();
}

/// Sets a count.
fn set_count(ui: &mut Ui, id: Id, label: &str, value: &mut u32) {
    if let Some(new) = number_row(ui, id.with(label), label, f64::from(*value), Kind::Count) {
        *value = new as u32;
    }
}

/// Three numbers on three rows; returns the vector with the changed one in it.
fn vector_rows(ui: &mut Ui, id: Id, labels: [&str; 3], value: DVec3, kind: Kind) -> Option<DVec3> {
    let mut new = None;
    for (i, label) in labels.into_iter().enumerate() {
        if let Some(x) = number_row(ui, id.with(i), label, value[i], kind) {
            let mut v = value;
            v[i] = x;
            new = Some(v);
        }
    }
    new
}

/// The bodies on offer.
fn bodies(ctx: UiCtx<'_>) -> Vec<(BodyId, String)> {
    ctx.project.bodies.iter().map(|b| (b.id, b.name.clone())).collect()
}

/// The buttons at the foot of every inspector.
fn foot(ui: &mut Ui, ctx: UiCtx<'_>, item: Item, requests: &mut Requests) {
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        let spatial = pipeloft_core::edit::new_item::is_spatial(item);
        if spatial && ui.button("Bring into view").clicked() {
            requests.act(Action::FitSelected);
        }
        if let Some(target) = MeasureTarget::of(ctx.project, item)
            && ui.button(text(Action::MeasureIn)).on_hover_text(tooltip(Action::MeasureIn)).clicked()
        {
            requests.push(Request::Open(JobKind::MeasureIn(target)));
        }
        if ui.button(text(Action::Delete)).clicked() {
            requests.act(Action::Delete);
        }
    });
}
