//! Fields of tube, elbows, joints and bodies.

use super::{foot, form, number_row};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{ElbowStock, Item, JointKind, JointStyle, Lobe, Material, Offcut, Tube};

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
                ui.heading("Body");
                form(ui, "body", |ui| {
                    if let Some(name) = name_field(ui, Id::unique(("body", id)), "Name", &body.name) {
                        let new = pipeloft_core::model::Body { name, ..body.clone() };
                        requests.edit(format!("rename {}", body.name), Edit::PutBody(new));
                    }
                    ui.end_row();
                });
            }
        }
        Item::Hardpoint(_) | Item::Obstacle(_) | Item::Run(_) => {}
    }
    foot(ui, item, requests);
}

fn materials() -> Vec<(Material, String)> {
    Material::ALL.into_iter().map(|m| (m, m.name().to_owned())).collect()
}

/// Sets `value` when the field gives a new number.
fn set(ui: &mut Ui, id: Id, label: &str, value: &mut f64, kind: Kind) {
    if let Some(new) = number_row(ui, id.with(label), label, *value, kind) {
        *value = new;
    }
}

fn set_count(ui: &mut Ui, id: Id, label: &str, value: &mut u32) {
    if let Some(new) = number_row(ui, id.with(label), label, f64::from(*value), Kind::Count) {
        *value = new as u32;
    }
}

fn tube_ui(ui: &mut Ui, ctx: UiCtx<'_>, tube: &Tube, requests: &mut Requests) {
    ui.heading("Tube");
    let (id, length) = (Id::unique(("tube", tube.id)), Kind::Length(ctx.units()));
    let mut new = tube.clone();
    form(ui, "tube", |ui| {
        if let Some(material) = choice(ui, id.with("material"), "Material", &tube.material, &materials()) {
            new.material = material;
        }
        ui.end_row();
        set(ui, id, "Outside diameter", &mut new.od_mm, length);
        set(ui, id, "Wall", &mut new.wall_mm, length);
        set(ui, id, "Stick length", &mut new.stick_mm, length);
        set_count(ui, id, "Sticks on the rack", &mut new.sticks_on_hand);
        let price = tube.stick_price.unwrap_or(0.0);
        if let Some(price) = number_row(ui, id.with("price"), "Price of a stick", price, Kind::Plain) {
            new.stick_price = (price > 0.0).then_some(price);
        }
    });
    ui.add_space(6.0);
    ui.label(bold(format!("Offcuts ({})", tube.offcuts.len())));
    let mut gone = None;
    for (i, offcut) in new.offcuts.iter_mut().enumerate() {
        let id = id.with(("offcut", i));
        form(ui, &format!("offcut {i}"), |ui| {
            set(ui, id, "Length", &mut offcut.length_mm, length);
            set_count(ui, id, "How many", &mut offcut.count);
        });
        if ui.button(format!("Delete offcut {}", i + 1)).clicked() {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        new.offcuts.remove(i);
    }
    if ui.button("Add offcut").clicked() {
        new.offcuts.push(Offcut { length_mm: 300.0, count: 1 });
    }
    if new != *tube {
        requests.edit("change tube", Edit::PutTube(new));
    }
}

fn elbow_ui(ui: &mut Ui, ctx: UiCtx<'_>, elbow: &ElbowStock, requests: &mut Requests) {
    ui.heading("Elbow");
    let (id, length) = (Id::unique(("elbow", elbow.id)), Kind::Length(ctx.units()));
    let mut new = elbow.clone();
    form(ui, "elbow", |ui| {
        if let Some(material) = choice(ui, id.with("material"), "Material", &elbow.material, &materials()) {
            new.material = material;
        }
        ui.end_row();
        set(ui, id, "Outside diameter", &mut new.od_mm, length);
        set(ui, id, "Wall", &mut new.wall_mm, length);
        set(ui, id, "Centreline radius", &mut new.clr_mm, length);
        set(ui, id, "Bend angle", &mut new.angle_deg, Kind::Angle);
        set(ui, id, "Leg at each end", &mut new.leg_mm, length);
        set_count(ui, id, "On the shelf", &mut new.count);
    });
    if new != *elbow {
        requests.edit("change elbow", Edit::PutElbow(new));
    }
}

fn joint_ui(ui: &mut Ui, ctx: UiCtx<'_>, joint: &JointKind, requests: &mut Requests) {
    ui.heading("Joint");
    let (id, length) = (Id::unique(("joint", joint.id)), Kind::Length(ctx.units()));
    let mut new = joint.clone();
    form(ui, "joint", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &joint.name) {
            new.name = name;
        }
        ui.end_row();
        let styles: Vec<_> = JointStyle::ALL.into_iter().map(|s| (s, s.name().to_owned())).collect();
        if let Some(style) = choice(ui, id.with("style"), "Kind", &joint.style, &styles) {
            new.style = style;
        }
        ui.end_row();
        set(ui, id, "Fits tube", &mut new.od_mm, length);
        set(ui, id, "Make-up", &mut new.make_up_mm, length);
        set(ui, id, "Body diameter", &mut new.body_od_mm, length);
        set(ui, id, "Body width", &mut new.body_width_mm, length);
    });
    ui.label("Make-up is tube end to tube end when the joint is closed: it is cut out of the pipe.");
    ui.checkbox(&mut new.welded, "Its halves are welded to the tubes");
    let mut has_lobe = joint.lobe.is_some();
    if ui.checkbox(&mut has_lobe, "It has a nut, lever or lock that stands out").changed() {
        let reach_mm = joint.body_od_mm / 2.0 + 15.0;
        new.lobe = has_lobe.then_some(Lobe { width_mm: 20.0, reach_mm, length_mm: joint.body_width_mm });
    }
    if let Some(lobe) = &mut new.lobe {
        form(ui, "lobe", |ui| {
            set(ui, id, "Lobe width", &mut lobe.width_mm, length);
            set(ui, id, "Reach from centre", &mut lobe.reach_mm, length);
            set(ui, id, "Length along tube", &mut lobe.length_mm, length);
        });
    }
    if new != *joint {
        requests.edit(format!("change {}", joint.name), Edit::PutJoint(new));
    }
}
