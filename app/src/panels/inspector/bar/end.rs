//! One end of a bar: where it goes, how it is made, what it is held with.

use super::super::{bodies, form, set, set_hinted, set_optional, vector_rows};
use super::{pad, pin};
use crate::ctx::UiCtx;
use crate::widgets::{Kind, capital, choice, choice_hinted};
use eframe::egui::{Id, Ui};
use glam::DVec3;
use pipeloft_core::edit::new_item;
use pipeloft_core::model::{Bar, BarEndMake, BarPoint, Item, Onto, RodEnd};

/// The fields of the end of `bar` at `index`.
pub(super) fn end_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, (bar, index): (&Bar, usize), new: &mut BarPoint) {
    form(ui, if index == 0 { "bar from" } else { "bar to" }, |ui| {
        place_rows(ui, ctx, id, (bar, index), new);
        let label = ["Start is", "End is"][index];
        let kinds = new_item::bar_ends();
        let names: Vec<(&'static str, String)> =
            kinds.iter().map(|m| (m.name(), capital(m.name()))).collect();
        if let Some(name) = choice(ui, id.with("make"), label, &bar.ends[index].make.name(), &names)
            && let Some(make) = kinds.into_iter().find(|m| m.name() == name)
        {
            new.make = make;
            // of a tube that is not named it is known only that it is where the bar ends
            if let BarEndMake::Cope { onto, .. } = &mut new.make {
                *onto = new_item::tube_under(bar, index);
            }
        }
        ui.end_row();
        make_rows(ui, ctx, id, (bar, index), &mut new.make);
        if new.make.hole_length_mm().is_some() {
            let hint = "Which way the hole runs, clockwise as you look along the bar from this end: 0° is up (forward on an upright bar). Up goes along with the bar from its first end, round its bends";
            set_hinted(ui, id, ("Hole at clock", hint), &mut new.clock_deg, Kind::Angle);
        }
        pin::pin_rows(ui, ctx, id, new);
    });
}

/// What has a place a bar can go to.
fn places(ctx: UiCtx<'_>) -> Vec<(Item, String, DVec3)> {
    let p = ctx.project;
    let ports = p.hardpoints.iter().map(|h| (Item::Hardpoint(h.id), h.name.clone(), h.position_mm));
    let datums = p.datums.iter().map(|d| (Item::Datum(d.id), d.name.clone(), d.position_mm));
    let middles = p
        .obstacles
        .iter()
        .map(|o| (Item::Obstacle(o.id), format!("Middle of {}", o.name), o.pose.position_mm));
    ports.chain(datums).chain(middles).collect()
}

/// Where the end is, and on which body.
fn place_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, (bar, index): (&Bar, usize), new: &mut BarPoint) {
    let old = bar.ends[index];
    let labels = [["From X", "From Y", "From Z"], ["To X", "To Y", "To Z"]][index];
    if let Some(at) = vector_rows(ui, id, labels, old.position_mm, Kind::Length(ctx.units())) {
        new.position_mm = at;
    }
    let all = places(ctx);
    let there = all.iter().find(|(.., at)| *at == old.position_mm).map(|p| p.0);
    // it says what is so; there is nothing to do when it is chosen
    let typed = there.is_none().then(|| (None, "Typed above".to_owned()));
    let named = all.iter().map(|(item, name, _)| (Some(*item), name.clone()));
    let options: Vec<(Option<Item>, String)> = typed.into_iter().chain(named).collect();
    let label = ["Start place", "End place"][index];
    if let Some(item) = choice(ui, id.with("place"), label, &there, &options)
        && let Some((.., at)) = all.iter().find(|p| Some(p.0) == item)
    {
        new.position_mm = *at;
    }
    ui.end_row();
    let label = ["Start moves with", "End moves with"][index];
    if let Some(body) = choice(ui, id.with("body"), label, &old.body, &bodies(ctx)) {
        new.body = body;
    }
    ui.end_row();
}

fn make_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, of: (&Bar, usize), make: &mut BarEndMake) {
    let length = Kind::Length(ctx.units());
    match make {
        BarEndMake::RodEnd(rod, eye) => {
            rod_rows(ui, ctx, id, rod);
            set(ui, id, "Eye diameter", &mut eye.od_mm, length);
            set(ui, id, "Eye width", &mut eye.width_mm, length);
        }
        BarEndMake::Tab(tab) => {
            set(ui, id, "Hole to bar", &mut tab.hole_to_bar_mm, length);
            set(ui, id, "Tab width", &mut tab.width_mm, length);
            set(ui, id, "Tab thickness", &mut tab.thick_mm, length);
        }
        BarEndMake::Cope { onto, pad } => {
            onto_rows(ui, ctx, id, of, onto);
            pad::pad_rows(ui, ctx, id, pad);
        }
        BarEndMake::Plate { stand_off_mm } => {
            let hint =
                "From the point to where the bar ends: what of the plate lies between, and the weld gap";
            set_hinted(ui, id, ("Stands off", hint), stand_off_mm, length);
        }
    }
}

/// What a coped end sits on. What lies between the two stays when it changes.
fn onto_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, (bar, index): (&Bar, usize), onto: &mut Onto) {
    let p = ctx.project;
    let others = p.bars.iter().filter(|b| b.id != bar.id);
    let mut options: Vec<(Onto, String)> = others.map(|b| (Onto::Bar(b.id), b.name.clone())).collect();
    options.extend(p.runs.iter().map(|r| (Onto::Run(r.id), r.name.clone())));
    let entered = match *onto {
        Onto::Tube { .. } => *onto,
        Onto::Bar(_) | Onto::Run(_) => new_item::tube_under(bar, index),
    };
    options.push((entered, "A tube entered here".to_owned()));
    if let Some(chosen) = choice(ui, id.with("onto"), "Coped onto", onto, &options) {
        *onto = chosen;
    }
    ui.end_row();
    if let Onto::Tube { through_mm, along, od_mm } = onto {
        let length = Kind::Length(ctx.units());
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

fn rod_rows(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, rod: &mut RodEnd) {
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
    let holes = [(false, "Blind".to_owned()), (true, "Open at its bottom".to_owned())];
    let hint =
        "Through an open one a long shank may go on into the tube; in a blind one it stops at the bottom";
    if let Some(through) =
        choice_hinted(ui, id.with("through"), ("Tapped hole is", hint), &rod.socket.through, &holes)
    {
        rod.socket.through = through;
    }
    ui.end_row();
    set(ui, id, "Insert stands out", &mut rod.socket.stand_mm, length);
    let hint = "How far the tip is in, from the face of the bar or insert. Empty for halfway between the least and the most, which leaves as much to lengthen as to shorten";
    set_optional(ui, id, ("Screwed in by", hint), &mut rod.screwed_in_mm, length);
}
