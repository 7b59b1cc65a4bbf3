//! The pieces of a run in order.

use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests, Selection};
use crate::theme::bold;
use eframe::egui::{Grid, Id, Ui};
use pipeloft_core::fab::nest::saw_reads_deg;
use pipeloft_core::model::{Item, Run};
use pipeloft_core::report::{PieceReport, RunReport};
use pipeloft_core::units;

/// The table.
pub(crate) fn pieces_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Pieces ({})", report.pieces.len()), "pieces", true, |ui| {
        if report.pieces.is_empty() {
            ui.label("Nothing can be cut until the problems above are solved.");
            return;
        }
        let item = Item::Run(run.id);
        let scale = ctx.project.settings.saw.scale;
        let saw = |deg: f64| units::angle(saw_reads_deg(deg.to_radians(), scale), 2);
        let system = ctx.units();
        Grid::new(Id::unique(("pieces", run.id))).num_columns(5).striped(true).spacing([10.0, 2.0]).show(
            ui,
            |ui| {
                head(ui, &["Mark", "What", "Long", "Short", "Saw: start, end"]);
                for (i, piece) in report.pieces.iter().enumerate() {
                    let of = Selection::piece(item, i);
                    let on = ctx.selection.piece == Some(i);
                    let lit = ctx.hover.item == Some(item) && ctx.hover.piece == Some(i);
                    let response = ui.selectable_label(on || lit, bold(&piece.mark));
                    if response.clicked() {
                        requests.select(of);
                    }
                    if response.hovered() {
                        requests.push(Request::Hover(of));
                    }
                    ui.label(what(piece));
                    if piece.kind == "joint" {
                        ui.label(units::length(piece.centre_mm, system));
                        ui.label("");
                        ui.label(
                            piece
                                .lobe_clock_deg
                                .map_or_else(String::new, |c| format!("lobe {}", units::angle(c, 1))),
                        );
                    } else {
                        ui.label(units::length(piece.long_mm, system));
                        ui.label(units::length(piece.short_mm, system));
                        let cuts = match piece.bend {
                            Some(e) if e.removed_deg > 0.0 => {
                                format!("cut {} off", units::angle(e.removed_deg, 1))
                            }
                            Some(_) => "used whole".to_owned(),
                            None => format!("{}, {}", saw(piece.start_cut_deg), saw(piece.end_cut_deg)),
                        };
                        ui.label(cuts);
                    }
                    ui.end_row();
                }
            },
        );
        let miss = &report.miss;
        ui.label(format!(
            "Cut to the rounded numbers of the sheet, the pipe ends {} and {} off.",
            units::fine_length(miss.offset_mm, system),
            units::angle(miss.angle_deg, 2)
        ));
    });
}

fn what(piece: &PieceReport) -> String {
    match (&piece.joint, &piece.bend) {
        (Some(joint), _) => joint.clone(),
        (None, Some(elbow)) => format!("elbow {}", units::angle(elbow.angle_deg, 1)),
        (None, None) => piece.kind.to_owned(),
    }
}
