//! Buttons over the 3D view.

use crate::actions::{Action, key_text, text, tooltip};
use crate::ctx::UiCtx;
use crate::request::Requests;
use eframe::egui::{Button, Ui};
use pipeloft_core::units;
use pipeloft_core::view3d::Projection;

/// Views, fit, projection, snapping, labels.
pub(crate) fn view_bar_ui(ui: &mut Ui, ctx: UiCtx<'_>, projection: Projection, requests: &mut Requests) {
    ui.horizontal_wrapped(|ui| {
        for action in [Action::FitAll, Action::ViewFront, Action::ViewSide, Action::ViewTop, Action::ViewFree]
        {
            let words = if action == Action::FitAll { "Fit" } else { text(action) };
            button(ui, action, words, false, requests);
        }
        ui.separator();
        let words = match projection {
            Projection::Perspective => "Perspective",
            Projection::Parallel => "Parallel",
        };
        button(ui, Action::ToggleParallel, words, false, requests);
        ui.separator();
        let snap = match ctx.project.settings.angle_snap_deg {
            step if step > 0.0 => format!("Snap to {}°", units::plain_number(step, 2)),
            _ => "Snap to angles".to_owned(),
        };
        button(ui, Action::ToggleSnap, &snap, ctx.prefs.snap, requests);
        button(ui, Action::ToggleLabels, text(Action::ToggleLabels), ctx.prefs.labels, requests);
        button(ui, Action::ToggleRoom, "Room", ctx.prefs.room, requests);
        ui.separator();
        button(ui, Action::ToggleTree, "Tree", ctx.prefs.tree, requests);
        button(ui, Action::ToggleSide, "Panel", ctx.prefs.side, requests);
    });
}

fn button(ui: &mut Ui, action: Action, words: &str, on: bool, requests: &mut Requests) {
    let key = key_text(ui.ctx(), action);
    let response =
        ui.add(Button::new(words).selected(on)).on_hover_text(format!("{} ({key})", tooltip(action)));
    if response.clicked() {
        requests.act(action);
    }
}
