//! The tapers of a run.

use super::fold;
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, number};
use eframe::egui::{Button, Frame, Grid, Id, Ui};
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::model::{Run, Taper, TaperMake};
use pipeloft_core::report::{PieceReport, RunReport};
use pipeloft_core::units;

/// The tapers.
pub(crate) fn tapers_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    let title = format!("Tapers ({})", run.tapers.len());
    fold(ui, &title, "tapers", true, |ui| {
        for taper in &run.tapers {
            ui.push_id(("taper", taper.id), |ui| taper_ui(ui, ctx, (run, report), taper, requests));
        }
        let any = new_item::has_taper(ctx.project, run);
        let add = ui.add_enabled(any, Button::new("Add taper"));
        let add = add.on_hover_text("Go on in another tube from the middle of the longest straight");
        if add.on_disabled_hover_text("Needs a straight, and a second size of tube of a metal that welds to this one: Add, then Add tube").clicked() {
            let mut project = ctx.project.clone();
            if let Some(taper) = new_item::taper(&mut project, run) {
                let mut new = run.clone();
                new.tapers.push(taper);
                requests.edit("add taper", Edit::PutRun(new));
            }
        }
    });
}

fn taper_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    (run, report): (&Run, &RunReport),
    taper: &Taper,
    requests: &mut Requests,
) {
    let id = Id::unique(("taper", run.id, taper.id));
    let legs = report.built.route.as_ref().map_or(0, |r| r.places.len());
    let mut new = *taper;
    Frame::group(ui.style()).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(bold("Taper"));
        Grid::new(id.with("grid")).num_columns(2).min_col_width(118.0).show(ui, |ui| {
            let places: Vec<_> =
                (0..legs.max(taper.leg + 1)).map(|l| (l, format!("Leg {}", l + 1))).collect();
            if let Some(leg) = choice(ui, id.with("leg"), "On", &taper.leg, &places) {
                new.leg = leg;
            }
            ui.end_row();
            let length = Kind::Length(ctx.units());
            let field = |ui: &mut Ui, label: &str, value: &mut f64, kind: Kind| {
                if let Some(x) = number(ui, id.with(label), label, *value, kind) {
                    *value = x;
                }
                ui.end_row();
            };
            field(ui, "Taper middle at", &mut new.station_mm, length);
            field(ui, "Taper length", &mut new.length_mm, length);
            let tubes: Vec<_> = ctx.project.tubes.iter().map(|t| (t.id, ctx.project.tube_name(t))).collect();
            if let Some(tube) = choice(ui, id.with("tube"), "Goes on in", &taper.tube, &tubes) {
                new.tube = tube;
            }
            ui.end_row();
            field(ui, "Taper wall", &mut new.wall_mm, Kind::Fine(ctx.units()));
            field(ui, "Set off by", &mut new.offset_mm, length);
            field(ui, "Towards clock", &mut new.offset_clock_deg, Kind::Angle);
            let rolled = match taper.make {
                TaperMake::Rolled { .. } => taper.make,
                TaperMake::Bought => TaperMake::Rolled { seam_clock_deg: 180.0, lap_mm: 0.0 },
            };
            let makes = [(TaperMake::Bought, "Bought".to_owned()), (rolled, "Rolled from sheet".to_owned())];
            if let Some(make) = choice(ui, id.with("make"), "Taper is", &taper.make, &makes) {
                new.make = make;
            }
            ui.end_row();
            if let TaperMake::Rolled { seam_clock_deg, lap_mm } = &mut new.make {
                field(ui, "Seam at clock", seam_clock_deg, Kind::Angle);
                field(ui, "Lap at seam", lap_mm, length);
            }
        });
        if let Some(words) = piece(report, taper).and_then(|p| words(ctx, p)) {
            ui.add(eframe::egui::Label::new(words).wrap());
        }
        if ui.button("Delete taper").clicked() {
            let mut run = run.clone();
            run.tapers.retain(|t| t.id != taper.id);
            requests.edit("delete taper", Edit::PutRun(run));
        }
    });
    if new != *taper {
        let mut run = run.clone();
        if let Some(old) = run.tapers.iter_mut().find(|t| t.id == taper.id) {
            *old = new;
        }
        requests.edit("change taper", Edit::PutRun(run));
    }
}

/// The piece that a taper has become.
fn piece<'a>(report: &'a RunReport, taper: &Taper) -> Option<&'a PieceReport> {
    let is = |p: &pipeloft_core::fab::Piece| matches!(p.kind, pipeloft_core::fab::PieceKind::Taper(t) if t.taper == taper.id);
    report.pieces.get(report.built.pieces.iter().position(is)?)
}

fn words(ctx: UiCtx<'_>, piece: &PieceReport) -> Option<String> {
    let (taper, system) = (piece.taper?, ctx.units());
    let size = |mm| units::tube_size(mm, system);
    let seam = taper.seam_mm.map_or_else(String::new, |mm| format!(", seam {}", units::length(mm, system)));
    Some(format!(
        "{}: {} to {}, {}{seam}",
        piece.mark,
        size(piece.od_mm),
        size(taper.end_od_mm),
        units::mass(taper.mass_kg, system)
    ))
}
