//! The pin through the hole of an end.

use super::super::{set, set_hinted};
use crate::ctx::UiCtx;
use crate::widgets::{Kind, choice_hinted};
use eframe::egui::{Id, Ui};
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{BarPoint, PinThrough};

/// Whether there is one, and its sizes. A pin that has lost its hole is shown, so that it can be taken away.
pub(super) fn pin_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, end: &mut BarPoint) {
    let hole_length_mm = end.make.hole_length_mm();
    if hole_length_mm.is_none() && end.pin.is_none() {
        return;
    }
    let kinds = [(false, "None".to_owned()), (true, "One through it".to_owned())];
    let hint = "A pin with a head and a clip, through this end and the two cheeks of its fork. The sizes it starts with are common practice, no source";
    if let Some(has) = choice_hinted(ui, id.with("pin"), ("Pin", hint), &end.pin.is_some(), &kinds) {
        end.pin = hole_length_mm.filter(|_| has).map(new_item::pin_through);
    }
    ui.end_row();
    if let Some(through) = &mut end.pin {
        size_rows(ui, ctx, id, through);
    }
}

fn size_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, through: &mut PinThrough) {
    let (length, fine) = (Kind::Length(ctx.units()), Kind::Fine(ctx.units()));
    set(ui, id, "Pin diameter", &mut through.pin.dia_mm, fine);
    let hint = "From under the head to the near edge of the groove, or of the hole, for the clip";
    set_hinted(ui, id, ("Head to groove", hint), &mut through.pin.to_groove_mm, length);
    let hint = "Along the pin; the diameter of the hole where it has one for its clip";
    set_hinted(ui, id, ("Groove width", hint), &mut through.pin.groove_mm, fine);
    let hint = "What of the pin stands out beyond the groove";
    set_hinted(ui, id, ("Tail", hint), &mut through.pin.tail_mm, length);
    let hint = "The smallest of the holes it goes through";
    set_hinted(ui, id, ("Hole for pin", hint), &mut through.hole_mm, fine);
    let hint = "From outside to outside of the fork";
    set_hinted(ui, id, ("Over both cheeks", hint), &mut through.over_cheeks_mm, length);
    let hint = "Thickness of all washers together; 0 for none";
    set_hinted(ui, id, ("Washers", hint), &mut through.washers_mm, fine);
}
