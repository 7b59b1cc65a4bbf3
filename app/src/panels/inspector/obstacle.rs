//! Fields of an obstacle.

use super::{bodies, foot, form, number_row, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field, number_hinted};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Hole, Item, Obstacle, Shape};

/// The fields.
pub(crate) fn obstacle_ui(ui: &mut Ui, ctx: UiCtx<'_>, obstacle: &Obstacle, requests: &mut Requests) {
    ui.heading(obstacle.shape.kind_name());
    let id = Id::unique(("obstacle", obstacle.id));
    let length = Kind::Length(ctx.units());
    let mut new = obstacle.clone();
    let mut what = "change";
    form(ui, "obstacle", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &obstacle.name) {
            (new.name, what) = (name, "rename");
        }
        ui.end_row();
        if let Some(body) = choice(ui, id.with("body"), "Belongs to", &obstacle.body, &bodies(ctx)) {
            new.body = body;
        }
        ui.end_row();
        if let Some(gap) = number_row(ui, id.with("gap"), "Gap to keep", obstacle.gap_mm, length) {
            new.gap_mm = gap;
        }
    });
    ui.checkbox(&mut new.heat_sensitive, "Heat harms it")
        .on_hover_text("Fuel, brake and coolant lines, looms, bodywork: hot pipes keep further away from it");
    if new.heat_sensitive {
        form(ui, "heat", |ui| {
            let hint = "Gap that hot pipes keep to this, in place of the one in the settings (common practice there, no source)";
            let usual = ctx.project.settings.hot_gap_mm;
            let shown = obstacle.hot_gap_mm.unwrap_or(usual);
            if let Some(mm) = number_hinted(ui, id.with("hot gap"), "Gap of hot pipes", hint, shown, length) {
                new.hot_gap_mm = ((mm - usual).abs() > 0.0).then_some(mm);
            }
            ui.end_row();
        });
    }
    ui.add_space(6.0);
    if let Shape::Scan(scan) = &obstacle.shape {
        super::scan::scan_ui(ui, ctx, obstacle, scan, requests);
    } else {
        ui.label(bold("Size"));
        form(ui, "size", |ui| shape_ui(ui, id, length, &mut new.shape));
    }
    if let Shape::Panel { holes, .. } = &mut new.shape {
        holes_ui(ui, id, length, holes);
    }
    ui.add_space(6.0);
    let centre = match obstacle.shape {
        Shape::HalfSpace => "A point of its face",
        Shape::Scan(_) => "Origin of its file",
        Shape::Box { .. }
        | Shape::Cylinder { .. }
        | Shape::Capsule { .. }
        | Shape::Sphere { .. }
        | Shape::Panel { .. } => "Centre",
    };
    ui.label(bold(centre));
    form(ui, "place", |ui| {
        let labels = ["X, forward", "Y, left", "Z, up"];
        if let Some(at) = vector_rows(ui, id.with("at"), labels, obstacle.pose.position_mm, length) {
            (new.pose.position_mm, what) = (at, "move");
        }
        let labels = ["Turn about X", "Turn about Y", "Turn about Z"];
        if let Some(turn) = vector_rows(ui, id.with("turn"), labels, obstacle.pose.turn_deg, Kind::Angle) {
            (new.pose.turn_deg, what) = (turn, "turn");
        }
    });
    if new != *obstacle {
        requests.edit(format!("{what} {}", obstacle.name), Edit::PutObstacle(new));
    }
    foot(ui, ctx, Item::Obstacle(obstacle.id), requests);
}

fn shape_ui(ui: &mut Ui, id: Id, length: Kind, shape: &mut Shape) {
    let row = |ui: &mut Ui, label: &str, value: &mut f64| {
        if let Some(new) = number_row(ui, id.with(label), label, *value, length) {
            *value = new;
        }
    };
    match shape {
        Shape::Box { size_mm } => {
            row(ui, "Along X", &mut size_mm.x);
            row(ui, "Along Y", &mut size_mm.y);
            row(ui, "Along Z", &mut size_mm.z);
        }
        Shape::Cylinder { diameter_mm, length_mm } => {
            row(ui, "Diameter", diameter_mm);
            row(ui, "Length", length_mm);
        }
        Shape::Capsule { diameter_mm, length_mm } => {
            row(ui, "Diameter", diameter_mm);
            row(ui, "Straight length", length_mm);
        }
        Shape::Sphere { diameter_mm } => row(ui, "Diameter", diameter_mm),
        Shape::Panel { width_mm, height_mm, thickness_mm, .. } => {
            row(ui, "Width, X", width_mm);
            row(ui, "Height, Y", height_mm);
            row(ui, "Thickness", thickness_mm);
        }
        Shape::Scan(_) => {}
        Shape::HalfSpace => {
            ui.label("All behind its face is solid.");
            ui.end_row();
        }
    }
}

fn holes_ui(ui: &mut Ui, id: Id, length: Kind, holes: &mut Vec<Hole>) {
    ui.label(bold(format!("Holes ({})", holes.len())));
    let mut gone = None;
    for (i, hole) in holes.iter_mut().enumerate() {
        let id = id.with(("hole", i));
        form(ui, &format!("hole {i}"), |ui| {
            for (label, value) in [
                ("Across, X", &mut hole.x_mm),
                ("Across, Y", &mut hole.y_mm),
                ("Hole diameter", &mut hole.diameter_mm),
            ] {
                if let Some(new) = number_row(ui, id.with(label), label, *value, length) {
                    *value = new;
                }
            }
        });
        if ui.button(format!("Delete hole {}", i + 1)).clicked() {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        holes.remove(i);
    }
    if ui.button("Add hole").clicked() {
        holes.push(Hole { x_mm: 0.0, y_mm: 0.0, diameter_mm: 90.0 });
    }
}
