//! Fields of a hardpoint.

use super::seat::{follows_ui, seat_ui};
use super::{bodies, foot, form, number_row, vector_rows};
use crate::actions::Action;
use crate::ctx::UiCtx;
use crate::panels::lobe::turn_lobe_ui;
use crate::panels::lobe_room::{joint_at, lobe_room_ui};
use crate::request::Requests;
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, choice, name_field};
use eframe::egui::{Button, Id, Label, RichText, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::fab::{Built, clock_problem};
use pipeloft_core::model::{Attachment, Hardpoint, HardpointId, Item, JointId, Run, RunEnd};

/// Ways out of a part that have a name.
const WAYS: [(&str, DVec3); 6] = [
    ("Forward", DVec3::X),
    ("Back", DVec3::NEG_X),
    ("Left", DVec3::Y),
    ("Right", DVec3::NEG_Y),
    ("Up", DVec3::Z),
    ("Down", DVec3::NEG_Z),
];

/// The fields.
pub(crate) fn hardpoint_ui(ui: &mut Ui, ctx: UiCtx<'_>, port: &Hardpoint, requests: &mut Requests) {
    ui.heading("Hardpoint");
    let id = Id::unique(("hardpoint", port.id));
    let length = Kind::Length(ctx.units());
    let mut new = port.clone();
    let mut what = "change";
    form(ui, "hardpoint", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &port.name) {
            (new.name, what) = (name, "rename");
        }
        ui.end_row();
        if let Some(od) = number_row(ui, id.with("od"), "Tube outside", port.od_mm, length) {
            new.od_mm = od;
        }
    });
    start_ui(ui, ctx, port, requests);
    seat_ui(ui, ctx, id, port, &mut new);
    if port.seat.is_some() {
        follows_ui(ui, ctx, port);
    } else {
        what = place_ui(ui, ctx, id, port, &mut new).unwrap_or(what);
    }
    ui.add_space(6.0);
    attachment_ui(ui, ctx, id, port, &mut new);
    if let Attachment::Joint { joint, lobe_clock_deg } = port.attachment
        && ctx.project.joint(joint).is_some_and(|j| j.lobe.is_some())
    {
        let by_name = turn_lobe_ui(ui, ctx, meeting(ctx, port.id), lobe_clock_deg);
        let by_room = joint_at(ctx, port.id).and_then(|joint| lobe_room_ui(ui, ctx, joint, requests));
        turn_lobe(port, by_name.or(by_room), requests);
    }
    if new != *port {
        requests.edit(format!("{what} {}", port.name), Edit::PutHardpoint(new));
    }
    foot(ui, ctx, Item::Hardpoint(port.id), requests);
}

/// What a hardpoint is for, as long as no run comes to it.
fn start_ui(ui: &mut Ui, ctx: UiCtx<'_>, port: &Hardpoint, requests: &mut Requests) {
    let comes = |run: &Run| {
        run.start == port.id || matches!(run.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == port.id)
    };
    if ctx.project.runs.iter().any(comes) {
        return;
    }
    ui.add_space(4.0);
    ui.label("No run starts or ends here yet.");
    let has_tube = !ctx.project.tubes.is_empty();
    let start = ui.add_enabled(has_tube, Button::new("Start a run here"));
    if start.on_disabled_hover_text("Enter a size of tube first: Add, then Add tube").clicked() {
        requests.act(Action::AddRun);
    }
    ui.add_space(4.0);
}

/// Body, place, direction and 12 o'clock of a hardpoint that sits on nothing; says what was done to it.
fn place_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    id: Id,
    port: &Hardpoint,
    new: &mut Hardpoint,
) -> Option<&'static str> {
    let mut what = None;
    form(ui, "place", |ui| {
        if let Some(body) = choice(ui, id.with("body"), "Belongs to", &port.body, &bodies(ctx)) {
            new.body = body;
        }
        ui.end_row();
        let labels = ["X, forward", "Y, left", "Z, up"];
        let length = Kind::Length(ctx.units());
        if let Some(at) = vector_rows(ui, id.with("at"), labels, port.position_mm, length) {
            (new.position_mm, what) = (at, Some("move"));
        }
    });
    ui.add_space(6.0);
    ui.label(bold("Direction out of the part"));
    ui.horizontal_wrapped(|ui| {
        for (words, way) in WAYS {
            let on = port.direction.normalize_or_zero().distance(way) < 1e-9;
            if ui.selectable_label(on, words).clicked() {
                (new.direction, what) = (way, Some("turn"));
            }
        }
    });
    form(ui, "direction", |ui| {
        let labels = ["X part", "Y part", "Z part"];
        if let Some(way) = vector_rows(ui, id.with("way"), labels, port.direction, Kind::Plain) {
            (new.direction, what) = (way, Some("turn"));
        }
    });
    ui.add_space(6.0);
    ui.label(bold("12 o'clock, where the index line starts"));
    ui.horizontal_wrapped(|ui| {
        for (words, way) in WAYS {
            let on = port.clock.normalize_or_zero().distance(way) < 1e-9;
            if ui.selectable_label(on, words).clicked() {
                (new.clock, what) = (way, Some("turn the clock of"));
            }
        }
    });
    if let Some(problem) = clock_problem(port) {
        let tokens = Tokens::of(ui.visuals().dark_mode);
        let words = format!("⚠ {}", problem.text(ctx.units()));
        ui.add(Label::new(RichText::new(words).color(tokens.warn)).wrap());
    }
    what
}

/// Turns the lobe of the joint at a hardpoint to a clock angle that was chosen, degrees.
pub(in crate::panels) fn turn_lobe(port: &Hardpoint, chosen_deg: Option<f64>, requests: &mut Requests) {
    if let (Attachment::Joint { joint, .. }, Some(deg)) = (port.attachment, chosen_deg) {
        let attachment = Attachment::Joint { joint, lobe_clock_deg: deg };
        requests.edit("turn lobe", Edit::PutHardpoint(Hardpoint { attachment, ..port.clone() }));
    }
}

/// The first run that meets the hardpoint with a joint, as built, and the piece of it that is the joint.
fn meeting(ctx: UiCtx<'_>, port: HardpointId) -> (Option<&Built>, Option<usize>) {
    let joint = joint_at(ctx, port);
    (joint.and_then(|(run, _)| ctx.report.run(run)).map(|r| &*r.built), joint.map(|(_, piece)| piece))
}

fn attachment_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, port: &Hardpoint, new: &mut Hardpoint) {
    #[derive(Clone, PartialEq)]
    enum How {
        Welded,
        Loose,
        Joint(JointId),
    }
    let mut options = vec![(How::Welded, "Welded to the part".to_owned())];
    // what sits on a pipe is cut to it and welded on
    if port.seat.is_none() {
        options.push((How::Loose, "Only passes or ends there".to_owned()));
    }
    options.extend(ctx.project.joints.iter().map(|j| (How::Joint(j.id), j.name.clone())));
    let current = match port.attachment {
        Attachment::Welded => How::Welded,
        Attachment::Loose if port.is_welded() => How::Welded,
        Attachment::Loose => How::Loose,
        Attachment::Joint { joint, .. } => How::Joint(joint),
    };
    form(ui, "attachment", |ui| {
        if let Some(how) = choice(ui, id.with("how"), "Fixed by", &current, &options) {
            new.attachment = match how {
                How::Welded => Attachment::Welded,
                How::Loose => Attachment::Loose,
                How::Joint(joint) => Attachment::Joint { joint, lobe_clock_deg: 0.0 },
            };
        }
        ui.end_row();
        if let Attachment::Joint { joint, lobe_clock_deg } = port.attachment
            && let Some(deg) = number_row(ui, id.with("lobe"), "Lobe at clock", lobe_clock_deg, Kind::Angle)
        {
            new.attachment = Attachment::Joint { joint, lobe_clock_deg: deg };
        }
    });
}
