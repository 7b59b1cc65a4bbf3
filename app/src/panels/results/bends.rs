//! The bends of a run, editable in place.

mod make;

use super::fold;
use crate::actions::{Action, text, tooltip};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, number};
use eframe::egui::{Frame, Grid, Id, Stroke, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::reshape::{moved, position, slide_axis, without};
use pipeloft_core::edit::snap::turned_to;
use pipeloft_core::model::{Item, Run, Vertex};
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// The bends.
pub(crate) fn bends_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Bends ({})", report.bends.len()), "bends", true, |ui| {
        if report.bends.is_empty() {
            ui.label("The run is straight. Drag a + on it in the 3D view to put in a bend.");
        }
        for i in 0..report.bends.len() {
            ui.push_id(("bend", i), |ui| card(ui, ctx, run, (report, i), requests));
        }
        // corners that turn nothing have no bend but can still be moved
        for vertex in run.vertices() {
            if vertex != Vertex::Open && !report.bends.iter().any(|b| b.vertex == vertex) {
                ui.push_id(("straight", vertex_salt(vertex)), |ui| {
                    Frame::group(ui.style()).show(ui, |ui| {
                        ui.label(format!("{} is in line: no bend there.", vertex_words(vertex)));
                        place_ui(ui, ctx, run, vertex, requests);
                    });
                });
            }
        }
    });
}

fn vertex_salt(vertex: Vertex) -> u32 {
    match vertex {
        Vertex::Start => 0,
        Vertex::End => 1,
        Vertex::Open => 2,
        Vertex::Way(id) => 3 + id.0,
    }
}

fn vertex_words(vertex: Vertex) -> &'static str {
    match vertex {
        Vertex::Start => "The corner at the start",
        Vertex::End => "The corner at the end",
        Vertex::Way(_) => "This waypoint",
        Vertex::Open => "The open end",
    }
}

fn card(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    run: &Run,
    (report, index): (&RunReport, usize),
    requests: &mut Requests,
) {
    let bend = &report.bends[index];
    let selected = ctx.selection.vertex == Some(bend.vertex);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let mut frame = Frame::group(ui.style());
    if selected {
        frame = frame.stroke(Stroke::new(2.0, tokens.selected));
    }
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            let title = format!("Bend {}   {}", index + 1, units::angle(bend.angle_deg, 1));
            if ui.selectable_label(selected, bold(title)).clicked() {
                requests.select(Selection::vertex(Item::Run(run.id), bend.vertex));
            }
            if let Some(roll) = bend.roll_deg {
                ui.label(format!("roll {}", units::angle(roll, 1))).on_hover_text(
                    "Turn of this bend's plane against the one before, clockwise along the travel",
                );
            }
        });
        make::make_ui(ui, ctx, run, (report, index), requests);
        if selected {
            angle_ui(ui, ctx, run, (bend.vertex, index + 1, bend.angle_deg), requests);
            place_ui(ui, ctx, run, bend.vertex, requests);
            same_make_ui(ui, report.bends.len(), requests);
        }
    });
}

/// The angle of a bend, typed: its vertex moves as little as that takes.
fn angle_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    run: &Run,
    (vertex, bend, angle_deg): (Vertex, usize, f64),
    requests: &mut Requests,
) {
    let id = Id::unique(("bend angle", run.id, vertex_salt(vertex)));
    let typed = ui.horizontal(|ui| number(ui, id, "Angle", angle_deg, Kind::Angle)).inner;
    let Some(deg) = typed else { return };
    let turned = (deg > 0.0).then(|| turned_to(ctx.project, run, vertex, deg.to_radians())).flatten();
    match turned {
        Some(turned) => {
            let label = format!("turn bend {bend} to {}°", units::plain_number(deg, 2));
            requests.edit(label, Edit::PutRun(turned));
        }
        None => requests.push(Request::Complain(format!(
            "No place of bend {bend} near by makes it {}°: move the bends beside it first, or put in another bend.",
            units::plain_number(deg, 2)
        ))),
    }
}

/// The button that makes all other bends of the run like the selected one.
fn same_make_ui(ui: &mut Ui, bends: usize, requests: &mut Requests) {
    if bends > 1 && ui.button(text(Action::SameMake)).on_hover_text(tooltip(Action::SameMake)).clicked() {
        requests.act(Action::SameMake);
    }
}

/// Where the vertex is, typed exactly.
fn place_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, vertex: Vertex, requests: &mut Requests) {
    let id = Id::unique(("vertex", run.id, vertex_salt(vertex)));
    let kind = Kind::Length(ctx.units());
    let Some(at) = position(ctx.project, run, vertex) else { return };
    let mut target: Option<DVec3> = None;
    Grid::new(id.with("grid")).num_columns(2).min_col_width(80.0).show(ui, |ui| {
        if let Some((origin, axis)) = slide_axis(ctx.project, run, vertex) {
            let reach = (at - origin).dot(axis);
            if let Some(mm) = number(ui, id.with("reach"), "From the face", reach, kind) {
                target = Some(origin + axis * mm);
            }
            ui.end_row();
        } else {
            for (i, label) in ["X, forward", "Y, left", "Z, up"].into_iter().enumerate() {
                if let Some(mm) = number(ui, id.with(i), label, at[i], kind) {
                    let mut to = at;
                    to[i] = mm;
                    target = Some(to);
                }
                ui.end_row();
            }
        }
    });
    if let Some(target) = target {
        requests.edit("move bend", Edit::PutRun(moved(ctx.project, run, vertex, target)));
    }
    if let Vertex::Way(way) = vertex
        && ui.button("Delete waypoint").clicked()
    {
        requests.edit("delete waypoint", Edit::PutRun(without(ctx.project, run, way)));
    }
}
