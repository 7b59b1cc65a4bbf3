//! Fields of a bar, and what comes of it.

use super::{bodies, form, set, set_hinted, vector_rows};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, capital, choice, name_field};
use eframe::egui::{CollapsingHeader, Id, Label, RichText, Ui};
use glam::DVec3;
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::model::{Bar, BarCorner, BarEndMake, BarPoint, BarSleeve, Item, Onto, RodEnd, Sleeve};
use pipeloft_core::report::BarReport;
use pipeloft_core::units;

/// The fields.
pub(super) fn bar_ui(ui: &mut Ui, ctx: UiCtx<'_>, bar: &Bar, requests: &mut Requests) {
    ui.heading("Bar");
    let id = Id::unique(("bar", bar.id));
    let mut new = bar.clone();
    if let Some(told) = ctx.report.bars.iter().find(|b| b.id == bar.id) {
        result_ui(ui, ctx, told);
    }
    let length = Kind::Length(ctx.units());
    form(ui, "bar", |ui| {
        if let Some(name) = name_field(ui, id.with("name"), "Name", &bar.name) {
            new.name = name;
        }
        ui.end_row();
        if let Some(m) =
            choice(ui, id.with("material"), "Material", &bar.material, &super::stock::materials())
        {
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
        set(ui, id, "Gap to pipes", &mut new.gap_mm, length);
        let hint = "How much it should be possible to lengthen and to shorten it once it is in place";
        set_hinted(ui, id, ("Adjustment wanted", hint), &mut new.wanted_mm, length);
    });
    for (i, title) in ["From", "To"].into_iter().enumerate() {
        CollapsingHeader::new(bold(title)).id_salt(title).default_open(true).show(ui, |ui| {
            end_ui(ui, ctx, id.with(title), (bar, i), &mut new.ends[i]);
        });
    }
    corners_ui(ui, ctx, id, bar, &mut new);
    sleeve_ui(ui, ctx, id, bar, &mut new);
    if new != *bar {
        requests.edit(format!("change {}", bar.name), Edit::PutBar(Box::new(new)));
    }
}

/// What has a place a bar can go to.
fn places(ctx: UiCtx<'_>) -> Vec<(Option<Item>, String, DVec3)> {
    let p = ctx.project;
    let ports = p.hardpoints.iter().map(|h| (Some(Item::Hardpoint(h.id)), h.name.clone(), h.position_mm));
    let datums = p.datums.iter().map(|d| (Some(Item::Datum(d.id)), d.name.clone(), d.position_mm));
    let middles = p
        .obstacles
        .iter()
        .map(|o| (Some(Item::Obstacle(o.id)), format!("Middle of {}", o.name), o.pose.position_mm));
    ports.chain(datums).chain(middles).collect()
}

fn end_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, (bar, index): (&Bar, usize), new: &mut BarPoint) {
    let old = bar.ends[index];
    let length = Kind::Length(ctx.units());
    form(ui, if index == 0 { "bar from" } else { "bar to" }, |ui| {
        let labels = [["From X", "From Y", "From Z"], ["To X", "To Y", "To Z"]][index];
        if let Some(at) = vector_rows(ui, id, labels, old.position_mm, length) {
            new.position_mm = at;
        }
        let all = places(ctx);
        let mut options: Vec<(Option<Item>, String)> = vec![(None, "Typed above".to_owned())];
        options.extend(all.iter().map(|(item, name, _)| (*item, name.clone())));
        let there = all.iter().find(|(.., at)| *at == old.position_mm).and_then(|p| p.0);
        let label = ["Start place", "End place"][index];
        if let Some(item) = choice(ui, id.with("place"), label, &there, &options)
            && let Some((.., at)) = all.iter().find(|p| p.0 == item)
        {
            new.position_mm = *at;
        }
        ui.end_row();
        let label = ["Start moves with", "End moves with"][index];
        if let Some(body) = choice(ui, id.with("body"), label, &old.body, &bodies(ctx)) {
            new.body = body;
        }
        ui.end_row();
        let label = ["Start is", "End is"][index];
        let makes: Vec<(&'static str, String)> =
            new_item::bar_ends().iter().map(|m| (m.name(), capital(m.name()))).collect();
        if let Some(name) = choice(ui, id.with("make"), label, &old.make.name(), &makes)
            && let Some(make) = new_item::bar_ends().into_iter().find(|m| m.name() == name)
        {
            new.make = make;
        }
        ui.end_row();
        make_ui(ui, ctx, id, bar, &mut new.make);
    });
}

fn make_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, make: &mut BarEndMake) {
    let length = Kind::Length(ctx.units());
    match make {
        BarEndMake::RodEnd(rod, eye) => {
            rod_ui(ui, ctx, id, rod);
            set(ui, id, "Eye diameter", &mut eye.od_mm, length);
            set(ui, id, "Eye width", &mut eye.width_mm, length);
        }
        BarEndMake::Tab(tab) => {
            set(ui, id, "Hole to bar", &mut tab.hole_to_bar_mm, length);
            set(ui, id, "Tab width", &mut tab.width_mm, length);
            set(ui, id, "Tab thickness", &mut tab.thick_mm, length);
        }
        BarEndMake::Cope { onto, .. } => {
            let current = match onto {
                Onto::Bar(id) => Some(Item::Bar(*id)),
                Onto::Run(id) => Some(Item::Run(*id)),
                Onto::Tube { .. } => None,
            };
            let others = ctx.project.bars.iter().filter(|b| b.id != bar.id);
            let mut options: Vec<(Option<Item>, String)> =
                others.map(|b| (Some(Item::Bar(b.id)), b.name.clone())).collect();
            options.extend(ctx.project.runs.iter().map(|r| (Some(Item::Run(r.id)), r.name.clone())));
            options.push((None, "A tube entered here".to_owned()));
            if let Some(item) = choice(ui, id.with("onto"), "Coped onto", &current, &options) {
                *onto = match item {
                    Some(Item::Bar(id)) => Onto::Bar(id),
                    Some(Item::Run(id)) => Onto::Run(id),
                    _ => Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X, od_mm: 2.0 * bar.od_mm },
                };
            }
            ui.end_row();
            if let Onto::Tube { through_mm, along, od_mm } = onto {
                let labels = ["Its axis through X", "Its axis through Y", "Its axis through Z"];
                if let Some(at) = vector_rows(ui, id.with("through"), labels, *through_mm, length) {
                    *through_mm = at;
                }
                let labels = ["Its axis along X", "Its axis along Y", "Its axis along Z"];
                if let Some(way) = vector_rows(ui, id.with("along"), labels, *along, Kind::Plain) {
                    *along = way;
                }
                set(ui, id, "Its diameter", od_mm, length);
            }
        }
        BarEndMake::Plate { stand_off_mm } => {
            let hint =
                "From the point to where the bar ends: what of the plate lies between, and the weld gap";
            set_hinted(ui, id, ("Stands off", hint), stand_off_mm, length);
        }
    }
}

fn rod_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, rod: &mut RodEnd) {
    let length = Kind::Length(ctx.units());
    set(ui, id, "Thread diameter", &mut rod.thread_dia_mm, length);
    set(ui, id, "Thread pitch", &mut rod.pitch_mm, Kind::Fine(ctx.units()));
    let hands = [(false, "Right-hand".to_owned()), (true, "Left-hand".to_owned())];
    if let Some(left) = choice(ui, id.with("hand"), "Thread is", &rod.left_hand, &hands) {
        rod.left_hand = left;
    }
    ui.end_row();
    set(ui, id, "Eye to shoulder", &mut rod.eye_to_shoulder_mm, length);
    set(ui, id, "Shank", &mut rod.shank_mm, length);
    set(ui, id, "Thread on it", &mut rod.thread_mm, length);
    set(ui, id, "Lock nut", &mut rod.nut_mm, length);
    let hint =
        "Least thread that must hold, as a multiple of its diameter; 1.5 is common practice, no source";
    set_hinted(ui, id, ("Least engagement", hint), &mut rod.least_engagement, Kind::Plain);
    set(ui, id, "Tapped depth", &mut rod.socket.tapped_mm, length);
    set(ui, id, "Insert stands out", &mut rod.socket.stand_mm, length);
}

fn corners_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bar: &Bar, new: &mut Bar) {
    ui.add_space(4.0);
    ui.label(bold(format!("Bends ({})", bar.corners.len())));
    let length = Kind::Length(ctx.units());
    let mut gone = None;
    for (i, corner) in bar.corners.iter().enumerate() {
        form(ui, &format!("bar corner {i}"), |ui| {
            let id = id.with(("corner", i));
            let labels = ["Corner X", "Corner Y", "Corner Z"];
            if let Some(at) = vector_rows(ui, id, labels, corner.position_mm, length) {
                new.corners[i].position_mm = at;
            }
            set(ui, id, "Bend radius", &mut new.corners[i].clr_mm, length);
        });
        if ui.push_id(("gone", i), |ui| ui.button("Delete bend").clicked()).inner {
            gone = Some(i);
        }
    }
    if let Some(i) = gone {
        new.corners.remove(i);
    }
    if ui.button("Add bend").clicked() {
        let points = bar.points_mm();
        let last = points[points.len() - 2];
        let middle = last.midpoint(bar.ends[1].position_mm);
        let clr_mm = 3.0 * bar.od_mm;
        new.corners.push(BarCorner { position_mm: middle + DVec3::Z * 50.0, clr_mm });
    }
    if !bar.corners.is_empty() {
        form(ui, "bending", |ui| {
            let mut percent = new.springback_share * 100.0;
            let hint = "What the bender has to turn beyond the bend, in percent of it: try it on a piece of the same bar";
            set_hinted(ui, id, ("Springback, %", hint), &mut percent, Kind::Plain);
            if (percent - new.springback_share * 100.0).abs() > 0.0 {
                new.springback_share = percent / 100.0;
            }
            set(ui, id, "Left on to grip", &mut new.spare_mm, length);
            set(ui, id, "Straight between bends", &mut new.least_straight_mm, length);
        });
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
            set(ui, id, "Sleeve middle at", &mut sleeve.station_mm, length);
        }
    });
}

/// What comes of it, in numbers and sentences.
fn result_ui(ui: &mut Ui, ctx: UiCtx<'_>, told: &BarReport) {
    let system = ctx.units();
    let tokens = Tokens::of(ui.visuals().dark_mode);
    form(ui, "bar result", |ui| {
        let mut line = |label: &str, value: String| {
            ui.label(label);
            ui.label(bold(value));
            ui.end_row();
        };
        line("Point to point", units::length(told.eye_to_eye_mm, system));
        if told.buildable {
            line("Saw it", units::length_paper(told.cut_printed_mm, system));
            line("Mass", units::mass(told.mass_kg, system));
        }
    });
    let item = Some(Item::Bar(told.id));
    for finding in ctx.report.findings.iter().filter(|f| f.item == item) {
        let colour = match finding.severity {
            pipeloft_core::finding::Severity::Stop => tokens.stop,
            pipeloft_core::finding::Severity::Warn => tokens.warn,
            pipeloft_core::finding::Severity::Note => tokens.text,
        };
        ui.add(Label::new(RichText::new(&finding.text).color(colour)).wrap());
    }
    ui.add(Label::new(&told.adjust).wrap());
    if let Some(sleeve) = &told.sleeve {
        ui.add(Label::new(&sleeve.text).wrap());
    }
    for note in &told.notes {
        ui.add(Label::new(RichText::new(note).weak()).wrap());
    }
}
