//! Fields of a kind of joint.

use super::{form, set, set_hinted};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::widgets::{Kind, choice, name_field, number_hinted};
use eframe::egui::{Id, Label, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{HoseEnds, JointKind, JointStyle, Lobe, ToolRoom};
use pipeloft_core::units;
use pipeloft_core::units::UnitSystem;

/// Where a bead is put first, from the tube's end, mm (common practice, no source).
const USUAL_BEAD_MM: f64 = 6.0;

/// Room for a tool to begin with: a socket on its ratchet (common practice, no source).
const USUAL_TOOL: ToolRoom = ToolRoom { reach_mm: 80.0, width_mm: 10.0, swing_deg: 0.0 };

/// The fields.
pub(super) fn joint_ui(ui: &mut Ui, ctx: UiCtx<'_>, joint: &JointKind, requests: &mut Requests) {
    ui.heading("Joint");
    let (id, length) = (Id::unique(("joint", joint.id)), Kind::Length(ctx.units()));
    let mut new = joint.clone();
    form(ui, "joint", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &joint.name) {
            new.name = name;
        }
        ui.end_row();
        let styles: Vec<_> = JointStyle::ALL.into_iter().map(|s| (s, s.name().to_owned())).collect();
        if let Some(style) = choice(ui, id.with("style"), "Kind", &joint.style, &styles) {
            restyle(&mut new, style, ctx.units());
        }
        ui.end_row();
        set(ui, id, "Fits tube", &mut new.od_mm, length);
        make_up_ui(ui, id, length, joint, &mut new, requests);
        if joint.style == JointStyle::HoseAndClamps {
            hose_ui(ui, id, length, joint, &mut new);
        }
        set(ui, id, "Body diameter", &mut new.body_od_mm, length);
        set(ui, id, "Body width", &mut new.body_width_mm, length);
    });
    ui.add(Label::new(about(ctx, joint)).wrap());
    ui.checkbox(&mut new.welded, "Its halves are welded to the tubes");
    let mut has_lobe = joint.lobe.is_some();
    if ui.checkbox(&mut has_lobe, "It has a nut, lever or lock that stands out").changed() {
        let reach_mm = joint.body_od_mm / 2.0 + 15.0;
        new.lobe = has_lobe.then_some(Lobe { width_mm: 20.0, reach_mm, length_mm: joint.body_width_mm });
    }
    if let Some(lobe) = &mut new.lobe {
        form(ui, "lobe", |ui| {
            set(ui, id, "Lobe width", &mut lobe.width_mm, length);
            set(ui, id, "Reach from centre", &mut lobe.reach_mm, length);
            set(ui, id, "Length along tube", &mut lobe.length_mm, length);
        });
    }
    tool_ui(ui, id, length, joint, &mut new);
    if new != *joint {
        requests.edit(format!("change {}", joint.name), Edit::PutJoint(new));
    }
}

/// Room for the tool on the lobe.
fn tool_ui(ui: &mut Ui, id: Id, length: Kind, joint: &JointKind, new: &mut JointKind) {
    if joint.lobe.is_none() {
        return;
    }
    let mut has_tool = joint.tool.is_some();
    let hint =
        "A socket, spanner or hand that has to reach the lobe; its room counts when the lobe is turned";
    if ui.checkbox(&mut has_tool, "A tool needs room on it").on_hover_text(hint).changed() {
        new.tool = has_tool.then_some(USUAL_TOOL);
    }
    if let Some(tool) = &mut new.tool {
        form(ui, "tool", |ui| {
            let hint = "How far the tool reaches beyond the lobe, away from the pipe";
            set_hinted(ui, id.with("tool"), ("Tool reach", hint), &mut tool.reach_mm, length);
            let hint = "How much wider than the lobe the tool is, half to either side; does not count where it swings";
            set_hinted(ui, id.with("tool"), ("Tool width", hint), &mut tool.width_mm, length);
            let hint = "Angle it swings through round the pipe, half to either side; 0 for one that is put straight on";
            set_hinted(ui, id.with("tool"), ("Tool swing", hint), &mut tool.swing_deg, Kind::Angle);
        });
    }
}

/// Another kind, with what only the old one had taken away: the tubes of a slip joint lie in each other, those of all
/// others stand apart or meet.
fn restyle(joint: &mut JointKind, style: JointStyle, units: UnitSystem) {
    joint.style = style;
    let apart_mm = joint.make_up_mm.abs();
    joint.make_up_mm = if style == JointStyle::SlipJoint { -apart_mm } else { apart_mm };
    let insertion_mm = match units {
        UnitSystem::Millimetre => 25.0,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => 25.4,
    };
    let hose = HoseEnds { insertion_mm, bead_mm: None };
    joint.hose = (style == JointStyle::HoseAndClamps).then(|| joint.hose.unwrap_or(hose));
}

fn make_up_ui(
    ui: &mut Ui,
    id: Id,
    length: Kind,
    joint: &JointKind,
    new: &mut JointKind,
    requests: &mut Requests,
) {
    if joint.style == JointStyle::SlipJoint {
        let hint = "How far one tube slides into the other";
        // never minus zero
        let present_mm = 0.0 - joint.make_up_mm;
        let field = number_hinted(ui, id.with("engagement"), "Engagement", hint, present_mm, length);
        ui.end_row();
        match field {
            Some(mm) if mm < 0.0 => {
                let words = "Engagement is how far one tube lies in the other: 0 or more.";
                requests.push(Request::Say(words.to_owned()));
            }
            Some(mm) => new.make_up_mm = 0.0 - mm,
            None => {}
        }
    } else {
        let hint = "From tube end to tube end when the joint is closed";
        set_hinted(ui, id, ("Make-up", hint), &mut new.make_up_mm, length);
    }
}

fn hose_ui(ui: &mut Ui, id: Id, length: Kind, joint: &JointKind, new: &mut JointKind) {
    let old = joint.hose.unwrap_or(HoseEnds { insertion_mm: 0.0, bead_mm: None });
    let mut hose = old;
    let hint = "How far each tube goes into the hose";
    set_hinted(ui, id, ("Insertion", hint), &mut hose.insertion_mm, length);
    let options = [(false, "No bead".to_owned()), (true, "Rolled bead".to_owned())];
    if let Some(bead) = choice(ui, id.with("bead"), "On the tubes", &old.bead_mm.is_some(), &options) {
        hose.bead_mm = bead.then_some(USUAL_BEAD_MM.min(old.insertion_mm));
    }
    ui.end_row();
    if let Some(bead_mm) = &mut hose.bead_mm {
        let hint = "Middle of the bead from the tube's end; the clamp goes behind it";
        set_hinted(ui, id, ("Bead from the end", hint), bead_mm, length);
    }
    if hose != old {
        new.hose = Some(hose);
    }
}

/// What its lengths mean.
fn about(ctx: UiCtx<'_>, joint: &JointKind) -> String {
    match joint.style {
        JointStyle::SlipJoint => {
            "Engagement is how far one tube lies in the other: the pipe's pieces get longer by it.".to_owned()
        }
        JointStyle::HoseAndClamps => {
            let hose = joint.hose_mm().map_or_else(String::new, |mm| {
                format!(" Cut the hose {} long.", units::length(mm, ctx.units()))
            });
            format!(
                "Make-up is the gap from tube end to tube end inside the hose: it is cut out of the pipe.{hose}"
            )
        }
        JointStyle::ClampCoupler | JointStyle::VBand | JointStyle::Flexible | JointStyle::Flange => {
            "Make-up is tube end to tube end when the joint is closed: it is cut out of the pipe.".to_owned()
        }
    }
}
