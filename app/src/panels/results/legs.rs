//! The legs of a run with the joints on them.

use super::fold;
use crate::ctx::UiCtx;
use crate::panels::inspector::turn_lobe;
use crate::panels::lobe::turn_lobe_ui;
use crate::panels::lobe_room::lobe_room_ui;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::bold;
use crate::widgets::{Kind, choice, number};
use eframe::egui::{Frame, Grid, Id, Ui};
use pipeloft_core::edit::reshape::with_fitting;
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::fab::face::{fitting_piece, port_piece};
use pipeloft_core::model::{Attachment, Fitting, FittingId, Item, Run, RunEnd, RunId};
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// The legs.
pub(crate) fn legs_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    let title = format!("Straights and joints ({})", run.fittings.len());
    fold(ui, &title, "legs", true, |ui| {
        Grid::new(Id::unique(("legs", run.id))).num_columns(3).striped(true).show(ui, |ui| {
            for (i, leg) in report.legs.iter().enumerate() {
                ui.label(format!("Leg {}", i + 1));
                ui.label(format!("straight {}", units::length(leg.straight_mm, ctx.units())));
                let entered = report
                    .built
                    .route
                    .as_ref()
                    .and_then(|r| r.places.iter().position(|p| p.leg == i))
                    .unwrap_or(i);
                let any = !ctx.project.joints.is_empty();
                // one below the other, so that the narrowest panel holds them
                ui.vertical(|ui| {
                    let add = ui.add_enabled(any, eframe::egui::Button::new("Add joint").small());
                    if add
                        .on_disabled_hover_text("Enter a kind of joint first: Add, then Add joint")
                        .clicked()
                    {
                        add_joint(ctx, run, entered, leg.straight_mm, requests);
                    }
                    let branch = ui.small_button("Add branch");
                    if branch
                        .on_hover_text("A hardpoint on this leg for a run that goes out of its side")
                        .clicked()
                    {
                        add_branch(ctx, run, entered, requests);
                    }
                });
                ui.end_row();
            }
        });
        for fitting in &run.fittings {
            ui.push_id(("fitting", fitting.id), |ui| fitting_ui(ui, ctx, (run, report), fitting, requests));
        }
        port_joint_ui(ui, ctx, (run, report), requests);
    });
}

/// The room for the lobe of a joint of the run where it is selected, else a button that selects it; returns the clock
/// angle that was chosen, degrees.
fn room_ui(ui: &mut Ui, ctx: UiCtx<'_>, joint: (RunId, usize), requests: &mut Requests) -> Option<f64> {
    if ctx.selected_piece() == Some(joint.1) {
        return lobe_room_ui(ui, ctx, joint, requests);
    }
    if ui
        .button("Show its room")
        .on_hover_text("Where the lobe has room, in words and in the 3D view")
        .clicked()
        && let Some(run) = ctx.report.run(joint.0)
    {
        requests.select(Selection::piece(run, joint.1));
    }
    None
}

/// The joint at one of the run's hardpoints, where it is the piece that is selected.
fn port_joint_ui(ui: &mut Ui, ctx: UiCtx<'_>, (run, report): (&Run, &RunReport), requests: &mut Requests) {
    let Some(piece) = ctx.selected_piece() else { return };
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    };
    let ports = [(Some(run.start), true), (end, false)];
    let at = ports.into_iter().find(|(_, start)| port_piece(&report.built, *start) == Some(piece));
    let Some(port) = at.and_then(|(id, _)| ctx.project.hardpoint(id?)) else { return };
    let Attachment::Joint { joint, .. } = port.attachment else { return };
    let Some(kind) = ctx.project.joint(joint).filter(|kind| kind.lobe.is_some()) else { return };
    Frame::group(ui.style()).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(bold(format!("{} at {}", kind.name, port.name)));
        let chosen = lobe_room_ui(ui, ctx, (run.id, piece), requests);
        turn_lobe(port, chosen, requests);
    });
}

fn add_branch(ctx: UiCtx<'_>, run: &Run, leg: usize, requests: &mut Requests) {
    let mut project = ctx.project.clone();
    if let Some(port) = new_item::branch(&mut project, run.id, leg) {
        let item = Item::Hardpoint(port.id);
        requests.edit("add branch", Edit::PutHardpoint(port));
        requests.select(Selection::of(item));
        let leg = leg + 1;
        requests.push(Request::Say(format!(
            "A branch can start on leg {leg} now. Turn and slide it on the right, then press “Start a run here” there."
        )));
    }
}

fn add_joint(ctx: UiCtx<'_>, run: &Run, leg: usize, straight_mm: f64, requests: &mut Requests) {
    let od = ctx.project.tube(run.tube).map_or(0.0, |t| t.od_mm);
    let near = |j: &&pipeloft_core::model::JointKind| ((j.od_mm - od).abs() * 1e3) as i64;
    let Some(joint) = ctx.project.joints.iter().min_by_key(near) else { return };
    let fitting = Fitting {
        id: FittingId(ctx.project.next_id),
        joint: joint.id,
        leg,
        station_mm: straight_mm / 2.0,
        lobe_clock_deg: 0.0,
    };
    requests.edit("add joint", Edit::PutRun(with_fitting(run, fitting)));
}

fn fitting_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    (run, report): (&Run, &RunReport),
    fitting: &Fitting,
    requests: &mut Requests,
) {
    let id = Id::unique(("fitting", run.id, fitting.id));
    let legs = report.built.route.as_ref().map_or(0, |r| r.places.len());
    let (mut new, mut what) = (*fitting, "change joint");
    Frame::group(ui.style()).show(ui, |ui| {
        ui.set_width(ui.available_width());
        let joint = ctx.project.joint(fitting.joint);
        ui.label(bold(joint.map_or("Joint", |j| j.name.as_str())));
        Grid::new(id.with("grid")).num_columns(2).min_col_width(80.0).show(ui, |ui| {
            let kinds: Vec<_> = ctx.project.joints.iter().map(|j| (j.id, j.name.clone())).collect();
            if let Some(joint) = choice(ui, id.with("joint"), "Kind", &fitting.joint, &kinds) {
                new.joint = joint;
            }
            ui.end_row();
            let places: Vec<_> =
                (0..legs.max(fitting.leg + 1)).map(|l| (l, format!("Leg {}", l + 1))).collect();
            if let Some(leg) = choice(ui, id.with("leg"), "On", &fitting.leg, &places) {
                new.leg = leg;
            }
            ui.end_row();
            let kind = Kind::Length(ctx.units());
            if let Some(mm) = number(ui, id.with("station"), "Middle at", fitting.station_mm, kind) {
                new.station_mm = mm;
            }
            ui.end_row();
            if let Some(deg) =
                number(ui, id.with("lobe"), "Lobe at clock", fitting.lobe_clock_deg, Kind::Angle)
            {
                new.lobe_clock_deg = deg;
            }
            ui.end_row();
        });
        if joint.is_some_and(|j| j.lobe.is_some()) {
            let piece = fitting_piece(&report.built, fitting);
            if let Some(deg) = turn_lobe_ui(ui, ctx, (Some(&report.built), piece), fitting.lobe_clock_deg) {
                (new.lobe_clock_deg, what) = (deg, "turn lobe");
            }
            if let Some(deg) = piece.and_then(|piece| room_ui(ui, ctx, (run.id, piece), requests)) {
                (new.lobe_clock_deg, what) = (deg, "turn lobe");
            }
        }
        if ui.button("Delete joint").clicked() {
            let mut run = run.clone();
            run.fittings.retain(|f| f.id != fitting.id);
            requests.edit("delete joint", Edit::PutRun(run));
        }
    });
    if new != *fitting {
        requests.edit(what, Edit::PutRun(with_fitting(run, new)));
    }
}
