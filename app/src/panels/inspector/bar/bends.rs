//! The bends of a bar.

use super::super::{form, set, set_hinted, vector_rows};
use crate::ctx::UiCtx;
use crate::theme::bold;
use crate::widgets::Kind;
use eframe::egui::{Id, Ui};
use glam::DVec3;
use pipeloft_core::model::{Bar, BarCorner};

/// The fields.
pub(super) fn bends_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, new: &mut Bar) {
    ui.add_space(4.0);
    ui.label(bold(format!("Bends ({})", bar.corners.len())));
    let length = Kind::Length(ctx.units());
    let mut gone = None;
    for (i, corner) in bar.corners.iter().enumerate() {
        form(ui, &format!("bar corner {i}"), |ui| {
            let id = id.with(("corner", i));
            let labels = ["Corner X", "Corner Y", "Corner Z"];
            if let Some(at) = vector_rows(ui, id, labels, corner.position_mm, length) {
                new.corners[i].position_mm = at;
            }
            set(ui, id, "Bend radius", &mut new.corners[i].clr_mm, length);
        });
        if ui.push_id(("gone", i), |ui| ui.button("Delete bend").clicked()).inner {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        new.corners.remove(i);
    }
    if ui.button("Add bend").clicked() {
        let points = bar.points_mm();
        let last = points[points.len() - 2];
        let middle = last.midpoint(bar.ends[1].position_mm);
        let clr_mm = 3.0 * bar.od_mm;
        new.corners.push(BarCorner { position_mm: middle + DVec3::Z * 50.0, clr_mm });
    }
    if !bar.corners.is_empty() {
        form(ui, "bending", |ui| bending_rows(ui, ctx, id, new));
    }
}

/// What the bender does and needs.
fn bending_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, new: &mut Bar) {
    let length = Kind::Length(ctx.units());
    let mut percent = new.springback_share * 100.0;
    let hint =
        "What the bender has to turn beyond the bend, in percent of it: try it on a piece of the same bar";
    set_hinted(ui, id, ("Springback, %", hint), &mut percent, Kind::Plain);
    if (percent - new.springback_share * 100.0).abs() > 0.0 {
        new.springback_share = percent / 100.0;
    }
    set(ui, id, "Left on to grip", &mut new.spare_mm, length);
    set(ui, id, "Straight between bends", &mut new.least_straight_mm, length);
}
