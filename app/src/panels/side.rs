//! The panel on the right: what is selected, its fields and its results.

use super::{inspector, results};
use crate::ctx::UiCtx;
use crate::request::Requests;
use eframe::egui::{ScrollArea, Ui};
use pipeloft_core::model::Item;

/// The panel on the right.
pub(crate) fn side_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    results::problems_place_ui(ui, ctx, requests);
    let salt = ctx.selection.item;
    ScrollArea::both().auto_shrink(false).id_salt(salt).show(ui, |ui| {
        // the panel keeps the width it was given, whatever stands in it
        ui.set_max_width((ui.available_width() - 6.0).max(250.0));
        match ctx.selection.item {
            Some(Item::Run(_)) => {
                if let Some((run, report)) = ctx.selected_run() {
                    results::headline_ui(ui, ctx, run, report);
                    inspector::run_ui(ui, ctx, run, report, requests);
                    results::bends_ui(ui, ctx, run, report, requests);
                    results::legs_ui(ui, ctx, run, report, requests);
                    results::tapers_ui(ui, ctx, run, report, requests);
                    results::parts_ui(ui, ctx, run, report, requests);
                    results::pieces_ui(ui, ctx, run, report, requests);
                    results::welds_ui(ui, ctx, run, report, requests);
                    results::gaps_ui(ui, ctx, run, requests);
                    results::cautions_ui(ui, ctx, run);
                }
            }
            Some(Item::Hardpoint(id)) => {
                if let Some(port) = ctx.project.hardpoint(id) {
                    inspector::hardpoint_ui(ui, ctx, port, requests);
                }
            }
            Some(Item::Obstacle(id)) => {
                if let Some(obstacle) = ctx.project.obstacle(id) {
                    inspector::obstacle_ui(ui, ctx, obstacle, requests);
                }
            }
            Some(item) => inspector::stock_ui(ui, ctx, item, requests),
            None => {
                inspector::project_ui(ui, ctx, requests);
                results::all_gaps_ui(ui, ctx, requests);
                results::sticks_ui(ui, ctx, requests);
                results::buy_ui(ui, ctx);
            }
        }
    });
}
