//! The saddle plate under a coped end.

use super::super::{set, set_hinted, set_optional};
use crate::ctx::UiCtx;
use crate::widgets::{Kind, choice_hinted};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::new_item;
use pipeloft_core::model::Pad;

/// Whether there is one, and its sizes.
pub(super) fn pad_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, pad: &mut Option<Pad>) {
    let length = Kind::Length(ctx.units());
    let kinds = [(false, "None".to_owned()), (true, "One under it".to_owned())];
    let hint = "A plate bent round the tube, that spreads what the bar puts on it. The sizes it starts with are common practice, no source";
    if let Some(has) = choice_hinted(ui, id.with("pad"), ("Saddle plate", hint), &pad.is_some(), &kinds) {
        *pad = has.then(new_item::pad);
    }
    ui.end_row();
    if let Some(pad) = pad {
        set(ui, id, "Plate thickness", &mut pad.thick_mm, Kind::Fine(ctx.units()));
        let hint = "Between the tube and the plate: a liner, or 0";
        set_hinted(ui, id, ("Gap under plate", hint), &mut pad.gap_mm, Kind::Fine(ctx.units()));
        let hint = "How far the plate goes round the tube, without its lips";
        set_hinted(ui, id, ("Plate goes round", hint), &mut pad.angle_deg, Kind::Angle);
        let hint = "Flat piece that goes on from this edge of the plate; 0 for none";
        for (label, lip_mm) in ["First lip", "Second lip"].into_iter().zip(&mut pad.lips_mm) {
            set_hinted(ui, id, (label, hint), lip_mm, length);
        }
        let hint = "Along the tube. Empty for the bar's foot and room for the weld round it";
        set_optional(ui, id, ("Plate width", hint), &mut pad.width_mm, length);
    }
}
