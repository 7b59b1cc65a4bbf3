//! Jobs: forms that take the place of the right-hand panel for a while, with a live picture in the 3D view, and that
//! answer to clicks there. Measuring in, placing a scan, taking a section off.

mod bring_scan;
mod cut_scan;
mod measure;
mod pick_port;
mod place_scan;
mod routes;
mod scan_form;
mod sketch;
mod take_off;

pub(crate) use measure::Target as MeasureTarget;
pub(crate) use place_scan::unit_edit;
pub(crate) use routes::RoutesWish;
pub(crate) use sketch::{Choice3, Ink, Sketch, Stroke3};

use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use eframe::egui::{Frame, Key, Panel, ScrollArea, Ui};
use glam::DVec3;
use pipeloft_core::model::{Item, ObstacleId, RunId};
use pipeloft_core::view3d::Apart;
use std::path::PathBuf;
use take_off::TakeOffJob;

/// A place that was clicked in the 3D view while a job wanted one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    /// The place on what is drawn, mm.
    pub point: DVec3,
    /// Unit direction square to the surface there, towards the viewer, where it is known.
    pub normal: Option<DVec3>,
    /// What was clicked.
    pub item: Item,
    /// Unit direction of the line of sight.
    pub sight: DVec3,
}

/// The jobs there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JobKind {
    /// Measuring a place or a direction in.
    MeasureIn(MeasureTarget),
    /// Taking a section of a run off.
    TakeOff(RunId),
    /// Finding routes for a run, or a cure for it.
    Routes(RunId, RoutesWish),
    /// Reads a scan and brings it in.
    BringScan(PathBuf),
    /// Lays a scan over the vehicle.
    PlaceScan(ObstacleId),
    /// Cuts a scan down to a box.
    CutScan(ObstacleId),
    /// A hardpoint from points round a rim of a scan.
    PickRim(ObstacleId),
    /// A hardpoint from one point of a face of a scan.
    PickFace(ObstacleId),
}

/// Opens a job.
pub(crate) fn open(kind: &JobKind, ctx: UiCtx<'_>) -> Box<dyn Job> {
    match kind {
        JobKind::MeasureIn(target) => Box::new(measure::MeasureIn::new(*target, ctx)),
        JobKind::TakeOff(run) => Box::new(TakeOffJob::new(*run, ctx)),
        JobKind::Routes(run, wish) => Box::new(routes::RoutesJob::new(*run, *wish, ctx)),
        JobKind::BringScan(path) => Box::new(bring_scan::BringScan::new(path)),
        JobKind::PlaceScan(id) => Box::new(place_scan::PlaceScan::new(*id, ctx)),
        JobKind::CutScan(id) => Box::new(cut_scan::CutScan::new(*id, ctx)),
        JobKind::PickRim(id) => Box::new(pick_port::PickRim::new(*id)),
        JobKind::PickFace(id) => Box::new(pick_port::PickFace::new(*id)),
    }
}

/// Whether a job goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stay {
    /// It stays open.
    Open,
    /// It is done, or there is nothing more to do.
    Closed,
    /// The user wants to leave it.
    Left,
}

/// A form with a picture. It keeps what is entered by itself; the project changes only by its wishes.
pub(crate) trait Job: std::fmt::Debug {
    /// Heading of the form.
    fn title(&self) -> String;

    /// Shows the form. `spot` is a place that was clicked since the last frame.
    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, spot: Option<Spot>, requests: &mut Requests) -> Stay;

    /// What is drawn over the 3D view.
    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch;

    /// A section of a run that is drawn away from where it is built.
    fn apart(&self) -> Option<Apart> {
        None
    }

    /// The one thing that is drawn, where all else would be in the way.
    fn only(&self) -> Option<Item> {
        None
    }

    /// Whether clicks in the 3D view are for the job, not for selecting.
    fn wants_spots(&self) -> bool {
        false
    }

    /// Whether something was entered that is gone when the form is left.
    fn holds_entries(&self) -> bool;

    /// What stays in view below the form, however long that is: the one next step. Shown before the form in every frame,
    /// so it acts on what the form came to in the last one, or leaves a note for [`Self::ui`].
    fn foot(&mut self, _ui: &mut Ui, _ctx: UiCtx<'_>) {}

    /// Whether it has such a foot.
    fn has_foot(&self) -> bool {
        false
    }

    /// One of the sketch's choices was clicked in the 3D view.
    fn chosen(&mut self, _index: usize) {}
}

/// Shows the job in the right-hand panel. Esc and the button at its head leave it.
pub(crate) fn job_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    job: &mut dyn Job,
    spot: Option<Spot>,
    may_escape: bool,
    requests: &mut Requests,
) -> Stay {
    let mut stay = Stay::Open;
    if job.has_foot() {
        Panel::bottom("job foot").resizable(false).frame(Frame::NONE).show(ui, |ui| job.foot(ui, ctx));
    }
    ScrollArea::vertical().auto_shrink(false).id_salt("job").show(ui, |ui| {
        ui.set_max_width((ui.available_width() - 6.0).max(300.0));
        ui.horizontal(|ui| {
            ui.label(bold(job.title()));
            if ui.button("Close").on_hover_text("Leave this form; nothing more is changed (Esc)").clicked() {
                stay = Stay::Left;
            }
        });
        ui.separator();
        match job.ui(ui, ctx, spot, requests) {
            Stay::Open => {}
            ended @ (Stay::Closed | Stay::Left) => stay = ended,
        }
    });
    if may_escape && stay == Stay::Open && ui.input(|i| i.key_pressed(Key::Escape)) {
        stay = Stay::Left;
    }
    stay
}
