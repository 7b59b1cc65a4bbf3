//! Choices that hold for the whole project: the saw, the habits of the shop, allowances.

use super::{form, set_hinted};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, choice};
use eframe::egui::{CollapsingHeader, Id, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Allowances, Saw, SawScale, Scatter, Settings, ShapedLine};

/// The fields.
pub(super) fn settings_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let old = &ctx.project.settings;
    let mut new = old.clone();
    part(ui, "The saw", true, |ui| saw_ui(ui, ctx, &mut new.saw));
    part(ui, "Habits of the shop", true, |ui| habits_ui(ui, ctx, &mut new));
    part(ui, "Welding and fitting", false, |ui| welding_ui(ui, ctx, &mut new.allowances));
    part(ui, "How far off work usually is", false, |ui| scatter_ui(ui, ctx, &mut new.scatter));
    part(ui, "Wire, gas and paper", false, |ui| estimates_ui(ui, ctx, &mut new.allowances));
    if new != *old {
        requests.edit("change settings", Edit::SetSettings(new));
    }
}

fn part(ui: &mut Ui, title: &str, open: bool, add: impl FnOnce(&mut Ui)) {
    ui.add_space(2.0);
    CollapsingHeader::new(bold(title)).id_salt(title).default_open(open).show(ui, add);
}

fn saw_ui(ui: &mut Ui, ctx: UiCtx<'_>, saw: &mut Saw) {
    let (id, length, fine) = kinds(ctx, "saw");
    form(ui, "saw", |ui| {
        let hint = "Width that the blade turns to dust with each cut";
        set_hinted(ui, id, ("Kerf", hint), &mut saw.kerf_mm, fine);
        let hint = "The finest step its angle can be set to. Cuts are rounded to it, and how far the pipe then ends off is worked out.";
        set_hinted(ui, id, ("Angle steps", hint), &mut saw.step_deg, Kind::Angle);
        let scales = [
            (SawScale::FromSquare, "0° is square".to_owned()),
            (SawScale::FromBlade, "90° is square".to_owned()),
        ];
        if let Some(scale) = choice(ui, id.with("scale"), "Its scale", &saw.scale, &scales) {
            saw.scale = scale;
        }
        ui.end_row();
        let hint = "How far from square it can be set. 45° is common practice, no source.";
        set_hinted(ui, id, ("Largest angle", hint), &mut saw.most_deg, Kind::Angle);
        let hint = "Length of tube it has to hold while it cuts the next piece off. The start value is common practice, no source.";
        set_hinted(ui, id, ("Grip", hint), &mut saw.grip_mm, length);
        let hint = "Cut off once from each whole stick to make its rough end square. 0 where sticks come with good ends.";
        set_hinted(ui, id, ("First trim", hint), &mut saw.first_trim_mm, length);
    });
}

fn habits_ui(ui: &mut Ui, ctx: UiCtx<'_>, settings: &mut Settings) {
    let (id, length, _) = kinds(ctx, "habits");
    form(ui, "habits", |ui| {
        let hint = "A slice with a shorter inside is hard to hold and to tack. The start value is common practice, no source.";
        set_hinted(ui, id, ("Shortest throat", hint), &mut settings.shortest_throat_mm, length);
        let hint = "Gap that hot pipes keep to what heat harms, without a shield. The start value is common practice, no source.";
        set_hinted(ui, id, ("Hot pipe gap", hint), &mut settings.hot_gap_mm, length);
        let hint = "Drags catch on bend angles that are multiples of this; 0 for none";
        set_hinted(ui, id, ("Bends snap to", hint), &mut settings.angle_snap_deg, Kind::Angle);
        let hint = "What is left of a stick goes back to the rack when it is at least this long. The start value is common practice, no source.";
        set_hinted(ui, id, ("Shortest drop kept", hint), &mut settings.allowances.keep_mm, length);
    });
}

fn welding_ui(ui: &mut Ui, ctx: UiCtx<'_>, a: &mut Allowances) {
    let (id, length, fine) = kinds(ctx, "welding");
    form(ui, "welding", |ui| {
        let hint = "Gap left between two pieces when they are tacked. 0, a close fit, is usual for thin tube: common practice, no source.";
        set_hinted(ui, id, ("Weld gap", hint), &mut a.weld_gap_mm, fine);
        let hint = "How much a weld draws its two pieces together. 0.2 to 0.5 mm in thin tube: common practice, no source. Measure your own.";
        set_hinted(ui, id, ("Weld shrinkage", hint), &mut a.shrink_mm, fine);
        let hint = "Extra length on the piece at the weld that is fitted last, to be trimmed off there. The start value is common practice, no source.";
        set_hinted(ui, id, ("Trim at last weld", hint), &mut a.trim_mm, length);
    });
}

fn scatter_ui(ui: &mut Ui, ctx: UiCtx<'_>, off: &mut Scatter) {
    let (id, _, fine) = kinds(ctx, "scatter");
    form(ui, "scatter", |ui| {
        let hint =
            "About two settings of three are off by less than this. 0.15°: common practice, no source.";
        set_hinted(ui, id, ("Saw angle off by", hint), &mut off.saw_deg, Kind::Angle);
        let hint =
            "About two lengths of three are off by less than this. 0.5 mm: common practice, no source.";
        set_hinted(ui, id, ("Sawn length off by", hint), &mut off.length_mm, fine);
        let hint = "Of a mark round the tube, on its outside. 0.7 mm: common practice, no source.";
        set_hinted(ui, id, ("Clock mark off by", hint), &mut off.clock_mm, fine);
        let hint = "Of the angle of a bought elbow. 0.3°: common practice, no source.";
        set_hinted(ui, id, ("Elbow off by", hint), &mut off.elbow_deg, Kind::Angle);
        let hint = "How far a weld pulls the pipe over, either way. 0.25°: common practice, no source.";
        set_hinted(ui, id, ("Weld pulls by", hint), &mut off.pull_deg, Kind::Angle);
        let hint = "How much the shrinkage of welds differs. 0.25 mm: common practice, no source.";
        set_hinted(ui, id, ("Shrinkage off by", hint), &mut off.shrink_mm, fine);
    });
}

fn estimates_ui(ui: &mut Ui, ctx: UiCtx<'_>, a: &mut Allowances) {
    let (id, _, fine) = kinds(ctx, "estimates");
    form(ui, "estimates", |ui| {
        let hint = "Cross-section of the filler in a weld. 3 mm² in thin tube: common practice, no source.";
        set_hinted(ui, id, ("Bead section, mm²", hint), &mut a.bead_mm2, Kind::Plain);
        let hint = "Diameter of the filler wire. 1.6 mm: common practice, no source.";
        set_hinted(ui, id, ("Filler wire", hint), &mut a.wire_mm, fine);
        let hint =
            "How often the gas inside is changed before welding. About 5 is what makers of purging gear say.";
        set_hinted(ui, id, ("Gas changes", hint), &mut a.purge_changes, Kind::Plain);
        let hint = "Flow of gas while the pipe is filled. About 20 litres a minute is what makers of purging gear say.";
        set_hinted(ui, id, ("Gas flow, l/min", hint), &mut a.purge_l_min, Kind::Plain);
        let hint = "Thickness of the paper that templates are printed on: it makes the wrap longer. 0.1 mm for office paper: common practice, no source.";
        set_hinted(ui, id, ("Template paper", hint), &mut a.paper_mm, fine);
        let lines = [
            (ShapedLine::Seat, "Where the wall seats".to_owned()),
            (ShapedLine::Outside, "Its outside".to_owned()),
            (ShapedLine::Inside, "Its bore".to_owned()),
        ];
        if let Some(line) = choice(ui, id.with("line"), "Shaped ends show", &a.shaped_edge, &lines) {
            a.shaped_edge = line;
        }
        ui.end_row();
    });
}

/// Id of a part's fields, and the kinds of length in them.
fn kinds(ctx: UiCtx<'_>, salt: &str) -> (Id, Kind, Kind) {
    (Id::unique(("settings", salt)), Kind::Length(ctx.units()), Kind::Fine(ctx.units()))
}
