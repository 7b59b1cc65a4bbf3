//! Fields of what is in stock, and of bodies.

use super::joint::joint_ui;
use super::tube::tube_ui;
use super::{foot, form, set, set_count};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{ElbowStock, Item, Material};

/// The fields of a stock item or body.
pub(crate) fn stock_ui(ui: &mut Ui, ctx: UiCtx<'_>, item: Item, requests: &mut Requests) {
    match item {
        Item::Tube(id) => {
            if let Some(tube) = ctx.project.tube(id) {
                tube_ui(ui, ctx, tube, requests);
            }
        }
        Item::Elbow(id) => {
            if let Some(elbow) = ctx.project.elbow(id) {
                elbow_ui(ui, ctx, elbow, requests);
            }
        }
        Item::Joint(id) => {
            if let Some(joint) = ctx.project.joint(id) {
                joint_ui(ui, ctx, joint, requests);
            }
        }
        Item::Body(id) => {
            if let Some(body) = ctx.project.body(id) {
                super::body::body_ui(ui, ctx, body, requests);
            }
        }
        Item::Datum(id) => {
            if let Some(datum) = ctx.project.datum(id) {
                super::datum::datum_ui(ui, ctx, datum, requests);
            }
        }
        Item::Merge(id) => {
            if let Some(merge) = ctx.project.merge(id) {
                super::merge::merge_ui(ui, ctx, merge, requests);
            }
        }
        Item::Bar(id) => {
            if let Some(bar) = ctx.project.bar(id) {
                super::bar::bar_ui(ui, ctx, bar, requests);
            }
        }
        Item::Hardpoint(_) | Item::Obstacle(_) | Item::Run(_) => {}
    }
    foot(ui, ctx, item, requests);
}

pub(super) fn materials() -> Vec<(Material, String)> {
    Material::ALL.into_iter().map(|m| (m, m.name().to_owned())).collect()
}

fn elbow_ui(ui: &mut Ui, ctx: UiCtx<'_>, elbow: &ElbowStock, requests: &mut Requests) {
    ui.heading("Elbow");
    let (id, length) = (Id::unique(("elbow", elbow.id)), Kind::Length(ctx.units()));
    let fine = Kind::Fine(ctx.units());
    let mut new = elbow.clone();
    form(ui, "elbow", |ui| {
        if let Some(material) = choice(ui, id.with("material"), "Material", &elbow.material, &materials()) {
            new.material = material;
        }
        ui.end_row();
        set(ui, id, "Outside diameter", &mut new.od_mm, length);
        set(ui, id, "Wall", &mut new.wall_mm, fine);
        set(ui, id, "Centreline radius", &mut new.clr_mm, length);
        set(ui, id, "Bend angle", &mut new.angle_deg, Kind::Angle);
        set(ui, id, "Leg at each end", &mut new.leg_mm, length);
        set_count(ui, id, "On the shelf", &mut new.count);
    });
    if new != *elbow {
        requests.edit("change elbow", Edit::PutElbow(new));
    }
}
