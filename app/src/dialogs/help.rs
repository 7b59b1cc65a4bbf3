//! What the mouse and the keys do.

use crate::actions::{Action, key_text, text, tooltip};
use crate::theme::bold;
use crate::viewport::HELP;
use eframe::egui::{Context, Grid, Id, Modal, ScrollArea};

/// The help window; returns whether it stays open.
pub(crate) fn help_ui(ctx: &Context) -> bool {
    let mut stay = true;
    let modal = Modal::new(Id::unique("help")).show(ctx, |ui| {
        ui.set_width(660.0);
        ui.heading("Mouse and keys");
        ScrollArea::vertical().max_height(480.0).show(ui, |ui| {
            Grid::new(Id::unique("help mouse")).num_columns(2).spacing([18.0, 4.0]).show(ui, |ui| {
                for (what, how) in HELP {
                    ui.label(bold(what));
                    ui.label(how);
                    ui.end_row();
                }
                for action in Action::PLAIN {
                    let key = key_text(ui.ctx(), action);
                    if !key.is_empty() {
                        ui.label(bold(text(action).trim_end_matches('…')));
                        ui.label(format!("{key}: {}", tooltip(action)));
                        ui.end_row();
                    }
                }
            });
        });
        ui.add_space(8.0);
        if ui.button("Close").clicked() {
            stay = false;
        }
    });
    stay && !modal.should_close()
}
