//! Fields of a run: what it carries, its tube, where it goes.

use super::{foot, form, number_row};
use crate::actions::{Action, text, tooltip};
use crate::ctx::UiCtx;
use crate::job_kind::{JobKind, RoutesWish};
use crate::request::{Request, Requests};
use crate::widgets::{Kind, choice, name_field, unbroken};
use eframe::egui::{CollapsingHeader, Id, Label, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::new_item::bend_make;
use pipeloft_core::model::{Corner, HardpointId, Item, Run, RunEnd, Service};
use pipeloft_core::report::RunReport;

/// The fields.
pub(crate) fn run_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    let id = Id::unique(("run", run.id));
    let mut new = run.clone();
    let mut what = "change";
    let header =
        CollapsingHeader::new(crate::theme::bold("What and where")).id_salt("what").default_open(true);
    header.show(ui, |ui| {
        form(ui, "run", |ui| {
            if let Some(name) = name_field(ui, id.with("name"), "Name", &run.name) {
                (new.name, what) = (name, "rename");
            }
            ui.end_row();
            let services: Vec<_> = Service::ALL.into_iter().map(|s| (s, s.name().to_owned())).collect();
            if let Some(service) = choice(ui, id.with("service"), "Carries", &run.service, &services) {
                new.service = service;
            }
            ui.end_row();
            let tubes: Vec<_> = ctx.project.tubes.iter().map(|t| (t.id, ctx.project.tube_name(t))).collect();
            if let Some(tube) = choice(ui, id.with("tube"), "Tube", &run.tube, &tubes) {
                (new.tube, what) = (tube, "change tube of");
            }
            ui.end_row();
            let ports: Vec<_> = ctx.project.hardpoints.iter().map(|h| (h.id, h.name.clone())).collect();
            if let Some(start) = choice(ui, id.with("from"), "From", &run.start, &ports) {
                (new.start, what) = (start, "change start of");
            }
            ui.end_row();
            end_ui(ui, ctx, id, run, report, &ports, &mut new);
            let length = Kind::Length(ctx.units());
            if let Some(gap) = number_row(ui, id.with("gap"), "Gap to other runs", run.gap_mm, length) {
                new.gap_mm = gap;
            }
        });
        super::run_end::run_end_ui(ui, ctx, id, run, report, &mut new);
        for note in report.support.iter().flat_map(|s| &s.notes) {
            ui.add(Label::new(unbroken(note)).wrap());
        }
        ui.horizontal_wrapped(|ui| {
            for (action, wish) in [
                (Action::FindRoutes, RoutesWish::Find),
                (Action::MendRun, RoutesWish::Mend),
                (Action::TidyBends, RoutesWish::Tidy),
            ] {
                if ui.button(text(action)).on_hover_text(tooltip(action)).clicked() {
                    requests.push(Request::Open(JobKind::Routes(run.id, wish)));
                }
            }
        });
        let take_off = ui.button(text(Action::TakeOff)).on_hover_text(tooltip(Action::TakeOff));
        if take_off.clicked() {
            requests.push(Request::Open(JobKind::TakeOff(run.id)));
        }
        foot(ui, ctx, Item::Run(run.id), requests);
    });
    if new != *run {
        requests.edit(format!("{what} {}", run.name), Edit::PutRun(new));
    }
}

fn end_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    id: Id,
    run: &Run,
    report: &RunReport,
    ports: &[(HardpointId, String)],
    new: &mut Run,
) {
    let mut ends: Vec<(Option<HardpointId>, String)> = vec![(None, "Open end".to_owned())];
    ends.extend(ports.iter().map(|(id, name)| (Some(*id), name.clone())));
    let current = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    };
    if let Some(end) = choice(ui, id.with("to"), "To", &current, &ends) {
        let last = report.vertices_mm.last().copied().unwrap_or(DVec3::ZERO);
        new.end = match (end, run.end) {
            (Some(hardpoint), RunEnd::Hardpoint { corner, .. }) => RunEnd::Hardpoint { hardpoint, corner },
            (Some(hardpoint), RunEnd::Open { .. }) => {
                let make = ctx.project.tube(run.tube).map_or(run.start_corner.make, |t| {
                    bend_make(ctx.project, t, std::f64::consts::FRAC_PI_2)
                });
                let reach_mm = run.start_corner.reach_mm;
                RunEnd::Hardpoint { hardpoint, corner: Corner { reach_mm, make } }
            }
            (None, _) => RunEnd::open(last),
        };
    }
    ui.end_row();
}
