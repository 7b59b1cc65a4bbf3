//! Fields of a size of tube: its sizes, what is on the rack, slices lying ready.

use super::stock::materials;
use super::{form, number_row, set, set_count, set_hinted};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Label, Ui};
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::fab::Mitre;
use pipeloft_core::fab::nest::saw_reads_deg;
use pipeloft_core::model::{Ends, Offcut, ReadySlice, Tube};
use pipeloft_core::units::{self, UnitSystem};

/// The fields.
pub(super) fn tube_ui(ui: &mut Ui, ctx: UiCtx<'_>, tube: &Tube, requests: &mut Requests) {
    ui.heading("Tube");
    let (id, length) = (Id::unique(("tube", tube.id)), Kind::Length(ctx.units()));
    let mut new = tube.clone();
    form(ui, "tube", |ui| {
        if let Some(material) = choice(ui, id.with("material"), "Material", &tube.material, &materials()) {
            new.material = material;
        }
        ui.end_row();
        set(ui, id, "Outside diameter", &mut new.od_mm, length);
        set(ui, id, "Wall", &mut new.wall_mm, Kind::Fine(ctx.units()));
        set(ui, id, "Stick length", &mut new.stick_mm, length);
        set_count(ui, id, "Sticks on the rack", &mut new.sticks_on_hand);
        let price = tube.stick_price.unwrap_or(0.0);
        if let Some(price) = number_row(ui, id.with("price"), "Price of a stick", price, Kind::Plain) {
            new.stick_price = (price > 0.0).then_some(price);
        }
    });
    offcuts_ui(ui, id, ctx.units(), &mut new.offcuts);
    slices_ui(ui, ctx, id, &mut new);
    if new != *tube {
        requests.edit("change tube", Edit::PutTube(new));
    }
}

fn offcuts_ui(ui: &mut Ui, id: Id, units: UnitSystem, offcuts: &mut Vec<Offcut>) {
    let length = Kind::Length(units);
    ui.add_space(6.0);
    ui.label(bold(format!("Offcuts ({})", offcuts.len())));
    let mut gone = None;
    for (i, offcut) in offcuts.iter_mut().enumerate() {
        let id = id.with(("offcut", i));
        form(ui, &format!("offcut {i}"), |ui| {
            set(ui, id, "Length", &mut offcut.length_mm, length);
            set_count(ui, id, "How many", &mut offcut.count);
        });
        if ui.button(format!("Delete offcut {}", i + 1)).clicked() {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        offcuts.remove(i);
    }
    if ui.button("Add offcut").clicked() {
        offcuts.push(Offcut { length_mm: new_item::round_mm(300.0, units), count: 1 });
    }
}

fn slices_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, tube: &mut Tube) {
    ui.add_space(6.0);
    ui.label(bold(format!("Ready slices ({})", tube.slices.len()))).on_hover_text(
        "Slices cut as a batch, both ends at one saw angle. They are used before new ones are sawn.",
    );
    let (length, scale) = (Kind::Length(ctx.units()), ctx.project.settings.saw.scale);
    let reads = |deg: f64| saw_reads_deg(deg.to_radians(), scale);
    let mut gone = None;
    let od_mm = tube.od_mm;
    for (i, slice) in tube.slices.iter_mut().enumerate() {
        let id = id.with(("slice", i));
        form(ui, &format!("slice {i}"), |ui| {
            let hint = "What the saw's scale shows when they are cut";
            let mut shown = reads(slice.saw_deg);
            set_hinted(ui, id, ("Saw angle", hint), &mut shown, Kind::Angle);
            if shown.to_bits() != reads(slice.saw_deg).to_bits() {
                // the scale counts either way, so reading it twice gives the tilt back
                slice.saw_deg = reads(shown);
            }
            set_hinted(ui, id, ("Throat", "Their short side"), &mut slice.throat_mm, length);
            set_count(ui, id, "How many slices", &mut slice.count);
        });
        ui.add(Label::new(makes(ctx, od_mm, slice)).wrap());
        if ui.button(format!("Delete ready slices {}", i + 1)).clicked() {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        tube.slices.remove(i);
    }
    if ui.button("Add ready slices").clicked() {
        let throat_mm = (2.0 * ctx.project.settings.shortest_throat_mm).max(1.0);
        tube.slices.push(ReadySlice { saw_deg: 7.5, throat_mm, count: 1 });
    }
}

/// What bend they make.
fn makes(ctx: UiCtx<'_>, od_mm: f64, slice: &ReadySlice) -> String {
    let saw_rad = slice.saw_deg.to_radians();
    let clr_mm =
        Mitre::of_batch(4.0 * saw_rad, od_mm, od_mm, saw_rad, Ends::Half).least_clr_mm(slice.throat_mm);
    format!(
        "Each turns a bend {}°, at a CLR of {} with half ends.",
        units::plain_number(2.0 * slice.saw_deg, 2),
        units::length(clr_mm, ctx.units())
    )
}
