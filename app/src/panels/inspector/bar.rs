//! Fields of a bar: the stock it is made of, how it is fitted, its sleeve; ends, bends and result in files of their own.

mod bends;
mod end;
mod pad;
mod pin;
mod result;

use super::{form, set, set_hinted, set_optional};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{CollapsingHeader, Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Bar, BarSleeve, Sleeve};

/// The fields.
pub(super) fn bar_ui(ui: &mut Ui, ctx: UiCtx<'_>, bar: &Bar, requests: &mut Requests) {
    ui.heading("Bar");
    let id = Id::unique(("bar", bar.id));
    let mut new = bar.clone();
    if let Some(told) = ctx.report.bars.iter().find(|b| b.id == bar.id) {
        result::result_ui(ui, ctx, bar, told);
    }
    form(ui, "bar", |ui| {
        stock_rows(ui, ctx, id, bar, &mut new);
        fit_rows(ui, ctx, id, bar, &mut new);
    });
    for (i, title) in ["From", "To"].into_iter().enumerate() {
        CollapsingHeader::new(bold(title)).id_salt(title).default_open(true).show(ui, |ui| {
            end::end_ui(ui, ctx, id.with(title), (bar, i), &mut new.ends[i]);
        });
    }
    bends::bends_ui(ui, ctx, id, bar, &mut new);
    sleeve_ui(ui, ctx, id, bar, &mut new);
    if new != *bar {
        requests.edit(format!("change {}", bar.name), Edit::PutBar(Box::new(new)));
    }
}

/// Its name and what it is made of.
fn stock_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, new: &mut Bar) {
    let length = Kind::Length(ctx.units());
    if let Some(name) = name_field(ui, id.with("name"), "Name", &bar.name) {
        new.name = name;
    }
    ui.end_row();
    let materials = super::stock::materials();
    if let Some(m) = choice(ui, id.with("material"), "Material", &bar.material, &materials) {
        new.material = m;
    }
    ui.end_row();
    set(ui, id, "Outside diameter", &mut new.od_mm, length);
    let kinds = [(true, "Tube".to_owned()), (false, "Solid".to_owned())];
    if let Some(tube) = choice(ui, id.with("solid"), "It is", &bar.wall_mm.is_some(), &kinds) {
        new.wall_mm = tube.then_some(bar.od_mm / 8.0);
    }
    ui.end_row();
    if let Some(wall_mm) = &mut new.wall_mm {
        set(ui, id, "Wall", wall_mm, Kind::Fine(ctx.units()));
    }
    set(ui, id, "Stick length", &mut new.stick_mm, length);
}

/// What it keeps clear of, what it can be adjusted by, whether it is sawn.
fn fit_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, new: &mut Bar) {
    let length = Kind::Length(ctx.units());
    let hint = "To pipes and to obstacles; obstacles of the bodies it is held to do not count";
    set_hinted(ui, id, ("Gap to keep", hint), &mut new.gap_mm, length);
    let hint = "How much it should be possible to lengthen and to shorten it once it is in place";
    set_hinted(ui, id, ("Adjustment wanted", hint), &mut new.wanted_mm, length);
    // one that was entered before the bar got a bend must be seen, to be taken away
    if bar.corners.is_empty() || bar.sawn_mm.is_some() {
        let hint = "Length of this bar if it is cut: its rod ends are then set to make it fit, and it comes off no stick. Empty while it is still to be sawn";
        set_optional(ui, id, ("Length sawn already", hint), &mut new.sawn_mm, length);
    }
}

fn sleeve_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, new: &mut Bar) {
    let length = Kind::Length(ctx.units());
    form(ui, "sleeve", |ui| {
        let kinds = [(false, "None".to_owned()), (true, "One over it".to_owned())];
        if let Some(has) = choice(ui, id.with("sleeve"), "Sleeve", &bar.sleeve.is_some(), &kinds) {
            // a wall that leaves a slip fit of 0.25 mm
            let (od_mm, wall_mm) = (bar.od_mm + 6.35, 3.05);
            new.sleeve = has.then_some(BarSleeve {
                size: Sleeve { od_mm, wall_mm },
                length_mm: 2.0 * bar.od_mm,
                station_mm: bar.ends[0].position_mm.distance(bar.ends[1].position_mm) / 2.0,
            });
        }
        ui.end_row();
        if let Some(sleeve) = &mut new.sleeve {
            set(ui, id, "Sleeve outside", &mut sleeve.size.od_mm, length);
            set(ui, id, "Sleeve wall", &mut sleeve.size.wall_mm, Kind::Fine(ctx.units()));
            set(ui, id, "Sleeve length", &mut sleeve.length_mm, length);
            let hint = "From the bar's first sawn end, along its middle";
            set_hinted(ui, id, ("Sleeve begins at", hint), &mut sleeve.station_mm, length);
        }
    });
}
