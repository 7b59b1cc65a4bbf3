//! The usual cautions for the selected run.

use super::fold;
use crate::ctx::UiCtx;
use crate::theme::bold;
use eframe::egui::{Label, Ui};
use pipeloft_core::model::Run;
use pipeloft_core::report::cautions;

/// The cautions.
pub(crate) fn cautions_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run) {
    fold(ui, "Cautions", "cautions", false, |ui| {
        for caution in cautions(ctx.project, run) {
            ui.label(bold(caution.about));
            ui.add(Label::new(caution.text).wrap());
        }
    });
}
