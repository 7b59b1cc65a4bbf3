//! The bends of a run, editable in place.

use super::fold;
use crate::ctx::UiCtx;
use crate::request::{Requests, Selection};
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, choice, number};
use eframe::egui::{Frame, Grid, Id, Stroke, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::new_item::usual_welds;
use pipeloft_core::edit::reshape::{moved, position, slide_axis, with_make, without};
use pipeloft_core::geom::tolerance::SAME_OD_MM;
use pipeloft_core::model::{BendMake, ElbowId, Ends, Item, Run, Vertex};
use pipeloft_core::report::{BendReport, RunReport};
use pipeloft_core::units;

/// The bends.
pub(crate) fn bends_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Bends ({})", report.bends.len()), "bends", true, |ui| {
        if report.bends.is_empty() {
            ui.label("The run is straight. Drag a + on it in the 3D view to put in a bend.");
        }
        for (i, bend) in report.bends.iter().enumerate() {
            ui.push_id(("bend", i), |ui| card(ui, ctx, run, i + 1, bend, requests));
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

/// How a bend is made, as it is chosen.
#[derive(Clone, PartialEq)]
enum How {
    Elbow(ElbowId),
    Mitred(Ends),
}

fn card(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, number: usize, bend: &BendReport, requests: &mut Requests) {
    let selected = ctx.selection.vertex == Some(bend.vertex);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let mut frame = Frame::group(ui.style());
    if selected {
        frame = frame.stroke(Stroke::new(2.0, tokens.selected));
    }
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            let title = format!("Bend {number}   {}", units::angle(bend.angle_deg, 1));
            if ui.selectable_label(selected, bold(title)).clicked() {
                requests.select(Selection::vertex(Item::Run(run.id), bend.vertex));
            }
            if let Some(roll) = bend.roll_deg {
                ui.label(format!("roll {}", units::angle(roll, 1))).on_hover_text(
                    "Turn of this bend's plane against the one before, clockwise along the travel",
                );
            }
        });
        make_ui(ui, ctx, run, bend, requests);
        if selected {
            place_ui(ui, ctx, run, bend.vertex, requests);
        }
    });
}

fn make_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, bend: &BendReport, requests: &mut Requests) {
    let id = Id::unique(("bend", run.id, vertex_salt(bend.vertex)));
    let Some(make) = run.make(bend.vertex) else { return };
    let od = ctx.project.tube(run.tube).map_or(0.0, |t| t.od_mm);
    let fits = ctx.project.elbows.iter().filter(|e| (e.od_mm - od).abs() <= SAME_OD_MM);
    let mut options: Vec<(How, String)> =
        fits.map(|e| (How::Elbow(e.id), ctx.project.elbow_name(e))).collect();
    options.push((How::Mitred(Ends::Half), "Mitred, half ends".to_owned()));
    options.push((How::Mitred(Ends::Full), "Mitred, full ends".to_owned()));
    let current = match make {
        BendMake::Elbow { elbow } => How::Elbow(elbow),
        BendMake::Mitred { ends, .. } => How::Mitred(ends),
    };
    let mut new = make;
    Grid::new(id.with("grid")).num_columns(2).min_col_width(80.0).show(ui, |ui| {
        if let Some(how) = choice(ui, id.with("how"), "Made as", &current, &options) {
            let (clr_mm, welds) = match make {
                BendMake::Mitred { clr_mm, welds, .. } => (clr_mm, welds),
                BendMake::Elbow { .. } => {
                    let welds = usual_welds(bend.angle_deg.to_radians());
                    (bend.clr_mm.max(od), welds)
                }
            };
            new = match how {
                How::Elbow(elbow) => BendMake::Elbow { elbow },
                How::Mitred(ends) => {
                    let least = pipeloft_core::fab::Mitre::least_welds(ends);
                    BendMake::mitred(clr_mm, welds.max(least), ends)
                }
            };
        }
        ui.end_row();
        if let BendMake::Mitred { clr_mm, welds, ends, .. } = make {
            let kind = Kind::Length(ctx.units());
            if let Some(clr) = number(ui, id.with("clr"), "CLR", clr_mm, kind) {
                new = BendMake::mitred(clr, welds, ends);
            }
            ui.end_row();
            if let Some(count) = number(ui, id.with("welds"), "Welds", f64::from(welds), Kind::Count) {
                new = BendMake::mitred(clr_mm, count as u32, ends);
            }
            ui.end_row();
        }
    });
    if let (Some(saw), Some(slices), Some(heel), Some(throat)) =
        (bend.saw_angle_deg, bend.slices, bend.heel_mm, bend.throat_mm)
    {
        let system = ctx.units();
        let whole = match slices {
            0 => "no whole slice".to_owned(),
            1 => "1 whole slice".to_owned(),
            n => format!("{n} whole slices"),
        };
        ui.label(format!("Saw at {}, {whole}", units::angle(saw, 2)));
        if slices > 0 {
            ui.label(format!(
                "Heel {}, throat {}",
                units::length(heel, system),
                units::length(throat, system)
            ));
        }
        if let Some(step) = bend.step_mm.filter(|s| *s > 0.05) {
            ui.label(format!("Outer welds stand proud by {}", units::length(step, system))).on_hover_text(
                "A mitred face on a square end: the long axis of the ellipse is wider than the tube",
            );
        }
    }
    if new != make {
        requests.edit("change bend", Edit::PutRun(with_make(run, bend.vertex, new)));
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
