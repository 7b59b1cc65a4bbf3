//! Fields of a merge, and what comes of it.

use super::{bodies, form, vector_rows};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field, number};
use eframe::egui::{Frame, Grid, Id, Label, Ui};
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::model::limits::MAX_ARMS;
use pipeloft_core::model::{Merge, MergeArm, MergeJoin};
use pipeloft_core::report::MergeReport;
use pipeloft_core::units;

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
        if let Some(body) = choice(ui, id.with("body"), "Belongs to", &merge.body, &bodies(ctx)) {
            new.body = body;
        }
        ui.end_row();
        let kind = Kind::Length(ctx.units());
        let labels = ["Axes meet at X", "Axes meet at Y", "Axes meet at Z"];
        if let Some(at) = vector_rows(ui, id.with("at"), labels, merge.position_mm, kind) {
            new.position_mm = at;
        }
        let labels = ["Lets out along X", "Lets out along Y", "Lets out along Z"];
        if let Some(way) = vector_rows(ui, id.with("way"), labels, merge.direction, Kind::Plain) {
            new.direction = way;
        }
        let labels = ["12 o'clock X", "12 o'clock Y", "12 o'clock Z"];
        if let Some(way) = vector_rows(ui, id.with("clock"), labels, merge.clock, Kind::Plain) {
            new.clock = way;
        }
        join_ui(ui, ctx, id, &mut new);
    });
    arms_ui(ui, ctx, id, merge, &mut new, requests);
    if let Some(result) = ctx.report.merges.iter().find(|m| m.id == merge.id) {
        result_ui(ui, ctx, result);
    }
    if new != *merge {
        requests.edit(format!("change {}", merge.name), Edit::PutMerge(new));
    }
}

fn join_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, new: &mut Merge) {
    let at = match new.join {
        MergeJoin::At { .. } => new.join,
        MergeJoin::Mitred | MergeJoin::Over | MergeJoin::Against => MergeJoin::At { station_mm: 0.0 },
    };
    let joins = [
        (MergeJoin::Mitred, "Mitred to the outlet".to_owned()),
        (MergeJoin::Over, "Outlet goes over the tubes".to_owned()),
        (MergeJoin::Against, "Outlet is set against the tubes".to_owned()),
        (at, "Cut in a plane I place".to_owned()),
    ];
    if let Some(join) = choice(ui, id.with("join"), "Outlet", &new.join, &joins) {
        new.join = join;
    }
    ui.end_row();
    if let MergeJoin::At { station_mm } = new.join {
        let kind = Kind::Length(ctx.units());
        if let Some(mm) = number(ui, id.with("station"), "Plane from where axes meet", station_mm, kind) {
            new.join = MergeJoin::At { station_mm: mm };
        }
        ui.end_row();
    }
}

fn arms_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, merge: &Merge, new: &mut Merge, requests: &mut Requests) {
    ui.add_space(6.0);
    ui.label(bold("Tubes that come in"));
    for (i, arm) in merge.arms.iter().enumerate() {
        Frame::group(ui.style()).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(bold(format!("Inlet {}", i + 1)));
            Grid::new(id.with(("arm", i))).num_columns(2).min_col_width(118.0).show(ui, |ui| {
                let id = id.with(("arm", i));
                if let Some(deg) = number(ui, id.with("angle"), "Angle to outlet", arm.angle_deg, Kind::Angle)
                {
                    new.arms[i] = MergeArm { angle_deg: deg, ..*arm };
                }
                ui.end_row();
                if let Some(deg) =
                    number(ui, id.with("clock"), "Comes from clock", arm.clock_deg, Kind::Angle)
                {
                    new.arms[i] = MergeArm { clock_deg: deg, ..*arm };
                }
                ui.end_row();
            });
            if merge.arms.len() > 2 && ui.button("Delete inlet").clicked() {
                match new_item::without_arm(ctx.project, merge, i) {
                    Ok(edit) => requests.edit("delete inlet", edit),
                    Err(sentence) => requests.push(Request::Complain(sentence)),
                }
            }
        });
    }
    let room = merge.arms.len() < MAX_ARMS;
    if ui.add_enabled(room, eframe::egui::Button::new("Add inlet")).clicked() {
        let mut project = ctx.project.clone();
        requests.edit("add inlet", new_item::merge_arm(&mut project, merge));
    }
}

/// What comes of it, in numbers.
fn result_ui(ui: &mut Ui, ctx: UiCtx<'_>, result: &MergeReport) {
    ui.add_space(6.0);
    if !result.laid_out {
        let words = "Let a run start or end at each of its hardpoints (From and To in the run's fields): the tubes are then cut to each other.";
        ui.add(Label::new(words).wrap());
        return;
    }
    let system = ctx.units();
    form(ui, "merge result", |ui| {
        let mut line = |label: &str, value: String| {
            ui.label(label);
            ui.label(bold(value));
            ui.end_row();
        };
        for seam in &result.seams {
            let [a, b] = seam.arms;
            line(&format!("Seam {a} to {b}"), units::length(seam.length_mm, system));
        }
        line("Weld round outlet", units::length(result.outlet_weld_mm, system));
        if let Some(ratio) = result.area_ratio {
            line("Outlet area over inlets", units::plain_number(ratio, 2));
        }
        if let Some(gap) = result.to_close_mm {
            line("Widest gap to close", units::length(gap, system));
        }
    });
    if result.open_middle {
        let words = "A hole is left in the middle between the tubes: close it with a plug.";
        ui.add(Label::new(words).wrap());
    }
}
