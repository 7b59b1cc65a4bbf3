//! Fields of a body: its name, and how far it moves.

use super::{form, set_hinted, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{Id, Label, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Body, Movement, Roll};

/// Roll that a body is given at first, degrees: what soft mounts let an engine do (common practice, no source).
const USUAL_ROLL_DEG: f64 = 3.0;

/// The fields.
pub(super) fn body_ui(ui: &mut Ui, ctx: UiCtx<'_>, body: &Body, requests: &mut Requests) {
    ui.heading("Body");
    let id = Id::unique(("body", body.id));
    let mut new = body.clone();
    let mut what = "change movement of";
    form(ui, "body", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &body.name) {
            (new.name, what) = (name, "rename");
        }
        ui.end_row();
    });
    if ctx.project.bodies.first().is_some_and(|first| first.id == body.id) {
        ui.add(Label::new("This body stands still. All others move against it.").wrap());
    } else {
        movement_ui(ui, ctx, id, &mut new.movement);
    }
    if new != *body {
        requests.edit(format!("{what} {}", body.name), Edit::PutBody(new));
    }
}

fn movement_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, movement: &mut Movement) {
    let length = Kind::Length(ctx.units());
    ui.label(bold("How far it moves"));
    ui.add(
        Label::new("To either side of where it is drawn. Gaps are then checked everywhere it can go.").wrap(),
    );
    form(ui, "movement", |ui| {
        let rows = [
            ("Forward and back", "Most shift along X, to either side"),
            ("Left and right", "Most shift along Y, to either side"),
            ("Up and down", "Most shift along Z, to either side"),
        ];
        for (i, row) in rows.into_iter().enumerate() {
            let mut mm = movement.shift_mm[i];
            set_hinted(ui, id, row, &mut mm, length);
            movement.shift_mm[i] = mm;
        }
        let options = [(false, "Does not roll".to_owned()), (true, "Rolls about a line".to_owned())];
        if let Some(rolls) = choice(ui, id.with("rolls"), "Roll", &movement.roll.is_some(), &options) {
            let usual = Roll { through_mm: middle(ctx), axis: DVec3::X, turn_deg: USUAL_ROLL_DEG };
            movement.roll = rolls.then_some(usual);
        }
        ui.end_row();
        if let Some(roll) = &mut movement.roll {
            set_hinted(
                ui,
                id,
                ("Turns by", "Most turn about the line, to either side"),
                &mut roll.turn_deg,
                Kind::Angle,
            );
            let ways = [
                (DVec3::X, "Forward".to_owned()),
                (DVec3::Y, "Left".to_owned()),
                (DVec3::Z, "Up".to_owned()),
            ];
            if let Some(axis) = choice(ui, id.with("axis"), "Line runs", &roll.axis, &ways) {
                roll.axis = axis;
            }
            ui.end_row();
            let labels = ["Line passes X", "Line passes Y", "Line passes Z"];
            if let Some(at) = vector_rows(ui, id.with("through"), labels, roll.through_mm, length) {
                roll.through_mm = at;
            }
        }
    });
}

/// The middle of all hardpoints, rounded: a line through there can be seen and put right.
fn middle(ctx: UiCtx<'_>) -> DVec3 {
    let ports = &ctx.project.hardpoints;
    let sum: DVec3 = ports.iter().map(|h| h.position_mm).sum();
    (sum / ports.len().max(1) as f64 / 10.0).round() * 10.0
}
